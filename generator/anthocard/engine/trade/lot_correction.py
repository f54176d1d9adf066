"""What can be done about a lot, from steeping more to letting down, and how it then reads.

Belongs here: the amounts of each way and the jar it leads to. Does not belong here: whether a lot
needs it (lot_verdict.py), how it is worded (the press).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal, TypeAlias

import numpy as np

from anthocard.engine.mix import acidity
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.fitting import ROOM_C
from anthocard.engine.trade.lot_jar import Jar, LotComparison, SampleReading, delta_e00, limits
from anthocard.facts.chemistry import extraction
from anthocard.facts.chemistry.equilibrium import PhReading
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent, volume_ml
from anthocard.facts.colour.pigments import coloured
from anthocard.facts.units.measures import to_g, to_ml
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Infusion
from anthocard.house.references import plant_key

How: TypeAlias = Literal["steep", "let-down", "blend", "dissolve", "sour", "soften"]
Risk: TypeAlias = Literal[
    "weak-plant", "steeped-again", "let-down", "older", "in-halves", "read-again", "acid-unknown"
]


@dataclass(frozen=True, slots=True)
class CorrectionStep:
    """One thing to do: so much of `name` in `unit`, and for a plant how many minutes."""

    how: How
    name: str
    amount: float
    unit: Literal["g", "ml"]
    minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Correction:
    """Steps in order, how the lot then reads and looks, how much of it there is, what may go wrong.

    `delta_e00` and `delta_ph` are from the recipe.
    """

    steps: tuple[CorrectionStep, ...]
    reads: SampleReading
    volume_ml: float
    delta_e00: float
    delta_ph: float
    risks: tuple[Risk, ...]
    lands: bool


#: Made up on the day, where no solution of the house puts a pH right.
THIN: Final = ("citric acid", "trisodium citrate")


def corrections(
    one: LotComparison, collection: Collection, others: Sequence[LotComparison] = ()
) -> tuple[Correction, ...]:
    """Every way that leads the lot back to its recipe, the surest first.

    `others` are other lots of the same recipe that were read, for blending.
    """
    recipe = one.made.recipe
    ways = (
        _of_infusion(one, recipe, collection, others)
        if isinstance(recipe, Infusion)
        else _of_mixture(one)
    )
    found = [_finished(one, jar, steps, risks, collection) for jar, steps, risks in ways]
    return tuple(sorted(found, key=lambda way: (not way.lands, len(way.risks))))


_Way: TypeAlias = tuple[Jar, tuple[CorrectionStep, ...], tuple[Risk, ...]]


def _of_infusion(
    one: LotComparison, recipe: Infusion, collection: Collection, others: Sequence[LotComparison]
) -> Iterator[_Way]:
    base = one.shelf[recipe.into]
    if one.times > 1.0:
        add_ml = _round(one.jar.volume_ml * (one.times - 1.0))
        step = CorrectionStep("let-down", base.name, add_ml, "ml")
        yield one.jar.mixed(base.per_ml, add_ml), (step,), ("let-down",)
    else:
        yield from _steeped(one, recipe, base, collection)
    for other in others:
        yield from _blended(one, other)


def _steeped(
    one: LotComparison, recipe: Infusion, base: Bottle, collection: Collection
) -> Iterator[_Way]:
    """More of the plant, for as long as the recipe steeps: its grams give what the first gave."""
    key = plant_key(recipe.plant, collection)
    abv = float(abv_percent(base.per_ml))
    hours = min(recipe.time, limits("correct")["minutes"]["most"] / 60.0)

    def given(grams_per_l: float, h: float) -> float:
        return float(extraction.strength(key, grams_per_l, h, abv, recipe.temperature).au_per_cm)

    weighed = _weighed(one, recipe, collection)
    column = f"{key}_au_ml"
    here, wanted = float(one.jar.per_ml[column]), float(one.target.per_ml[column])
    first = given(weighed or recipe.dose.g_per_l, recipe.time)
    yields = (here if weighed else wanted) / first  # what our plant gives, over the table
    missing = wanted - here
    if missing <= 0.0 or yields <= 0.0:
        return
    grams = _round_g(missing / (yields * given(1.0, hours)) * one.jar.volume_ml / 1000.0)
    per_l = grams * 1000.0 / one.jar.volume_ml
    more = coloured(key, yields * given(per_l, hours)) + Liquid.of(
        **{
            f"{part}_mmol": mmol * per_l / 1000.0
            for part, mmol in extraction.acids_mmol_per_g(key).items()
        }
    )
    left_ml = one.jar.volume_ml - extraction.held_ml_per_g(key) * grams
    if left_ml <= 0.0:
        return
    jar = replace(one.jar, per_ml=one.jar.per_ml + more, volume_ml=left_ml)
    risks: tuple[Risk, ...] = ("steeped-again", *(() if weighed else ("weak-plant",)), "read-again")
    yield jar, (CorrectionStep("steep", recipe.plant, grams, "g", 60.0 * hours),), risks


def _weighed(one: LotComparison, recipe: Infusion, collection: Collection) -> float | None:
    """Grams of plant per litre as they were weighed into this lot, if somebody wrote them down."""
    grams = litres = 0.0
    for part in one.lot.weighed:
        if _same(part.name, recipe.plant, collection):
            grams += to_g(part.amount) or 0.0
        elif _same(part.name, recipe.into, collection):
            ml, g = to_ml(part.amount), to_g(part.amount)
            density = one.shelf[recipe.into].density_g_per_ml or 1.0
            litres += (ml if ml is not None else (g or 0.0) / density) / 1000.0
    return grams / litres if grams and litres else None


def _same(written: str, name: str, collection: Collection) -> bool:
    one, other = collection.find(written), collection.find(name)
    return fold(written) == fold(name) or (one is not None and one is other)


def _blended(one: LotComparison, other: LotComparison) -> Iterator[_Way]:
    """So much of another lot that the colour of both together is the recipe's."""
    here, there, wanted = one.jar.pigment, other.jar.pigment, one.target.pigment
    if (here - wanted) * (there - wanted) >= 0.0:
        return  # both too pale, or both too dark
    add_ml = _round(one.jar.volume_ml * (wanted - here) / (there - wanted))
    if 0.0 < add_ml <= other.jar.volume_ml:
        step = CorrectionStep("blend", other.lot.lot, add_ml, "ml")
        yield one.jar.mixed(other.jar.per_ml, add_ml), (step,), ("older",)


