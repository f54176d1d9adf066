"""Without a bottle: what stands in for it in each drink, how much of it, and what cannot be saved.

Belongs here: which bottles of the house are there for the same thing, and the dose of each that
brings the acidity, the pH, the colour, the sweetness or the strength back. Does not belong here:
wording (the terminal), what a guest may not have (engine/safety).

The liquid in the glass is known; the missing pour is taken out of it and every dose of another put
in its place, with the melt it had. What nobody can measure by the glass (a leaf) is not replaced.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, TypeAlias

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity
from anthocard.engine.mix.assemble import room_ml
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.line import Along
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed, Measure, State
from anthocard.engine.trade.replaced import Replaced, without
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, Floats, Liquid
from anthocard.facts.chemistry.titration import titratable_acidity_g_per_l
from anthocard.facts.chemistry.volume import abv_percent, sugar_g_per_l
from anthocard.facts.colour.colours import delta_e_2000
from anthocard.house.collection import Collection
from anthocard.house.model import Drink

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


_CHIEF: Final = {
    "spirit": abv_percent, "acid": titratable_acidity_g_per_l, "sugar": sugar_g_per_l,
}  # fmt: skip


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


def gaps(
    one: Computed, missing: frozenset[str], offered: Sequence[Bottle], shelf: Shelf,
    collection: Collection,
) -> Iterator[Gap]:  # fmt: skip
    """Each gap that the lines called `missing` leave in a drink, with what stands in from the best
    on. `offered` are bottles that hold nothing of what is missing.
    """
    drink = one.recipe
    assert isinstance(drink, Drink)
    pours = [m for m in one.measures if m.name in missing and m.g]
    if pours:
        yield _gap(one, "pour", pours, one.states, offered, shelf, collection)
    for number, stage in enumerate(one.stages, start=1):
        if stage.measure.name in missing and stage.measure.g:
            states = one.states[number:]
            yield _gap(one, "reveal", [stage.measure], states, offered, shelf, collection)


def in_a_batch(missing: Bottle, offered: Sequence[Bottle]) -> tuple[tuple[str, float], ...]:
    """What a kitchen takes in the place of a bottle when it makes more of something: so many ml of
    each for 100 ml, by what the bottle is there for, the nearest first.
    """
    there_for = _there_for(missing)
    if there_for not in _CHIEF:
        return ()
    chief, near = _CHIEF[there_for], _table("classes", "alike")["batch_share"]
    much = float(chief(missing.per_ml))
    shares = (
        (bottle.name, 100.0 * much / float(chief(bottle.per_ml)))
        for bottle in offered
        if _alike(bottle, missing, there_for)
    )
    kept = [(name, ml) for name, ml in shares if 100.0 / near <= ml <= 100.0 * near]
    return tuple(sorted(kept, key=lambda one: (abs(one[1] - 100.0), one[0])))


def _gap(
    one: Computed, role: Literal["pour", "reveal"], lines: Sequence[Measure],
    states: Sequence[State], offered: Sequence[Bottle], shelf: Shelf, collection: Collection,
) -> Gap:  # fmt: skip
    """`states` are those of the drink that the lines are in."""
    house, last = collection.house, states[-1]
    poured = [(shelf[line.name], line) for line in lines]
    lost = Liquid.mix(poured_liquid(bottle, line, house) for bottle, line in poured)
    first, ml = shelf[lines[0].name], sum(line.ml or 0.0 for line in lines)
    there_for = _there_for(first)
    stages = [without(state, lost) for state in states]
    drink = one.recipe
    assert isinstance(drink, Drink)
    most_ml = ml + room_ml(last.liquid, drink, house)
    found = [
        StandIn(bottle.name, doses)
        for bottle in offered
        if _alike(bottle, first, there_for)
        and (doses := _doses(bottle, there_for, ml, most_ml, stages))
    ]
    ranked = sorted(found, key=lambda it: (not it.saves, it.doses[0].off, it.name))
    return Gap(
        role, tuple(line.name for line in lines), ml, last.ph,
        last.titratable_acidity_g_per_l, tuple(ranked),
    )  # fmt: skip


def _doses(
    bottle: Bottle, there_for: str, ml: float, most_ml: float, stages: Sequence[Replaced]
) -> tuple[Dose, ...]:
    """The doses that bring each of what it is there for back, one where they round alike; none that
    the glass has no room for.
    """
    row = _table("doses", "walk")
    most_ml = min(most_ml, max(ml, row["least_ml"]) * row["most"])
    walk = np.linspace(0.0, most_ml, int(row["points"]))
    along = stages[-1].with_each(bottle, walk)
    wanted: dict[float, list[By]] = {}
    for by in _MATCHED.get(there_for, ()):
        dose = _match(by, walk, along, stages[-1])
        if dose is not None and dose > 0.0:
            wanted.setdefault(_poured(dose), []).append(by)
    if there_for not in _MATCHED:
        wanted[_poured(ml)] = []
    told = [_dose(bottle, ml, tuple(by), stages) for ml, by in wanted.items()]
    return tuple(sorted(told, key=lambda dose: (not dose.saves, dose.off)))


def _poured(ml: float) -> float:
    """A dose that a hand pours on a busy night."""
    row = _table("doses", "hand")
    step = row["fine_ml"] if ml < row["from_ml"] else row["coarse_ml"]
    return float(max(step, step * round(ml / step)))


def _match(by: By, walk: Floats, along: Along, stage: Replaced) -> float | None:
    """The dose on a walk that brings one figure back; None where none does."""
    if by == "colour":
        return float(walk[int(np.argmin(delta_e_2000(along.lab, stage.lab)))])
    last = stage.state
    told: dict[By, tuple[Floats, float]] = {
        "acidity": (along.acidity_g_per_l, last.titratable_acidity_g_per_l),
        "pH": (along.ph, last.ph),
        "sweetness": (along.sugar_g_per_l, last.sugar_g_per_l),
        "strength": (along.abv_percent, last.abv_percent),
    }
    figures, wanted = told[by]
    short = figures - wanted
    crossed = np.flatnonzero(short[:-1] * short[1:] <= 0.0)
    if crossed.size == 0:
        return None
    at = int(crossed[0])
    share = short[at] / (short[at] - short[at + 1]) if short[at] != short[at + 1] else 0.0
    return float(walk[at] + share * (walk[at + 1] - walk[at]))


def _dose(bottle: Bottle, ml: float, by: tuple[By, ...], stages: Sequence[Replaced]) -> Dose:
    walks = [stage.with_each(bottle, np.array([ml])) for stage in stages]
    end, last = walks[-1], stages[-1].state
    off = max(
        float(delta_e_2000(walk.lab[0], stage.lab))
        for walk, stage in zip(walks, stages, strict=True)
    )
    sourness, sugar = float(end.acidity_g_per_l[0]), float(end.sugar_g_per_l[0])
    strength, row = float(end.abv_percent[0]), _table("saved", "drink")
    sour = max(row["acidity_g_per_l"], row["acidity_share"] * last.titratable_acidity_g_per_l)
    sweet = max(row["sugar_g_per_l"], row["sugar_share"] * last.sugar_g_per_l)
    saves = (
        off <= row["delta_e00"]
        and abs(sourness - last.titratable_acidity_g_per_l) <= sour
        and abs(sugar - last.sugar_g_per_l) <= sweet
        and abs(strength - last.abv_percent) <= row["abv_percent"]
    )
    return Dose(ml, by, float(end.ph[0]), sourness, sugar, strength, off, saves)


def _there_for(bottle: Bottle) -> str:
    """What a bottle is poured for; its kind where it is for none of the four."""
    if bottle.density_g_per_ml is None:
        return "dry"
    one, row = bottle.per_ml, _table("classes", "alike")
    if float(one.amounts[PLANT_COLUMNS].sum()) > row["coloured_au_ml"]:
        return "colour"
    if float(abv_percent(one)) >= row["strong_percent"]:
        return "spirit"
    if float(titratable_acidity_g_per_l(one)) >= row["sour_g_per_l"]:
        return "buffer" if float(acidity.read(one, 20.0).ph) >= row["buffer_ph"] else "acid"
    return "sugar" if float(sugar_g_per_l(one)) >= row["sweet_g_per_l"] else bottle.kind


def _alike(bottle: Bottle, missing: Bottle, there_for: str) -> bool:
    if _there_for(bottle) != there_for or there_for == "dry":
        return False
    apart = abs(float(abv_percent(bottle.per_ml)) - float(abv_percent(missing.per_ml)))
    return (
        there_for not in ("spirit", "colour")
        or apart <= _table("classes", "alike")["percent_apart"]
    )


@cache
def _table(section: str, name: str) -> dict[str, Any]:
    row: dict[str, Any] = read_table("anthocard.engine.trade", "standing_in.yaml")[section][name]
    return row
