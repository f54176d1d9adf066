"""Putting a drink together: its pours on their ice, and the line its reveal is poured along.

Belongs here: which liquids meet, at which temperature. Does not belong here: the physics of ice
(chill.py), the amounts themselves (pour.py, settle.py), the figures (compute.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np

from anthocard.engine.mix import chill
from anthocard.engine.mix.appearance import sight_of
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.line import Line
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.results import Measure
from anthocard.facts.chemistry.carbonation import pour as lose_fizz
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.units.shares import TOP
from anthocard.house.model import Drink
from anthocard.house.serving.pours import How
from anthocard.house.settings import House

Poured: TypeAlias = tuple[Bottle, Measure]


def on_ice(poured: Sequence[Poured], recipe: Drink, house: House) -> tuple[chill.Chilled, float]:
    """The pours on their ice, and the ml they were before it.

    What tops up, floats or sinks a drink that is worked in a tin goes in when it is strained.
    """
    parts = [
        (poured_liquid(bottle, measure, house), chill.start_temperature(bottle.kind, house))
        for bottle, measure in poured
    ]
    late = [apart(measure) and chill.in_tin(recipe) for _, measure in poured]
    worked = [part for part, waits in zip(parts, late, strict=True) if not waits]
    added = [part for part, waits in zip(parts, late, strict=True) if waits]
    mixed = Liquid.mix(liquid for liquid, _ in worked)
    chilled = chill.chill(mixed, chill.mixed_temperature(worked), recipe, house)
    whole_ml = float(volume_ml(Liquid.mix(liquid for liquid, _ in parts)))
    if not added:
        return chilled, whole_ml
    together = [(chilled.liquid, chilled.temperature_c), *added]
    liquid = Liquid.mix(one for one, _ in together)
    return replace(
        chilled, liquid=liquid, temperature_c=chill.mixed_temperature(together)
    ), whole_ml


def apart(measure: Measure) -> bool:
    """Whether a pour is not shaken or stirred with the others: a top, a float, what sinks."""
    return measure.unit == TOP or measure.lies != "in"


def with_reveal(
    glass: Liquid, standing_c: float, bottle: Bottle, measure: Measure, how: How, house: House
) -> tuple[Liquid, float]:
    """The drink with a reveal stirred in, and how warm it is then, °C.

    A frozen ball takes the heat of its melting out of the drink (chill.thawed_in).
    """
    added = poured_liquid(bottle, measure, house)
    mixed = glass + added
    if how != "frozen":
        start_c = chill.start_temperature(bottle.kind, house)
        return mixed, chill.mixed_temperature([(glass, standing_c), (added, start_c)])
    return mixed, chill.thawed_in(glass, standing_c, added, house)


def pk_shift_of(poured: Sequence[Poured]) -> float:
    """The shift of pigment pK found by the house, each bottle's counted by the colour it brings."""
    weights = [
        float(bottle.per_g.amounts[PLANT_COLUMNS].sum()) * (measure.g or 0.0)
        for bottle, measure in poured
    ]
    total = sum(weights)
    if total <= 0.0:
        return 0.0
    return sum(w * b.pk_shift for w, (b, _) in zip(weights, poured, strict=True)) / total


def line_of(
    glass: Liquid,
    standing_c: float,
    bottle: Bottle,
    recipe: Drink,
    house: House,
    pk_shift: float,
    at_c: float | None = None,
) -> Line:
    """The line from a standing glass along the pour of one bottle; at `at_c` throughout if given.

    Along the grams of it where it is a powder.
    """
    dry = bottle.density_g_per_ml is None
    per_ml = bottle.per_g if dry else bottle.per_ml
    if bottle.fizzy:
        per_ml = lose_fizz(per_ml, house.pour_loss / 100.0)
    poured_c = chill.start_temperature(bottle.kind, house)
    return Line(
        before=glass,
        per_ml=per_ml,
        before_c=standing_c if at_c is None else at_c,
        poured_c=poured_c if at_c is None else at_c,
        sight=sight_of(recipe, house),
        pk_shift=pk_shift,
        unit="g" if dry else "ml",
    )


def room_ml(glass: Liquid, recipe: Drink, house: House) -> float:
    """What still goes into the glass beside its ice, ml; never below nought."""
    held_ml = chill.room_for_ml(recipe, house, to_brim=True)
    return float(np.maximum(held_ml - volume_ml(glass), 0.0))