def _of_mixture(one: LotComparison) -> Iterator[_Way]:
    """Water, or more of what the recipe dissolves; by °Brix where it was read, else by pH."""
    times = concentration(one)
    if times is None or abs(times - 1.0) < 0.01:
        return
    water = one.shelf["still water"]
    risks: tuple[Risk, ...] = () if "brix" in one.read else ("acid-unknown",)
    jar = _at_concentration(one, times)
    water_ml = float(jar.per_ml["water_g"]) * jar.volume_ml  # a g of it is a ml
    if times > 1.0:
        add_ml = _round(water_ml * (times - 1.0))
        step = CorrectionStep("let-down", water.name, add_ml, "ml")
        yield jar.mixed(water.per_ml, add_ml), (step,), ("let-down", *risks)
        return
    assert one.made.batch is not None  # whatever a house makes has one
    share = water_ml / float(one.made.batch["water_g"]) * (1.0 - times)
    steps, added = [], Liquid.mix(())
    for bottle, measure in one.made.parts:
        if bottle.density_g_per_ml is None and measure.g:
            grams = _round_g(measure.g * share)
            steps.append(CorrectionStep("dissolve", bottle.name, grams, "g"))
            added = added + bottle.per_g * grams
    if not steps:
        return
    yield jar.mixed(added, 1.0), tuple(steps), (*risks, "read-again")


def concentration(one: LotComparison) -> float | None:
    """How strong a mixture was made, over its recipe, as its readings tell; None if they cannot."""
    target = one.target.read()
    if "brix" in one.read and target.brix > 0.5:
        read = one.jar.read().brix
        return read * (100.0 - target.brix) / (target.brix * (100.0 - read))
    if "ph" not in one.read:
        return None
    low, high = (limits("correct")["concentration"][end] for end in ("low", "high"))
    times = np.geomspace(low, high, 61)
    ph = np.asarray([float(_at(one.target.per_ml, float(k)).ph) for k in times])
    slope = np.diff(ph) / np.diff(np.log(times))
    least = limits("told")["slope"]["ph"]
    if not (np.all(slope < -least) or np.all(slope > least)):
        return None
    read = one.jar.read().ph
    order = np.argsort(ph)
    if not ph[order][0] <= read <= ph[order][-1]:
        return None
    return float(np.exp(np.interp(read, ph[order], np.log(times)[order])))


