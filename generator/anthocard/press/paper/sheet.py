"""Sheets being filled: pages as form XObjects, marks as hairlines; the only drawing in pikepdf.

Belongs here: how a finished page is set down on a sheet. Does not belong here: where (impose.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, TypeAlias

from anthocard.press.base import sizes as papers
from anthocard.press.base.sizes import POINTS_PER_MM, Paper

Line: TypeAlias = tuple[float, float, float, float]  # x, y to x, y in mm from the lower left


@dataclass(frozen=True, slots=True)
class SheetSpot:
    """Where one page lies on a sheet: its trimmed lower left corner, mm, and quarter turns.

    `turns` counts quarter turns against the clock; width and height are those on the sheet.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turns: int = 0


class Sheets:
    """Sheets of one size, filled side by side; the same calls give the same bytes."""

    def __init__(self, sheet: Paper) -> None:
        """Begin with no side: call `turn_page` first."""
        import pikepdf

        self._pikepdf = pikepdf
        self._size = (sheet.width_mm * POINTS_PER_MM, sheet.height_mm * POINTS_PER_MM)
        self._pdf = pikepdf.new()
        self._page: Any = None
        self._drawn: list[str] = []

    def turn_page(self) -> None:
        """Close the side in hand and begin another."""
        self._close()
        self._page = self._pdf.add_blank_page(page_size=self._size)
        self._page.TrimBox = self._page.MediaBox

    def place(self, page: bytes, spot: SheetSpot, bleed_mm: float) -> None:
        """Draw a one-page PDF so that its trimmed corner lies on the spot."""
        with self._pikepdf.open(BytesIO(page)) as source:
            form = self._pdf.copy_foreign(source.pages[0].as_form_xobject())
            # All of the page, its bleed too: left to itself qpdf cuts it at the TrimBox.
            form.BBox = self._pikepdf.Array([float(v) for v in source.pages[0].MediaBox])
            box = [float(v) for v in source.pages[0].get("/TrimBox", source.pages[0].MediaBox)]
        # A name of our own: pikepdf's would be random, and no two files the same.
        own = self._pikepdf.Name(f"/P{len(self._drawn)}")
        name = self._page.add_resource(form, self._pikepdf.Name.XObject, own)
        cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[spot.turns]
        x, y = spot.x_mm * POINTS_PER_MM, spot.y_mm * POINTS_PER_MM
        wide, tall = spot.width_mm * POINTS_PER_MM, spot.height_mm * POINTS_PER_MM
        bleed = bleed_mm * POINTS_PER_MM
        # After turning, the trimmed box's lower left corner is another of its corners.
        corners = [(cos * u - sin * v, sin * u + cos * v) for u in box[::2] for v in box[1::2]]
        dx, dy = x - min(c[0] for c in corners), y - min(c[1] for c in corners)
        self._drawn.append(
            f"q {_n(x - bleed)} {_n(y - bleed)} {_n(wide + 2 * bleed)} {_n(tall + 2 * bleed)} re"
            f" W n {cos} {sin} {-sin} {cos} {_n(dx)} {_n(dy)} cm {name} Do Q"
        )

    def draw(self, lines: Sequence[Line]) -> None:
        """Hairlines in black."""
        paths = " ".join(
            f"{_n(a * POINTS_PER_MM)} {_n(b * POINTS_PER_MM)} m"
            f" {_n(c * POINTS_PER_MM)} {_n(d * POINTS_PER_MM)} l"
            for a, b, c, d in lines
        )
        weight = papers.mark("weight") * POINTS_PER_MM
        self._drawn.append(f"q 0 G {_n(weight)} w {paths} S Q")

    def finished(self) -> bytes:
        """The whole PDF; its id comes from its content."""
        self._close()
        out = BytesIO()
        self._pdf.save(out, deterministic_id=True, linearize=False)
        return out.getvalue()

    def _close(self) -> None:
        if self._page is not None:
            self._page.contents_add(self._pdf.make_stream("\n".join(self._drawn).encode()))
        self._drawn = []


def _n(points: float) -> str:
    return f"{points:.4f}".rstrip("0").rstrip(".")
