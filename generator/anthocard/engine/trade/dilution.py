"""Bringing a strength down: how much water takes a bottle of the house to a wanted % vol.

Belongs here: the balance of mass for any bottle, sugar, acids and colour in it. Does not belong
here: plain ethanol and water (facts.alcohol), or a drink's own water (batching.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from anthocard.engine.mix.bottle import Bottle
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent, density_g_per_ml, volume_ml

_HALVINGS = 60  # of the bracket: more digits than a float holds


@dataclass(frozen=True, slots=True)
class Proofed:
    """A strong liquid and the water that brings it down, by volume at 20 °C and by weight.

    `mixed_as_volumes_ml` is the water that the sum of volumes would say: always too little for a
    spirit, because the mixture takes up less room than its parts.
    """

    name: str
    strong_abv: float
    strong_ml: float
    strong_g: float
    strong_g_per_ml: float
    water_ml: float
    water_g: float
    abv_percent: float
    total_ml: float
    total_g: float
    density_g_per_ml: float
    mixed_as_volumes_ml: float


def bring_down(bottle: Bottle, target_abv: float, have_ml: float) -> Proofed:
    """Water for so many ml of a bottle that is there. By mass, so that contraction counts.

    Raises ValueError for nothing, for dry goods, and for a strength that water cannot reach: one
    above the bottle's own, or nought.
    """
    if have_ml <= 0.0:
        raise ValueError("there must be something to bring down")
    strong = bottle.per_ml * have_ml
    strong_abv = float(abv_percent(strong))
    if not 0.0 < target_abv < strong_abv:
        raise ValueError(
            f"water only lowers a strength: {bottle.name} has {strong_abv:.1f} % vol, and "
            f"{target_abv:g} % is asked for"
        )
    water_g = _water_g(strong, target_abv)
    mixed = strong + Liquid.of(water_g=water_g)
    strong_ml = float(volume_ml(strong))
    return Proofed(
        name=bottle.name,
        strong_abv=strong_abv,
        strong_ml=strong_ml,
        strong_g=float(strong.mass_g),
        strong_g_per_ml=float(density_g_per_ml(strong)),
        water_ml=water_g / water_density_g_per_ml(),
        water_g=water_g,
        abv_percent=float(abv_percent(mixed)),
        total_ml=float(volume_ml(mixed)),
        total_g=float(mixed.mass_g),
        density_g_per_ml=float(density_g_per_ml(mixed)),
        mixed_as_volumes_ml=strong_ml * (strong_abv / target_abv - 1.0),
    )


def bring_down_to(bottle: Bottle, target_abv: float, want_ml: float) -> Proofed:
    """The same for so many ml once it is brought down. Raises as `bring_down` does."""
    if want_ml <= 0.0:
        raise ValueError("there must be something to make")
    once = bring_down(bottle, target_abv, want_ml)
    return bring_down(bottle, target_abv, want_ml * want_ml / once.total_ml)


def _water_g(strong: Liquid, target_abv: float) -> float:
    """Grams of water at which the strength has fallen to the target: it only ever falls."""
    low, high = 0.0, float(strong["ethanol_g"]) * 100.0 / target_abv * 2.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        too_strong = float(abv_percent(strong + Liquid.of(water_g=middle))) > target_abv
        low, high = (middle, high) if too_strong else (low, middle)
    return 0.5 * (low + high)
