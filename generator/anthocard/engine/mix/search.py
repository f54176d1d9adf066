"""Dialling in: from a wish to the dose that grants it, or to why none does.

Belongs here: one search over doses, its rounding to what can be poured. Does not belong here:
reading a wish (recipe.wish), which drink it is for (settle.py), the chemistry along the line
(line.py), words for what cannot be reached (reach.py).

The whole line is worked out at once on a grid of doses; where the aim is crossed, the bracket is
divided again and again, and so the answer never depends on a first guess.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Dialled, GaveWay
from anthocard.engine.mix.line import Along, Line
from anthocard.engine.mix.reach import Unreachable, gave_way, no_room, out_of_reach, quantity
from anthocard.engine.together import Work, at_once
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour import colours
from anthocard.facts.colour.names import wanted
from anthocard.house.wish import Wish


def dial(line: Line, wish: Wish, name: str, most_ml: float) -> Work[Dialled]:
    """The dose of `line` that grants `wish`, at most `most_ml`; raises Unreachable.

    The smallest dose that reaches a pH, hue or acidity; for a colour the smallest that still has
    that name when poured short; for “as … as can be” the smallest that brings nine tenths of
    what any dose can. Bounds are kept: where the aim lies outside them, the nearest dose inside is
    taken and `gave_way` says so.
    """
    row = _table("search")["doses"]
    most_ml = min(most_ml, float(row["most_ml"]))
    if most_ml <= 0.0:
        raise Unreachable("the glass is full before anything is poured", "choose a larger glass")
    # Squared spacing: fine where a drop matters, coarse where it does not.
    along = yield from line.going(most_ml * np.linspace(0.0, 1.0, int(row["points"])) ** 2)
    allowed = _allowed(along, wish)
    if not allowed.any():
        raise no_room(along, wish, name)
    found = yield from _aimed(line, along, wish)
    gave_up: GaveWay | None = None
    if found is None or not _allowed((yield from line.going([found])), wish)[0]:
        if not wish.bounds:
            raise out_of_reach(along, wish, name)
        free = found
        found, kept = yield from _inside(line, along, allowed, wish, free)
        gave_up = None if kept else (yield from gave_way(line, wish, free, found, name))
    if wish.sort == "word" and gave_up is None and wanted(wish.word).holds(along.lab[0]):
        gave_up = GaveWay("already", wish.word, name, unit=line.unit)
    ml = yield from _pourable(line, wish, found)
    exact, given = yield from at_once((line.going([found]), line.going([ml])))
    return Dialled(
        name=name,
        wish=wish,
        exact_ml=found,
        ml=ml,
        exact_ph=float(exact.ph[0]),
        ph=float(given.ph[0]),
        lab=(float(given.lab[0, 0]), float(given.lab[0, 1]), float(given.lab[0, 2])),
        acidity_g_per_l=float(given.acidity_g_per_l[0]),
        delta_e00=float(colours.delta_e_2000(exact.lab[0], given.lab[0])),
        gave_way=gave_up,
        unit=line.unit,
    )


def most_of_a_pour_ml(standing_ml: float) -> float:
    """The most of a pour that is looked at beside what stands in the glass, ml."""
    return float(_table("search")["pour"]["share_of_drink"]) * standing_ml


def accuracy_ml(dose_ml: float) -> float:
    """How far a pour of this size may be out, ± ml."""
    small, jigger = _table("pouring")["small"], _table("pouring")["jigger"]
    row = small if dose_ml < small["below_ml"] else jigger
    return float(max(row["least_ml"], row["share"] * dose_ml))


def misses(along: Along, wish: Wish) -> Floats:
    """How far each dose is from the aim: in pH, g/l, degrees of hue, or ΔE00 to a word's middle."""
    if wish.sort == "ph":
        return np.asarray(along.ph - wish.value)
    if wish.sort == "acidity":
        return np.asarray(along.acidity_g_per_l - wish.value)
    if wish.sort in ("hue", "most"):
        lch = colours.lch_of_lab(along.lab)
        aim = wish.value if wish.sort == "hue" else _hue_of(wish.word)
        turned = (lch[..., 2] - aim + 180.0) % 360.0 - 180.0
        return np.where(lch[..., 1] >= _table("search")["colour"]["grey_below"], turned, np.nan)
    return colours.delta_e_2000(along.lab, np.array(wanted(wish.word).lab))


