"""Glasses of the trade by name and size, so that nobody types coordinates.

Belongs here: shapes, what people call them, common sizes, scaling one to a size. Does not belong
here: a house's own glasses (house.settings), how full one is or how it is drawn (the press).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.diagnostics.tables import read_table
from anthocard.facts.units.quantities import parse_ml
from anthocard.facts.units.written_numbers import MeasureError

#: How far beyond its common sizes a shape is still that shape; chosen.
SMALLEST, LARGEST = 0.7, 1.4
_SIZED: Final = re.compile(r"(?P<shape>\D*[^\W\d])[\s,]+(?P<size>[\d½¼¾].*)")
_WORDS: Final = {"small": 0, "kleine": 0, "kleiner": 0, "kleines": 0, "large": -1, "big": -1,
                 "große": -1, "großer": -1, "großes": -1}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape at one size: the inside from the bottom up as (half-width, height), all in mm.

    `vessel` says what it is made of where that is no glass; `sizes_ml` are common ones.
    """

    name: str
    words: tuple[str, ...]
    sizes_ml: tuple[float, ...]
    holds_ml: float
    outline: tuple[tuple[float, float], ...]
    foot_mm: float
    wall_mm: float
    stem_mm: float = 0.0
    vessel: str | None = None

    @property
    def width_mm(self) -> float:
        """The widest the inside gets."""
        return 2.0 * max(half for half, _ in self.outline)

    def sized(self, ml: float) -> Shape:
        """The same shape holding `ml`: every length goes by the cube root, but for the wall.

        Raises MeasureError for a size at which nobody would call it so.
        """
        low, high = SMALLEST * min(self.sizes_ml), LARGEST * max(self.sizes_ml)
        if not low <= ml <= high:
            raise MeasureError(
                "glass-size",
                f"a {self.name} of {ml:g} ml is none",
                f"it comes in {', '.join(f'{size:g}' for size in self.sizes_ml)} ml; "
                "write the outline of a glass of your own into house.yaml",
            )
        by = (ml / self.holds_ml) ** (1.0 / 3.0)
        return replace(
            self,
            holds_ml=ml,
            outline=tuple((round(r * by, 1), round(h * by, 1)) for r, h in self.outline),
            foot_mm=round(self.foot_mm * by, 1),
            stem_mm=round(self.stem_mm * by, 1),
        )


@cache
def shapes() -> Mapping[str, Shape]:
    """Every shape by its name, at the size its outline is drawn."""
    rows = read_table("anthocard.facts", "glassware.yaml")["shapes"]
    return {
        name: Shape(
            name=name,
            words=(*row["words"], *row["words_de"]),
            sizes_ml=tuple(float(ml) for ml in row["sizes_ml"]),
            holds_ml=float(row["holds"]),
            outline=tuple((float(r), float(h)) for r, h in row["outline"]),
            foot_mm=float(row["foot"]),
            wall_mm=float(row["wall"]),
            stem_mm=float(row.get("stem", 0.0)),
            vessel=row.get("vessel"),
        )
        for name, row in rows.items()
    }


def shape_called(text: str) -> Shape:
    """The glass people mean: “coupe”, “Sektschale”, “small coupe”, “highball 300 ml”.

    Without a size it is the usual one. Raises MeasureError for an unknown name or size.
    """
    known = _known()
    whole = known.get(_folded(text))
    if whole is not None:
        return whole
    sized = _SIZED.fullmatch(text.strip())
    if sized is not None and _folded(sized["shape"]) in known:
        return known[_folded(sized["shape"])].sized(parse_ml(sized["size"]))
    first, _, rest = text.strip().partition(" ")
    if first.casefold() in _WORDS and _folded(rest) in known:
        shape = known[_folded(rest)]
        return shape.sized(sorted(shape.sizes_ml)[_WORDS[first.casefold()]])
    raise MeasureError(
        "unknown-glass",
        f"the house has no glass called “{text}”, nor has the trade",
        did_you_mean(text, [*shapes(), *(word for one in shapes().values() for word in one.words)]),
    )


@cache
def _known() -> Mapping[str, Shape]:
    """Shapes by every folded name, with and without the word for a glass; names before words."""
    known: dict[str, Shape] = {}
    for shape in shapes().values():
        known.setdefault(_folded(shape.name), shape)
        known.setdefault(_folded(shape.name).removesuffix(" glass"), shape)
    for shape in shapes().values():
        for word in shape.words:
            known.setdefault(_folded(word), shape)
            known.setdefault(f"{_folded(word)} glass", shape)
    return known


def _folded(name: str) -> str:
    """Without case, accents, hyphens and spare blanks, “&” and “und” read as “and”."""
    text = unicodedata.normalize("NFKD", name.casefold().replace("-", " ").replace("ß", "ss"))
    text = "".join(letter for letter in text if not unicodedata.combining(letter))
    return " ".join("and" if word in ("&", "und", "n") else word for word in text.split())
