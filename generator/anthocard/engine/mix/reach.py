"""Words for what a dose cannot do: what is reachable instead, what gave way, and why.

Belongs here: the exception of an unreachable wish and its sentences. Does not belong here: the
search that finds out (search.py).
"""

from __future__ import annotations

import numpy as np

from anthocard.engine.findings import GaveWay
from anthocard.engine.mix.line import Along, Line
from anthocard.engine.together import Work
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.names import name_of
from anthocard.house.wish import Wish


class Unreachable(Exception):  # noqa: N818 - not a fault of the program: a wish nothing grants
    """No dose grants the wish; the message says what is reachable, `mend` what would help."""

    def __init__(self, message: str, mend: str) -> None:
        super().__init__(message)
        self.message, self.mend = message, mend


def quantity(along: Along, name: str) -> Floats:
    """The values a bound or an aim speaks of, by its name."""
    fields = {
        "ph": "ph",
        "acidity": "acidity_g_per_l",
        "sugar": "sugar_g_per_l",
        "strength": "abv_percent",
        "dose": "doses_ml",
    }
    values: Floats = getattr(along, fields[name])
    return values


def gave_way(
    line: Line, wish: Wish, free_ml: float | None, taken_ml: float, name: str
) -> Work[GaveWay]:
    """What the aim alone would take (None: nothing gives it), and what is taken ends bounds."""
    taken = yield from line.going([taken_ml])
    return GaveWay(
        why="none" if free_ml is None else "beyond",
        aim=wish.text.split(" with ")[0].split(" while ")[0],
        of=name,
        bounds=tuple(str(bound) for bound in wish.bounds),
        free=free_ml or 0.0,
        taken=taken_ml,
        unit=line.unit,
        ph=float(taken.ph[0]),
        colour=name_of(taken.lab[0]),
        acidity_g_per_l=float(taken.acidity_g_per_l[0]),
    )


def no_room(along: Along, wish: Wish, name: str) -> Unreachable:
    """Bounds that no dose keeps: tell the range each of them could be in."""
    ends = []
    for bound in wish.bounds:
        values = quantity(along, bound.quantity)
        ends.append(f"{bound} (reachable {np.nanmin(values):.1f} to {np.nanmax(values):.1f})")
    return Unreachable(
        f"no dose of {name} up to {along.doses_ml[-1]:.0f} {along.unit} keeps {' and '.join(ends)}",
        "widen the bounds, or change what is in the drink",
    )


def out_of_reach(along: Along, wish: Wish, name: str) -> Unreachable:
    """The aim lies off the line: say what lies on it, and why."""
    most = f"{along.doses_ml[-1]:.0f} {along.unit}"
    if wish.sort in ("ph", "acidity"):
        values = quantity(along, wish.sort)
        low, high = float(np.nanmin(values)), float(np.nanmax(values))
        label, unit = ("pH", "") if wish.sort == "ph" else ("acidity", " g/l")
        stronger = "stronger" if abs(values[-1] - wish.value) <= abs(values[0] - wish.value) else ""
        mend = (
            f"use a {stronger} solution, or ask for {label} {low:.1f} to {high:.1f}{unit}"
            if stronger
            else f"{name} moves it the other way; ask for {label} {low:.1f} to {high:.1f}{unit}"
        )
        return Unreachable(
            f"{label} {wish.value:g}{unit} is out of reach: nothing to {most} of {name} gives "
            f"{label} {values[0]:.1f} to {values[-1]:.1f}{unit}",
            mend,
        )
    names = list(dict.fromkeys(name_of(row) for row in along.lab))
    aim = f"hue {wish.value:g}" if wish.sort == "hue" else wish.word
    return Unreachable(
        f"no dose of {name} up to {most} makes this {aim}: it goes {' > '.join(names)}",
        "wish for one of these, or choose another plant (anthocard palette shows what each does)",
    )
