"""Reveals in their order: the drink after each of them, and the turn through all of them.

Belongs here: what is stirred into what, when, and what lies unstirred. Does not belong here: one
pour's physics (mix), windows and doubts (trust), wording.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.glassful import Layer
from anthocard.engine.mix import line as turn
from anthocard.engine.mix.assemble import Poured, with_reveal
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.optics.sight import Sight
from anthocard.engine.results import Stage, State, Turn
from anthocard.engine.served.layering import Lying, check_order, seen_apart
from anthocard.engine.together import Work
from anthocard.engine.trust.input_uncertainty import density_half
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import density_g_per_ml, volume_ml
from anthocard.house.model import Drink
from anthocard.house.settings import House

#: A liquid at its temperature, and everything that follows from it.
Read = Callable[[Liquid, float], Work[State]]


def staged(
    before: State,
    revealed: Sequence[Poured],
    recipe: Drink,
    house: House,
    sight: Sight,
    pk_shift: float,
    read: Read,
    places: Sequence[Place],
    log: MistakeLog,
    at_c: float | None = None,
) -> Work[tuple[Stage, ...]]:
    """Every reveal with the drink after it; `at_c` asks for all figures at one temperature."""
    stages = []
    liquid, warm_c = before.liquid, before.temperature_c
    name = recipe.pours[0].name
    for reveal, (bottle, measure), place in zip(recipe.revealing, revealed, places, strict=True):
        layers: tuple[Layer, ...] = ()
        if reveal.how == "layered" and measure.g:
            lain = _lain(name, liquid, bottle, poured_liquid(bottle, measure, house))
            check_order(lain, (place, place), log)
            layers, _ = seen_apart(lain, warm_c, sight, pk_shift)
        liquid, warm_c = with_reveal(liquid, warm_c, bottle, measure, reveal.how, house)
        warm_c = warm_c if at_c is None else at_c
        state = yield from read(liquid, warm_c)
        stages.append(Stage(measure, reveal.how, reveal.served or "", state, layers))
    return tuple(stages)


def _lain(name: str, drink: Liquid, other: Bottle, added: Liquid) -> tuple[Lying, Lying]:
    """A drink and what is laid on it or run under it, the heavier below."""
    pair = (
        Lying((0,), (name,), drink, float(density_g_per_ml(drink))),
        Lying((1,), (other.name,), added, float(density_g_per_ml(added)), density_half(other)),
    )
    return pair if pair[0].density_g_per_ml >= pair[1].density_g_per_ml else pair[::-1]


def turning(
    before: State,
    stages: Sequence[Stage],
    revealed: Sequence[Poured],
    house: House,
    sight: Sight,
    pk_shift: float,
) -> Work[Turn | None]:
    """The way through all reveals, in ml of everything revealed; None where nothing is poured."""
    legs: list[Turn] = []
    start, poured_ml = before, 0.0
    added = [poured_liquid(bottle, measure, house) for bottle, measure in revealed]
    last = max((n for n, one in enumerate(added) if float(volume_ml(one)) > 0.0), default=-1)
    for number, (stage, liquid) in enumerate(zip(stages, added, strict=True)):
        dose_ml = float(volume_ml(liquid))
        if dose_ml > 0.0:
            warm = (start.temperature_c, stage.state.temperature_c)
            per_ml = liquid * (1.0 / dose_ml)
            leg = yield from turn.walk(start.liquid, per_ml, dose_ml, warm, sight, pk_shift)
            legs.append(_moved(leg, poured_ml, None if number == last else dose_ml))
        start, poured_ml = stage.state, poured_ml + dose_ml
    return _joined(legs) if legs else None


def _moved(leg: Turn, by_ml: float, upto_ml: float | None) -> Turn:
    """A leg after others, cut off at its own dose unless it is the last."""
    if not by_ml and upto_ml is None:
        return leg
    keep = slice(None)
    if upto_ml is not None:
        keep = slice(0, int(np.searchsorted(leg.poured_ml, upto_ml * (1.0 + 1e-9), "right")))
    return Turn(
        poured_ml=leg.poured_ml[keep] + by_ml,
        ph=leg.ph[keep],
        lab=leg.lab[keep],
        hexes=leg.hexes[keep],
        names=leg.names[keep],
    )


def _joined(legs: Sequence[Turn]) -> Turn:
    if len(legs) == 1:
        return legs[0]
    return Turn(
        poured_ml=np.concatenate([leg.poured_ml for leg in legs]),
        ph=np.concatenate([leg.ph for leg in legs]),
        lab=np.concatenate([leg.lab for leg in legs]),
        hexes=tuple(one for leg in legs for one in leg.hexes),
        names=tuple(one for leg in legs for one in leg.names),
    )