def _hue_of(word: str) -> float:
    return float(colours.lch_of_lab(np.array(wanted(word).lab))[2])


def _aimed(line: Line, along: Along, wish: Wish) -> Work[float | None]:
    """The dose that meets the aim, whatever the bounds; None where no dose does."""
    if wish.sort == "word":
        return (yield from _named(line, along, wish))
    if wish.sort == "most":
        return _most(along, np.ones(along.doses_ml.shape, dtype=bool), wish)
    return (yield from _crossing(line, along, wish))


def _crossing(line: Line, along: Along, wish: Wish) -> Work[float | None]:
    """The smallest dose at which a signed miss passes nought, by dividing its bracket."""
    doses, off = along.doses_ml, misses(along, wish)
    for _ in range(int(_table("search")["zoom"]["rounds"])):
        with np.errstate(invalid="ignore"):  # NaN, where there is no hue, crosses nothing
            step = np.abs(np.diff(off)) < 180.0  # a hue that jumps from +180 to -180 is no crossing
            crossed = np.flatnonzero((off[:-1] * off[1:] <= 0.0) & step)
        if crossed.size == 0:
            break
        low, high = doses[crossed[0]], doses[crossed[0] + 1]
        doses = np.linspace(low, high, int(_table("search")["zoom"]["points"]))
        off = misses((yield from line.going(doses)), wish)
    near = float(np.nanmin(np.abs(off), initial=np.inf))
    close = {"ph": 1e-3, "acidity": 1e-3, "hue": _table("search")["hue"]["close_deg"]}[wish.sort]
    return float(doses[np.nanargmin(np.abs(off))]) if near <= close else None


def _named(line: Line, along: Along, wish: Wish) -> Work[float | None]:
    """Just far enough into the first stretch of doses with the name that a short pour keeps it."""
    want, doses = wanted(wish.word), along.doses_ml
    holds = want.holds(along.lab)
    if not holds.any():
        return None
    first = int(np.argmax(holds))
    last = first + int(np.argmin(np.append(holds[first:], False))) - 1
    before, after = doses[max(0, first - 1)], doses[min(last + 1, doses.size - 1)]
    low = (yield from _edge(line, want.holds, before, doses[first])) if first else 0.0
    high = yield from _edge(line, lambda lab: ~want.holds(lab), doses[last], after)
    return float(min(low + accuracy_ml(low), 0.5 * (low + high)))


def _edge(line: Line, holds: Any, low: float, high: float) -> Work[float]:
    """The smallest dose of a bracket at which a colour is as it should be."""
    for _ in range(int(_table("search")["zoom"]["rounds"])):
        doses = np.linspace(low, high, int(_table("search")["zoom"]["points"]))
        right = holds((yield from line.going(doses)).lab)
        if not right.any():
            return float(high)
        at = int(np.argmax(right))
        low, high = doses[max(0, at - 1)], doses[at]
    return float(high)


def _least(line: Line, along: Along, among: Any, wish: Wish) -> Work[float]:
    """The dose of the smallest miss among those marked."""
    doses, rounds = along.doses_ml, int(_table("search")["zoom"]["rounds"])
    for left in range(rounds, -1, -1):
        size = np.where(among, np.abs(misses(along, wish)), np.inf)
        at = int(np.nanargmin(np.nan_to_num(size, nan=1e9)))
        if left:
            low, high = doses[max(0, at - 1)], doses[min(doses.size - 1, at + 1)]
            doses = np.linspace(low, high, int(_table("search")["zoom"]["points"]))
            along = yield from line.going(doses)
            among = _allowed(along, wish) if not np.all(among) else np.ones(doses.shape, dtype=bool)
    return float(doses[at])


