"""The drift of a recipe over its last lots: a small chart, and the table that says the same.

Belongs here: the plot and the rows beside it. Does not belong here: the verdicts (engine/trade).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from anthocard.engine.trade.lot_verdict import DriftPoint, drift
from anthocard.house.collection import Collection
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import fixed

WIDE: Final = 360  # user units: about a phone's pixels
TALL: Final = 140
LEFT: Final = 40
RIGHT: Final = 14
TOP: Final = 14
FOOT: Final = 30


@dataclass(frozen=True, slots=True)
class DriftRow:
    """One lot in words; empty for what was not read."""

    lot: str
    made: str
    colour: str
    ph: str
    verdict: str
    in_use: bool


@dataclass(frozen=True, slots=True)
class Drift:
    """The chart (empty below two lots whose colour was read) and its rows, the newest first."""

    drawing: str
    rows: tuple[DriftRow, ...]


def drift_of(collection: Collection, name: str) -> Drift | None:
    """The drift of a recipe of the house; nothing is worked out where it has no lots."""
    points = drift(collection, name) if collection.lots_of(name) else ()
    return make_drift(points, name, language(collection.house.language))


def make_drift(points: Sequence[DriftPoint], name: str, tongue: Language) -> Drift | None:
    """The drift of what the house makes, or None where no lot of it was written down."""
    if not points:
        return None
    seen = [(n, point) for n, point in enumerate(points) if point.times is not None]
    drawing = _draw(seen, len(points), name, tongue) if len(seen) > 1 else ""
    return Drift(drawing, tuple(_row(point, tongue) for point in reversed(points)))


def _row(point: DriftPoint, tongue: Language) -> DriftRow:
    times = "" if point.times is None else f"{fixed(point.times, 2, tongue)} ×"
    return DriftRow(
        point.mark,
        tongue.day(point.made),
        times,
        "" if point.ph is None else fixed(point.ph, 2, tongue),
        tongue.word("lot verdict", point.call),
        point.in_use,
    )


def _draw(seen: Sequence[tuple[int, DriftPoint]], count: int, name: str, tongue: Language) -> str:
    times = [point.times or 0.0 for _, point in seen]
    low, high = min(0.5, *times), max(1.5, *times)
    floor = TALL - FOOT

    def x(number: int) -> float:
        return LEFT + (WIDE - LEFT - RIGHT) * (number + 0.5) / count

    def y(value: float) -> float:
        return TOP + (floor - TOP) * (high - value) / (high - low)

    line = "L".join(f"{x(n):.1f} {y(point.times or 0.0):.1f}" for n, point in seen)
    dots = "".join(
        f'<circle cx="{x(n):.1f}" cy="{y(point.times or 0.0):.1f}" r="{7 if point.in_use else 5}"'
        f' fill="{point.hex}" stroke="currentColor" stroke-width="{2 if point.in_use else 1}"/>'
        for n, point in seen
    )
    marks = "".join(
        f'<text x="{x(n):.1f}" y="{TALL - 10}" text-anchor="{anchor}">{escape(point.mark)}</text>'
        for (n, point), anchor in ((seen[0], "start"), (seen[-1], "end"))
    )
    grid = "".join(
        f'<path class="grid" d="M{LEFT} {y(value):.1f}H{WIDE - RIGHT}"/>'
        f'<text x="{LEFT - 6}" y="{y(value) + 4.5:.1f}" text-anchor="end">'
        f"{fixed(value, 1, tongue)}</text>"
        for value in (low, 1.0, high)
    )
    title = tongue.gettext(
        "Colour of the last lots of %(name)s over the recipe's: from %(first)s to %(last)s times."
        " The table below says the same.",
        name=name,
        first=fixed(times[0], 2, tongue),
        last=fixed(times[-1], 2, tongue),
    )
    return (
        f'<svg role="img" class="curve" viewBox="0 0 {WIDE} {TALL}" aria-labelledby="drift-title">'
        f'<title id="drift-title">{escape(title)}</title>{grid}'
        f'<path class="line" d="M{line}"/>{dots}{marks}</svg>'
    )