def _at(per_ml: Liquid, times: float) -> PhReading:
    return acidity.read(_dissolved(per_ml, times), ROOM_C)


def _dissolved(per_ml: Liquid, times: float) -> Liquid:
    """The same with all that is no water so many times over."""
    return (per_ml * times).having(water_g=float(per_ml["water_g"]))


def _at_concentration(one: LotComparison, times: float) -> Jar:
    whole = _dissolved(one.target.per_ml, times)
    return Jar(whole, 1.0, one.jar.pk_shift).scaled(one.jar.volume_ml)


def _finished(
    one: LotComparison, jar: Jar, steps: tuple[CorrectionStep, ...], risks: tuple[Risk, ...],
    collection: Collection,
) -> Correction:  # fmt: skip
    """The way with its pH put right, where a little acid or buffer of the house does that."""
    wanted = one.target.read()
    trim = _trim(jar, wanted.ph, one, collection)
    if trim is not None:
        jar, step = trim
        steps, risks = (*steps, step), (*risks, "in-halves")
    reads = jar.read()
    away, ph = delta_e00(reads, wanted), reads.ph - wanted.ph
    lands = (
        away <= limits("pass")["colour"]["delta_e00"] and abs(ph) <= limits("pass")["ph"]["most"]
    )
    return Correction(steps, reads, jar.volume_ml, away, ph, risks, lands)


def _trim(
    jar: Jar, wanted_ph: float, one: LotComparison, collection: Collection
) -> tuple[Jar, CorrectionStep] | None:
    """The smallest dose of a solution of the house that brings the pH where it should be."""
    here = jar.read().ph
    if abs(here - wanted_ph) <= limits("pass")["ph"]["most"] / 2.0 or "ph" not in one.read:
        return None
    most_ml = limits("correct")["trim"]["ml_per_l"] * jar.volume_ml / 1000.0
    best: tuple[float, Bottle] | None = None
    own = [one.shelf[name] for name in collection.solutions if fold(name) != fold(one.lot.of)]
    for bottle in [*own, *(_thin(one.shelf[name]) for name in THIN)]:
        dose = _dose(jar, bottle, wanted_ph, most_ml)
        if dose is not None and (best is None or dose < best[0]):
            best = dose, bottle
    if best is None:
        return None
    ml = _round_ml(best[0])
    how: How = "sour" if here > wanted_ph else "soften"
    return jar.mixed(best[1].per_ml, ml), CorrectionStep(how, best[1].name, ml, "ml")


def _thin(powder: Bottle) -> Bottle:
    """One gram of a powder in 99 g of water: for what has little to hold its pH with."""
    per_g = powder.per_g * 0.01 + Liquid.of(water_g=0.99)
    name = f"a solution of 1 g {powder.name} in 99 g of water"
    return replace(powder, name=name, per_g=per_g, density_g_per_ml=1.0 / float(volume_ml(per_g)))


def _dose(jar: Jar, bottle: Bottle, wanted_ph: float, most_ml: float) -> float | None:
    """ml of a bottle that bring the jar to a pH; None where no dose up to the most does."""

    def off(ml: float) -> float:
        return float(acidity.read(jar.mixed(bottle.per_ml, ml).per_ml, ROOM_C).ph) - wanted_ph

    low, high = 0.0, most_ml
    at_low, at_high = off(low), off(high)
    if at_low * at_high > 0.0:
        return None
    for _ in range(40):
        middle = (low + high) / 2.0
        if off(middle) * at_low > 0.0:
            low = middle
        else:
            high = middle
    return high


def _round(ml: float) -> float:
    """To a ml, and to a tenth of it below ten."""
    return round(ml, 0 if ml >= 10.0 else 1)


def _round_ml(ml: float) -> float:
    """A dose that changes pH: to a hundredth of a ml below one."""
    return round(ml, 1 if ml >= 5.0 else 2)


def _round_g(grams: float) -> float:
    """To a tenth of a gram, and to a hundredth below five."""
    return round(grams, 1 if grams >= 5.0 else 2)