def _inside(
    line: Line, along: Along, allowed: Any, wish: Wish, free_ml: float | None
) -> Work[tuple[float, bool]]:
    """The dose within bounds that is nearest to the wish, and whether it still grants it."""
    if wish.sort == "most":
        return _most(along, allowed, wish), True
    kept = wish.sort == "word" and bool((allowed & wanted(wish.word).holds(along.lab)).any())
    if free_ml is None:
        return (yield from _least(line, along, allowed, wish)), False

    def good(some: Along) -> Any:
        named = wanted(wish.word).holds(some.lab) if kept else True
        return _allowed(some, wish) & named

    doses, fits = along.doses_ml, good(along)
    at = int(np.argmin(np.where(fits, np.abs(doses - free_ml), np.inf)))
    out = at - 1 if doses[at] > free_ml else at + 1  # the neighbour that does not fit any more
    if not 0 <= out < doses.size:
        return float(doses[at]), kept
    low, high = doses[at], doses[out]
    for _ in range(int(_table("search")["zoom"]["rounds"])):
        steps = np.linspace(low, high, int(_table("search")["zoom"]["points"]))
        fits = good((yield from line.going(steps)))
        last = int(np.argmin(np.append(fits, False))) - 1
        low, high = steps[max(last, 0)], steps[min(max(last, 0) + 1, steps.size - 1)]
    return float(low), kept


def _most(along: Along, among: Any, wish: Wish) -> float:
    """The smallest dose among those marked that brings the hue nine tenths of the way it can go."""
    off = np.where(among, np.abs(misses(along, wish)), np.inf)
    off = np.nan_to_num(off, nan=360.0)
    start, least = float(np.max(off[among])), float(np.min(off))
    close = off <= start - _table("search")["most"]["gain"] * (start - least) + 1e-9
    return float(along.doses_ml[np.argmax(close)])


def _allowed(along: Along, wish: Wish) -> Any:
    """Which doses keep every bound, with room for the last digit."""
    good = np.ones(along.doses_ml.shape, dtype=bool)
    for bound in wish.bounds:
        values = quantity(along, bound.quantity)
        good &= (values >= bound.low - 1e-6) & (values <= bound.high + 1e-6)
    return good


def _pourable(line: Line, wish: Wish, dose_ml: float) -> Work[float]:
    """The coarsest measure whose nearest line keeps to the wish; the finest where none does."""
    exact = yield from line.going([dose_ml])
    best = dose_ml
    for row in _table("steps").values():
        step = row["step_ml"]
        near = step * np.array([np.floor(dose_ml / step), np.ceil(dose_ml / step)])
        near = np.unique(near[near >= max(step, row["from_ml"])])
        if near.size == 0:
            continue
        given = yield from line.going(near)
        off = _strayed(given, exact, wish)
        off = np.where(_allowed(given, wish), off, off + 1e3)
        best = float(near[np.argmin(off)])
        if float(np.min(off)) <= 1.0:
            return round(best, 6)
    return round(best, 6)


def _strayed(given: Along, exact: Along, wish: Wish) -> Floats:
    """How far rounding leads from the exact dose, in units of what is allowed."""
    rows = _table("rounding")
    colour = colours.delta_e_2000(given.lab, exact.lab) / rows["colour"]["most"]
    if wish.sort == "ph":
        return np.asarray(np.abs(given.ph - exact.ph) / rows["ph"]["most"])
    if wish.sort == "acidity":
        off = np.abs(given.acidity_g_per_l - exact.acidity_g_per_l)
        return np.asarray(off / rows["acidity"]["most"])
    if wish.sort == "word":  # any shade of the name will do, a dead end of rounding will not
        lost = ~wanted(wish.word).holds(given.lab) & wanted(wish.word).holds(exact.lab)
        return np.asarray(np.where(lost, 10.0 + colour, colour))
    return np.asarray(colour)


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.mix", "search.yaml")[section]
    return rows
