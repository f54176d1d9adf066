"""Imposition: finished pages laid n-up on sheets, with crop marks outside the bleed.

Belongs here: how many fit, where each lies on the front and on the back of a sheet, the marks.
Does not belong here: what is on a page (words/) or paper sizes (sizes.py).

A sheet is always upright, so its long edge is its side. Imposed sheets are for the printer: they
lose tags and links, which the single cards and the book keep. The same pages give the same bytes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias, TypeVar

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.press.base import sizes as papers
from anthocard.press.base.sizes import LabelSheet, Paper
from anthocard.press.paper.sheet import Line, Sheets, SheetSpot

Flip: TypeAlias = Literal["long", "short"]
Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class Layout:
    """How a card lies on a sheet: `spots` row by row from the top left, its bleed, the marks."""

    card: Paper
    sheet: Paper
    bleed_mm: float
    spots: tuple[SheetSpot, ...]
    marks: tuple[Line, ...]
    legend: SheetSpot
    legend_room_mm: float  # how much of the legend's length lies between two crop marks

    def backs(self, flip: Flip) -> tuple[SheetSpot, ...]:
        """Where the back of each spot lies once the sheet is turned over its long or short edge."""
        return tuple(_mirrored(spot, self.sheet, flip) for spot in self.spots)


def lay_out(card: Paper, sheet: Paper, most: int | None = None) -> Layout:
    """The most cards that fit a sheet with bleed, marks and a legend, centred; ties stay upright.

    `most` asks for that many and refuses fewer. Raises AuthorError saying what would fit instead.
    """
    options = [o for o in (_grid(card, sheet, turned) for turned in (False, True)) if o]
    best = max(options, key=lambda o: o[0] * o[1], default=None)
    found = best[0] * best[1] if best else 0
    if best is None or (most is not None and found < most):
        raise _refusal(card, sheet, most or 1, found)
    return _placed(card, sheet, *best)


def fits(card: Paper, sheet: Paper) -> int:
    """How many cards with bleed and marks fit a sheet: 0 when none does."""
    options = [_grid(card, sheet, turned) for turned in (False, True)]
    return max((o[0] * o[1] for o in options if o), default=0)


def impose(
    layout: Layout,
    fronts: Sequence[bytes],
    backs: Sequence[bytes] = (),
    legends: Sequence[bytes] = (),
    flip: Flip = "long",
) -> bytes:
    """A PDF of sheets: each of `fronts` once in order, and behind every sheet the backs to match.

    Every page is a one-page PDF with bleed around its TrimBox. `legends` are one-page PDFs set into
    the legend's place, one a sheet side in the order of printing; `backs` is empty or as many as
    `fronts`. Raises ValueError when counts do not match.
    """
    if backs and len(backs) != len(fronts):
        raise ValueError("every front needs its back, or none does")
    sides: list[tuple[tuple[SheetSpot, ...], Sequence[bytes]]] = []
    for start in range(0, len(fronts), len(layout.spots)):
        end = start + len(layout.spots)
        sides.append((layout.spots, fronts[start:end]))
        if backs:
            sides.append((layout.backs(flip), backs[start:end]))
    if legends and len(legends) != len(sides):
        raise ValueError("one legend a side of a sheet")
    pressed = Sheets(layout.sheet)
    for number, (spots, pages) in enumerate(sides):
        pressed.turn_page()
        for spot, page in zip(spots, pages, strict=False):
            pressed.place(page, spot, layout.bleed_mm)
        pressed.draw(layout.marks)
        if legends:
            pressed.place(legends[number], layout.legend, 0.0)
    return pressed.finished()


def booklet(pages: Sequence[bytes], paper: Paper, from_right: bool = False) -> bytes:
    """A booklet: pages two by two on sheets of twice the width, to be turned over the short edge
    (as the sheet lies, upright pages side by side), nested and folded once.

    `pages` are one-page PDFs in reading order, an empty one a blank page; blank pages fill up to a
    multiple of four. Short marks at both ends of the fold stand on the outermost side. One that is
    read from the right is bound at the right: its first page lies left of the fold.
    """
    wide, tall, inwards = paper.width_mm, paper.height_mm, papers.mark("fold")
    ends: tuple[Line, ...] = ((wide, 0.0, wide, inwards), (wide, tall - inwards, wide, tall))
    count = -(-len(pages) // 4) * 4
    order = [n for low in range(0, count // 2, 2) for n in (
        count - 1 - low, low, low + 1, count - 2 - low,
    )]  # fmt: skip
    pressed = Sheets(Paper("spread", 2 * paper.width_mm, paper.height_mm))
    for at, number in enumerate(order):
        if at % 2 == 0:
            pressed.turn_page()
        if number < len(pages) and pages[number]:
            left = 0.0 if (at % 2 == 0) != from_right else paper.width_mm
            pressed.place(pages[number], SheetSpot(left, 0.0, paper.width_mm, paper.height_mm), 0.0)
        if at == 1:
            pressed.draw(ends)
    return pressed.finished()


def in_turn(things: Sequence[Thing], count: int) -> list[Sequence[Thing]]:
    """Cut into runs of `count` (≥ 1), the last of which may be shorter."""
    return [things[start : start + count] for start in range(0, len(things), count)]


def impose_labels(sheet: LabelSheet, labels: Sequence[bytes], skip: int = 0) -> bytes:
    """Labels on sheets by geometry, row by row, leaving `skip` places of the first sheet free.

    Raises ValueError when `skip` is not a place on the sheet.
    """
    places = sheet.columns * sheet.rows
    if not 0 <= skip < places:
        raise ValueError(f"a sheet has places 0 to {places - 1}")
    pressed = Sheets(sheet.sheet)
    for number, label in enumerate(labels, start=skip):
        if number == skip or number % places == 0:
            pressed.turn_page()
        row, column = divmod(number % places, sheet.columns)
        top = sheet.top_mm + row * sheet.pitch_y_mm
        spot = SheetSpot(
            sheet.left_mm + column * sheet.pitch_x_mm,
            sheet.sheet.height_mm - top - sheet.label.height_mm,
            sheet.label.width_mm,
            sheet.label.height_mm,
        )
        pressed.place(label, spot, 0.0)
    return pressed.finished()


def _grid(card: Paper, sheet: Paper, turned: bool) -> tuple[int, int, bool] | None:
    bleed, least = papers.mark("bleed"), papers.mark("gap") + papers.mark("length", "least")
    wide, tall = (card.height_mm, card.width_mm) if turned else (card.width_mm, card.height_mm)
    columns = math.floor((sheet.width_mm - 2 * least) / (wide + 2 * bleed) + 1e-9)
    rows = math.floor((sheet.height_mm - 2 * least) / (tall + 2 * bleed) + 1e-9)
    if columns < 1 or rows < 1:
        return None
    side = (sheet.width_mm - columns * (wide + 2 * bleed)) / 2
    foot = (sheet.height_mm - rows * (tall + 2 * bleed)) / 2
    room = papers.mark("legend") + papers.mark("gap")
    return (columns, rows, turned) if max(side, foot) >= room else None


def _placed(card: Paper, sheet: Paper, columns: int, rows: int, turned: bool) -> Layout:
    bleed = papers.mark("bleed")
    wide, tall = (card.height_mm, card.width_mm) if turned else (card.width_mm, card.height_mm)
    side = (sheet.width_mm - columns * (wide + 2 * bleed)) / 2
    foot = (sheet.height_mm - rows * (tall + 2 * bleed)) / 2
    lefts = [side + bleed + c * (wide + 2 * bleed) for c in range(columns)]
    lows = [foot + bleed + r * (tall + 2 * bleed) for r in reversed(range(rows))]
    spots = tuple(SheetSpot(x, y, wide, tall, int(turned)) for y in lows for x in lefts)
    xs = [edge for x in lefts for edge in (x, x + wide)]
    ys = [edge for y in lows for edge in (y, y + tall)]
    where, room = _legend(xs, ys, side, foot, (wide, tall))
    return Layout(card, sheet, bleed, spots, _marks(xs, ys, side, foot, sheet), where, room - 2.0)


def _legend(
    xs: list[float], ys: list[float], side: float, foot: float, cell: tuple[float, float]
) -> tuple[SheetSpot, float]:
    """The legend's place right beside the outermost bleed, where any printer reaches, and how much
    of it one card takes up: under the lowest row, else up the left side."""
    line, gap, wide, tall = papers.mark("legend"), papers.mark("gap"), *cell
    if foot < line + gap:
        return SheetSpot(side - line - gap, min(ys) + 1.0, line, max(ys) - min(ys) - 2.0, 1), tall
    alone = len(xs) == 2
    high = 2.0 * line if alone and foot - 2.0 * line >= papers.mark("printable") else line
    return SheetSpot(min(xs) + 1.0, foot - high - gap, max(xs) - min(xs) - 2.0, high), wide


def _marks(
    xs: list[float], ys: list[float], side: float, foot: float, sheet: Paper
) -> tuple[Line, ...]:
    """Marks at the ends of every trim line, beyond the outermost bleed."""
    gap, longest = papers.mark("gap"), papers.mark("length")
    down, across = min(longest, foot - gap), min(longest, side - gap)
    low, high = foot - gap, sheet.height_mm - foot + gap
    left, right = side - gap, sheet.width_mm - side + gap
    upright = [line for x in xs for line in ((x, low - down, x, low), (x, high, x, high + down))]
    level = [
        line for y in ys for line in ((left - across, y, left, y), (right, y, right + across, y))
    ]
    return (*upright, *level)


def _mirrored(spot: SheetSpot, sheet: Paper, flip: Flip) -> SheetSpot:
    """The same piece of paper seen from behind, its page turned so that both heads point alike.

    A quarter turn t points the head along (-sin t, cos t); turning over the long (upright) edge
    mirrors x, over the short edge y.
    """
    if flip == "long":
        x = sheet.width_mm - spot.x_mm - spot.width_mm
        return SheetSpot(x, spot.y_mm, spot.width_mm, spot.height_mm, -spot.turns % 4)
    y = sheet.height_mm - spot.y_mm - spot.height_mm
    return SheetSpot(spot.x_mm, y, spot.width_mm, spot.height_mm, (2 - spot.turns) % 4)


def _refusal(card: Paper, sheet: Paper, wanted: int, found: int) -> AuthorError:
    count = "one" if wanted == 1 else str(wanted)
    message = f"{count} {card.name} with 3 mm bleed and crop marks cannot fit on {sheet.name}"
    can = [f"{found} on {sheet.name}"] if found else []
    for name in papers.names("sheets"):
        most = fits(card, papers.sheet_paper(name))
        if name != sheet.name and most >= wanted:
            can.append(f"{most} on {name}")
    return AuthorError(
        [Mistake("does-not-fit", message, Place("papers"), "what can: " + ", ".join(can))]
    )
