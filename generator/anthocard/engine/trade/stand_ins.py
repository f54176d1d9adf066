"""Without a bottle: what stands in for it in each drink, how much of it, and what cannot be saved.

Belongs here: the dose of each bottle that brings the acidity, the pH, the colour, the sweetness or
the strength back. Does not belong here: which bottles are poured for the same thing (rail.py),
wording (the terminal), what a guest may not have (engine/safety).

The liquid in the glass is known; the missing pour is taken out of it and every dose of another put
in its place, with the melt it had. What nobody can measure by the glass (a leaf) is not replaced.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, TypeAlias

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.assemble import room_ml
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.line import Along
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed, Measure, State
from anthocard.engine.trade.rail import Rail
from anthocard.engine.trade.replaced import Replaced, without
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.colour.colours import delta_e_2000
from anthocard.house.model import Drink
from anthocard.house.settings import House

By: TypeAlias = Literal["acidity", "pH", "colour", "sweetness", "strength"]
#: What a bottle may be in a drink for, and what it is then matched by; what is there for none of
#: these is alike by its kind in the stock.
_MATCHED: Final[dict[str, tuple[By, ...]]] = {
    "colour": ("colour", "pH", "acidity", "strength"),
    "spirit": ("strength",),
    "buffer": ("pH", "acidity", "colour"),
    "acid": ("acidity", "pH", "colour"),
    "sugar": ("sweetness", "acidity", "colour"),
}


@dataclass(frozen=True, slots=True)
class Dose:
    """So much of a bottle, and what the drink then reads; `by` is what it was matched for.

    `off` is ΔE00 from the drink as it is written, the larger of before and after the reveal.
    """

    ml: float
    by: tuple[By, ...]
    ph: float
    acidity_g_per_l: float
    sugar_g_per_l: float
    abv_percent: float
    off: float
    saves: bool


@dataclass(frozen=True, slots=True)
class StandIn:
    """One bottle that could stand in, its doses from the best on."""

    name: str
    doses: tuple[Dose, ...]

    @property
    def saves(self) -> bool:
        """Whether the drink is still itself with it."""
        return any(dose.saves for dose in self.doses)


@dataclass(frozen=True, slots=True)
class Gap:
    """Where a drink misses a bottle: `names` of the lines that hold it, how much, and as what.

    `ph`, `acidity_g_per_l` and the others are of the drink as it is written.
    """

    role: Literal["pour", "reveal"]
    names: tuple[str, ...]
    ml: float
    ph: float
    acidity_g_per_l: float
    stand_ins: tuple[StandIn, ...]


@dataclass(frozen=True, slots=True)
class _Missed:
    """One gap before anything stands in: whose drink, as what, the lines, the glass at each stage
    of it, and the most that still goes in.
    """

    number: int
    role: Literal["pour", "reveal"]
    lines: tuple[str, ...]
    first: Bottle
    ml: float
    most_ml: float
    stages: tuple[Replaced, ...]
    last: State


def gaps(
    drinks: Sequence[tuple[Computed, Set[str]]], rail: Rail, house: House
) -> list[list[Gap]]:  # fmt: skip
    """Of each drink, the gaps that its lines called so leave, with what stands in from the best on.

    Drinks that miss the same thing are worked out in one call, so many at a time that a thousand
    drinks take no more room than a hundred.
    """
    found: list[list[Gap]] = [[] for _ in drinks]
    missed = [
        miss
        for number, (one, names) in enumerate(drinks)
        for miss in _missed(number, one, names, rail.shelf, house)
    ]
    alike: dict[tuple[str, int], list[_Missed]] = {}
    for miss in missed:
        alike.setdefault((miss.first.name, len(miss.stages)), []).append(miss)
    stand_ins: dict[int, tuple[StandIn, ...]] = {}
    for group in alike.values():
        bottles = rail.alike(group[0].first)
        some = max(1, int(_table("doses", "walk")["at_once"]) // max(1, len(bottles)))
        for start in range(0, len(group), some):
            part = group[start : start + some]
            for miss, its in zip(part, _stand_ins(part, bottles, rail), strict=True):
                stand_ins[id(miss)] = its
    for miss in missed:
        found[miss.number].append(
            Gap(
                miss.role,
                miss.lines,
                miss.ml,
                miss.last.ph,
                miss.last.titratable_acidity_g_per_l,
                stand_ins[id(miss)],
            )
        )
    return found


def _missed(
    number: int, one: Computed, names: Set[str], shelf: Shelf, house: House
) -> Iterator[_Missed]:
    drink = one.recipe
    assert isinstance(drink, Drink)

    def miss(
        role: Literal["pour", "reveal"], lines: list[Measure], states: Sequence[State]
    ) -> _Missed:
        lost = Liquid.mix(poured_liquid(shelf[line.name], line, house) for line in lines)
        ml = sum(line.ml or 0.0 for line in lines)
        return _Missed(
            number, role, tuple(line.name for line in lines), shelf[lines[0].name], ml,
            ml + room_ml(states[-1].liquid, drink, house),
            tuple(without(state, lost) for state in states), states[-1],
        )  # fmt: skip

    pours = [m for m in one.measures if m.name in names and m.g]
    if pours:
        yield miss("pour", pours, one.states)
    for at, stage in enumerate(one.stages, start=1):
        if stage.measure.name in names and stage.measure.g:
            yield miss("reveal", [stage.measure], one.states[at:])


def _stand_ins(
    missed: Sequence[_Missed], bottles: Sequence[Bottle], rail: Rail
) -> list[tuple[StandIn, ...]]:
    """For each of many gaps, each bottle with the doses that bring back each of what it is there
    for, one where they round alike, none that the glass has no room for; all in one call.
    """
    if not bottles:
        return [() for _ in missed]
    per_ml = Liquid.stack(bottle.per_ml for bottle in bottles)
    stages = [Replaced.stack(its) for its in zip(*(one.stages for one in missed), strict=True)]
    wanted = _wanted(missed, per_ml, rail.there_for(missed[0].first), stages[-1])
    pairs = [
        (at, which) for at, rows in enumerate(wanted) for which, row in enumerate(rows) for _ in row
    ]
    doses_by = [(ml, tuple(by)) for rows in wanted for row in rows for ml, by in row.items()]
    found: list[dict[int, list[Dose]]] = [{} for _ in missed]
    if doses_by:
        at, which = (list(column) for column in zip(*pairs, strict=True))
        doses = _doses(Liquid(per_ml.amounts[which]), doses_by, [stage[at] for stage in stages])
        for one, bottle, dose in zip(at, which, doses, strict=True):
            found[one].setdefault(bottle, []).append(dose)
    return [
        tuple(
            sorted(
                (
                    StandIn(bottles[n].name, tuple(sorted(its, key=lambda d: (not d.saves, d.off))))
                    for n, its in one.items()
                ),
                key=lambda it: (not it.saves, it.doses[0].off, it.name),
            )
        )
        for one in found
    ]


def _wanted(
    missed: Sequence[_Missed], per_ml: Liquid, there_for: str, last: Replaced
) -> list[list[dict[float, list[By]]]]:
    """By gap and bottle: each dose that a hand pours, and which figures it brings back."""
    if there_for not in _MATCHED:
        return [[{_rounded(one.ml): []} for _ in per_ml.amounts] for one in missed]
    row = _table("doses", "walk")
    most = [min(one.most_ml, max(one.ml, row["least_ml"]) * row["most"]) for one in missed]
    walks = np.linspace(0.0, most, int(row["points"]), axis=-1)
    every = last[:, np.newaxis, np.newaxis]
    along = every.with_each(Liquid(per_ml.amounts[:, np.newaxis]), walks[:, np.newaxis])
    wanted: list[list[dict[float, list[By]]]] = [[{} for _ in per_ml.amounts] for _ in missed]
    for by in _MATCHED[there_for]:
        brings = _nearest if by == "colour" else _crossing
        for doses, walk, shorts in zip(wanted, walks, _short(by, along, every), strict=True):
            for its, short in zip(doses, shorts, strict=True):
                dose = brings(walk, short)
                if dose is not None and dose > 0.0:
                    its.setdefault(_rounded(dose), []).append(by)
    return wanted


def _rounded(ml: float) -> float:
    """A dose that a hand pours on a busy night."""
    row = _table("doses", "hand")
    step = row["fine_ml"] if ml < row["from_ml"] else row["coarse_ml"]
    return float(max(step, step * round(ml / step)))


def _short(by: By, along: Along, whole: Replaced) -> Floats:
    """By how much each dose misses one figure of the drinks as they are written."""
    if by == "colour":
        return delta_e_2000(along.lab, whole.lab)
    if by == "acidity":
        return along.acidity_g_per_l - whole.acidity_g_per_l
    if by == "pH":
        return along.ph - whole.ph
    if by == "sweetness":
        return along.sugar_g_per_l - whole.sugar_g_per_l
    return along.abv_percent - whole.abv_percent


def _nearest(walk: Floats, apart: Floats) -> float | None:
    return float(walk[int(np.argmin(apart))])


def _crossing(walk: Floats, short: Floats) -> float | None:
    """The dose on a walk from which one figure no longer misses; None where none brings it back."""
    crossed = np.flatnonzero(short[:-1] * short[1:] <= 0.0)
    if crossed.size == 0:
        return None
    at = int(crossed[0])
    share = short[at] / (short[at] - short[at + 1]) if short[at] != short[at + 1] else 0.0
    return float(walk[at] + share * (walk[at + 1] - walk[at]))


def _doses(
    per_ml: Liquid, wanted: Sequence[tuple[float, tuple[By, ...]]], stages: Sequence[Replaced]
) -> list[Dose]:
    """What each of many doses (ml, and what it was matched by) reads in its glass."""
    walks = [stage.with_each(per_ml, np.array([ml for ml, _ in wanted])) for stage in stages]
    end, whole, row = walks[-1], stages[-1], _table("saved", "drink")
    apart = (delta_e_2000(walk.lab, stage.lab) for walk, stage in zip(walks, stages, strict=True))
    off = np.max([*apart], axis=0)
    sourness, sugar, strength = end.acidity_g_per_l, end.sugar_g_per_l, end.abv_percent
    sour = np.maximum(row["acidity_g_per_l"], row["acidity_share"] * whole.acidity_g_per_l)
    sweet = np.maximum(row["sugar_g_per_l"], row["sugar_share"] * whole.sugar_g_per_l)
    saves = (
        (off <= row["delta_e00"])
        & (np.abs(sourness - whole.acidity_g_per_l) <= sour)
        & (np.abs(sugar - whole.sugar_g_per_l) <= sweet)
        & (np.abs(strength - whole.abv_percent) <= row["abv_percent"])
    )
    figures = (column.tolist() for column in (end.ph, sourness, sugar, strength, off, saves))
    return [Dose(*one, *its) for one, *its in zip(wanted, *figures, strict=True)]


@cache
def _table(section: str, name: str) -> dict[str, Any]:
    row: dict[str, Any] = read_table("anthocard.engine.trade", "standing_in.yaml")[section][name]
    return row
