"""Steps of heat and cold: boil down, chill, freeze, run in a blender.

Belongs here: what leaves as vapour and what heat does to what is known. Does not belong here:
thawing, which parts a pot (parting.py).
"""

from __future__ import annotations

from dataclasses import replace

from anthocard.engine.steps.pot import Done, Pot, StepError, came_out, need_liquid
from anthocard.facts.chemistry import heat, yields
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS
from anthocard.house.steps import Blend, Chill, Freeze, Reduce


def reduce(step: Reduce, pot: Pot) -> tuple[Pot, Done]:
    """Boil down to a volume or a share: water and most of the alcohol go, all else stays.

    Alcohol goes by published retention, so it is never all gone; plant colour is withheld.
    """
    need_liquid(pot, "nothing-to-reduce", "boil down", "reduce")
    if step.time is None:
        raise StepError(
            "missing-time",
            "nothing says how long it simmers",
            "add a line “time: 30 min”",
            "reduce",
        )
    left = came_out(step.reduce, pot)
    goal_ml, before_g = pot.ml * left, float(pot.liquid.mass_g)
    dry = pot.liquid.having(
        water_g=0.0,
        ethanol_g=pot.liquid["ethanol_g"] * yields.alcohol_left(step.time),
        carbonic_mmol=0.0,
    )
    if float(replace(pot, liquid=dry).ml) > goal_ml:
        raise StepError(
            "unreachable",
            f"what does not boil away fills {replace(pot, liquid=dry).ml:.0f} ml already",
            "stop at more, or put in less sugar",
            "reduce",
        )
    water_g = goal_ml
    for _ in range(40):
        reduced = replace(pot, liquid=dry.having(water_g=max(0.0, water_g)))
        water_g += goal_ml - reduced.ml
    if pot.liquid.amounts[PLANT_COLUMNS].any():
        reduced = reduced.without("colour", "heat takes plant colour, by no published share")
    reduced = replace(reduced, temperature_c=100.0)
    left_g = before_g - float(reduced.liquid.mass_g)
    return reduced, Done("reduce", 0.0, reduced.ml, reduced.g, left_g, weighed=True)


def chill(step: Chill, pot: Pot) -> tuple[Pot, Done]:
    """Make it cold; nothing leaves."""
    pot = replace(pot, temperature_c=step.chill)
    return pot, Done("chill", 0.0, pot.ml, pot.g, 0.0)


def freeze(step: Freeze, pot: Pot) -> tuple[Pot, Done]:
    """Freeze it, or the fat on it: below the point where ice begins, unless fat is what sets."""
    if pot.g <= 0.0:
        raise StepError(
            "nothing-to-freeze", "there is nothing in the pot yet", "add something before", "freeze"
        )
    begins = float(heat.freezing_point_c(pot.liquid))
    if step.freeze > begins and not any(one.fat for one in pot.solids):
        raise StepError(
            "does-not-freeze",
            f"this does not freeze at {step.freeze:g} °C: ice begins to form at {begins:.0f} °C",
            "freeze it colder, or thin it first",
            "freeze",
        )
    pot = replace(pot, temperature_c=step.freeze, frozen_c=step.freeze)
    return pot, Done("freeze", 0.0, pot.ml, pot.g, 0.0)


def blend(step: Blend, pot: Pot) -> tuple[Pot, Done]:
    """Run in a blender: cloudy from now on."""
    if pot.g <= 0.0:
        raise StepError(
            "nothing-to-blend", "there is nothing in the pot yet", "add something before", "blend"
        )
    pot = replace(pot, cloudy=True)
    return pot, Done("blend", 0.0, pot.ml, pot.g, 0.0)
