"""Steps that put something in: pour, steep, juice, zest, rub with sugar, rest, age.

Belongs here: what fruit, leaves, roots and plants of colour give to a liquid, and when nobody
knows. Does not belong here: taking anything out again (parting.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from anthocard.engine.steps.pot import Done, Given, Pot, Solid, StepError, came_out, joined
from anthocard.facts.chemistry import extraction, yields
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent, volume_ml
from anthocard.facts.colour.pigments import coloured
from anthocard.facts.pantry import Produce, Range
from anthocard.house.steps import Add, Age, Juice, Oleo, Rest, Steep, Zest

FOAMS = frozenset({"dairy", "egg"})
_OF_ALL = 0.5  # cloud above this is seen: extinction per cm times 10


def add(step: Add | Zest, pot: Pot, lots: Sequence[Given]) -> tuple[Pot, Done]:
    """Pour and weigh in; what is solid lies in it from now on."""
    filled = _filled(pot, lots, gas_goes=isinstance(step, Add) and step.lets_gas_go)
    return filled, _done(step_word(step), sum(one.g for one in lots), filled)


def steep(step: Steep, pot: Pot, lots: Sequence[Given]) -> tuple[Pot, Done]:
    """Leave things in the liquid for a time, and draw from them what is known."""
    if step.time is None:
        raise StepError(
            "missing-time", "nothing says how long it steeps", "add a line “time: 20 min”", "steep"
        )
    if pot.ml <= 0.0:
        raise StepError(
            "nothing-to-steep-in",
            "there is no liquid yet for this to steep in",
            "put the step that adds the liquid before it: “- add: 700 ml gin”",
            "steep",
        )
    degrees = 20.0 if step.temperature is None else step.temperature
    filled = draw(_filled(pot, lots), step.time, degrees)
    if step.temperature is not None:
        filled = replace(filled, temperature_c=degrees)
    return filled, _done("steep", sum(one.g for one in lots), filled)


def wait(step: Rest | Age, pot: Pot) -> tuple[Pot, Done]:
    """Stand or lie; what is in it goes on giving. A cask gives colour that nobody can tell."""
    hours = step.rest if isinstance(step, Rest) else step.age
    pot = draw(pot, hours, pot.temperature_c if step.temperature is None else step.temperature)
    if isinstance(step, Rest) or step.inside != "oak cask":
        return pot, _done(step_word(step), 0.0, pot)
    pot = pot.without("colour", "nobody published what a cask gives in a time")
    share, gives = _share(step, pot, yields.given("oak cask"))
    left = float(pot.liquid.mass_g) * (1.0 - share)
    pot = replace(pot, liquid=pot.liquid * share)
    return pot, replace(_done("age", 0.0, pot), left_g=left, gives=gives, weighed=bool(step.gives))


def juice(step: Juice, pot: Pot, lots: Sequence[Given]) -> tuple[Pot, Done]:
    """The juice of fruit by weight; skins, pips and pulp stay behind."""
    put_in = sum(one.g for one in lots)
    pressed: list[Liquid] = []
    low = high = 0.0
    for one in lots:
        fruit = one.produce
        if fruit is None or one.juice is None or fruit.juice_share is None:
            raise StepError(
                "no-juice",
                f"nothing says what the juice of {one.name} holds",
                "write its juice into stock.yaml, or add the juice itself: “- add: 500 ml …”",
                "juice",
            )
        pressed.append(one.juice * (one.g * fruit.juice_share[1]))
        low += one.g * fruit.juice_share[0]
        high += one.g * fruit.juice_share[2]
    liquid = Liquid.mix(pressed)
    usual_g, weighed = float(liquid.mass_g), step.gives is not None
    if step.gives is not None:
        out_g = _pressed_g(step, liquid, put_in)
        liquid = liquid * (out_g / usual_g)
        low = high = out_g
    before = pot
    pot = replace(
        pot,
        liquid=pot.liquid + liquid,
        withheld=joined((*pot.withheld, *(w for one in lots for w in one.withheld))),
        cloudy=True,
    )
    done = _done("juice", put_in, pot)
    out = float(pot.liquid.mass_g) - float(before.liquid.mass_g)
    gives = (low / put_in, out / put_in, high / put_in)
    return pot, replace(done, left_g=put_in - out, gives=gives, weighed=weighed)


def oleo(step: Oleo, pot: Pot, lots: Sequence[Given], sugar: Given) -> tuple[Pot, Done]:
    """Sugar drawn into a syrup by the water of the peel, as far as that dissolves it.

    The rest of the sugar and the peel stay behind when it is pressed or strained.
    """
    filled = _filled(pot, lots)
    at_rest = draw(filled, 24.0 if step.time is None else step.time, pot.temperature_c)
    water_g = float(at_rest.liquid["water_g"])
    most_g = water_g * yields.saturated_brix(20.0) / (100.0 - yields.saturated_brix(20.0))
    there_g = float(at_rest.liquid["sugar_g"])
    dissolved = min(sugar.g, max(0.0, most_g - there_g))
    rest_g = sugar.g - dissolved
    crystals = (
        (Solid(f"{sugar.name} undissolved", rest_g, (0.0, 0.0, 0.0), sugar, drawn=True),)
        if rest_g > 0.0
        else ()
    )
    pot = replace(
        at_rest,
        liquid=at_rest.liquid + sugar.per_g * dissolved,
        solids=(*at_rest.solids, *crystals),
        cloudy=True,
    )
    return pot, _done("oleo", sum(one.g for one in lots) + sugar.g, pot)


def draw(pot: Pot, hours: float, temperature_c: float) -> Pot:
    """What lies in the liquid gives to it for so many hours: colour, acid, water, sugar.

    A plant of known colour gives by its table. Of fresh things a share of the water comes out; what
    is not known of them is withheld from now on.
    """
    pot = replace(pot, hours=pot.hours + hours)
    abv, volume = float(abv_percent(pot.liquid)), pot.ml
    solids: list[Solid] = []
    for solid in pot.solids:
        key, produce = solid.given.plant, solid.given.produce
        if solid.drawn or solid.fat or (key is None and produce is None):
            solids.append(solid)
        elif key is not None and volume > 0.0:
            warm = float(np.clip(temperature_c, 0.0, 100.0))
            taken = extraction.strength(key, solid.g / volume * 1000.0, hours, abv, warm)
            acids = {
                f"{part}_mmol": mmol * solid.g
                for part, mmol in extraction.acids_mmol_per_g(key).items()
            }
            pot = replace(
                pot,
                liquid=pot.liquid + coloured(key, taken.au_per_cm) * volume + Liquid.of(**acids),
            )
            solids.append(replace(solid, drawn=True))
        elif produce is not None:
            given = _given_up(produce, solid.g, yields.drawn(hours)[pot.draws])
            pot = replace(pot, liquid=pot.liquid + given)
            for what in produce.unknown:
                because = f"nobody published what {solid.name} gives in a jar"
                pot = pot.without(what, because)
            solids.append(replace(solid, g=solid.g - float(given.mass_g), drawn=True))
        else:
            solids.append(solid)
    return replace(pot, solids=tuple(solids), cloudy=pot.cloudy or bool(solids))


def step_word(step: Add | Zest | Rest | Age) -> str:
    """The word such a step is written by."""
    return type(step).__name__.lower()


def _filled(pot: Pot, lots: Sequence[Given], *, gas_goes: bool = False) -> Pot:
    poured = Liquid.mix((pot.liquid, *(one.per_g * one.g for one in lots if not one.solid)))
    if gas_goes:
        poured = poured.having(carbonic_mmol=0.0)
    volume = float(volume_ml(poured))
    haze = float(poured["haze_au_ml"]) / volume if volume > 0.0 else 0.0
    return replace(
        pot,
        liquid=poured,
        solids=(*pot.solids, *(_lying(one) for one in lots if one.solid)),
        withheld=joined((*pot.withheld, *(w for one in lots for w in one.withheld))),
        foams=(*pot.foams, *(one.name for one in lots if one.kind in FOAMS)),
        cloudy=pot.cloudy
        or haze * 10.0 > _OF_ALL
        or any(one.solid or one.kind == "substance" for one in lots),
    )


def _lying(one: Given) -> Solid:
    if one.plant is not None:
        held = extraction.held_ml_per_g(one.plant) * one.g
        return Solid(one.name, one.g, (held, held, held), one)
    assert one.produce is not None
    low, usual, high = one.produce.held_ml_per_g
    held_ml: Range = (low * one.g, usual * one.g, high * one.g)
    return Solid(one.name, one.g, (0.0, 0.0, 0.0) if one.produce.fat else held_ml, one)


def _given_up(produce: Produce, grams: float, share: float) -> Liquid:
    """Water, sugar, known acids and caffeine of so many grams, as much as comes out."""
    acids_g = {key: part * grams * share for key, part in produce.acids.items()}
    return Liquid.of(
        water_g=produce.water * grams * share,
        sugar_g=produce.sugar * grams * share,
        solutes_g=sum(acids_g.values()),
        solutes_ml=0.62 * sum(acids_g.values()),
        strong_cation_mmol=produce.cations_meq_per_kg * grams * share / 1000.0,
        caffeine_mg=1000.0 * grams * produce.caffeine[1] * produce.given[1],
        **{
            f"{key}_mmol": 1000.0 * g / acid(key).molar_mass_g_per_mol for key, g in acids_g.items()
        },
    )


def _pressed_g(step: Juice, liquid: Liquid, put_in: float) -> float:
    gives = step.gives
    assert gives is not None
    per_ml = float(liquid.mass_g) / float(volume_ml(liquid))
    out = {"%": gives.value / 100.0 * put_in, "g": gives.value, "ml": gives.value * per_ml}
    if out[gives.unit] > put_in:
        raise StepError(
            "yield-over-whole",
            f"“{gives.text}” of juice is more than the {put_in:.0f} g of fruit",
            "weigh what comes out, or look at what goes in",
            "yield",
        )
    return out[gives.unit]


def _share(step: Rest | Age, pot: Pot, usual: Range) -> tuple[float, Range]:
    if step.gives is None:
        return usual[1], usual
    part = came_out(step.gives, pot)
    return part, (part, part, part)


def _done(word: str, put_in_g: float, pot: Pot) -> Done:
    return Done(word, put_in_g, pot.ml, pot.g, 0.0)
