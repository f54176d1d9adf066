"""Ice: how cold each way of making a drink gets it, and how much water that adds.

Belongs here: methods, their ice, the house's own measured dilution. Does not belong here: the
heat balance itself (facts.heat).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Source
from anthocard.facts.chemistry import heat
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.carbonation import tap_water
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.house.model import Drink
from anthocard.house.settings import House


@dataclass(frozen=True, slots=True)
class Chilled:
    """A drink as it leaves the ice: with its melt water, at its temperature."""

    liquid: Liquid
    temperature_c: float
    melt_g: float
    source: Source


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.mix", "methods.yaml")[section]
    return rows


def how_worked(drink: Drink) -> tuple[str, str]:
    """How it is made and how it is served: “shaken with ice”, “served up”.

    A drink shaken with ice and strained is never told as one without ice.
    """
    row = _table("methods")[drink.method]
    served = row["up"] if drink.ice == "none" else _table("ices")[drink.ice]["words"]
    return str(row["words"]), str(served)


def start_temperature(kind: str, house: House) -> float:
    """Where a bottle of this kind stands before it is poured, °C: the fridge or the shelf."""
    cold = kind in _table("starts")["fridge"]["kinds"]
    return house.fridge_temperature if cold else house.room_temperature


def ice_share(drink: Drink, house: House) -> float:
    """The share of the glass's cross-section that is ice, 0-1."""
    own = house.ices.get(drink.ice)
    return own / 100.0 if own is not None else float(_table("ices")[drink.ice]["share"])


def mixed_temperature(parts: list[tuple[Liquid, float]]) -> float:
    """Temperature of liquids poured together, °C, by their heat capacities; 20 for nothing."""
    capacities = [heat.heat_capacity_j_per_k(liquid) for liquid, _ in parts]
    total = float(np.sum(capacities))
    if total <= 0.0:
        return 20.0
    return float(sum(c * t for c, (_, t) in zip(capacities, parts, strict=True))) / total


def chill(liquid: Liquid, start_c: float, drink: Drink, house: House) -> Chilled:
    """Bring a poured drink to its serving temperature on the ice its method uses.

    The water added is, in this order of trust: the drink's own `dilution`, the house's measured
    method, or the heat balance down to the method's end temperature, never below the freezing
    point of the mix. Without ice nothing melts and the drink stays as warm as it was poured.
    """
    row, own = _table("methods")[drink.method], house.methods.get(drink.method)
    if not row["iced"] and drink.ice == "none":
        reached = drink.serving_temperature
        source = Source(f"method: {drink.method} without ice", row["source"], row["how"])
        return Chilled(liquid, start_c if reached is None else reached, 0.0, source)
    end_c = next(
        value
        for value in (
            drink.serving_temperature,
            own.temperature if own is not None else None,
            float(row["end_c"]),
        )
        if value is not None
    )
    stated = drink.dilution if drink.dilution is not None else (own.dilution if own else None)
    if stated is not None:
        melt_g = stated / 100.0 * float(volume_ml(liquid)) * water_density_g_per_ml()
        source = Source(f"dilution: {drink.method}", f"measured by {house.name}", "measured")
    else:
        base_g = heat.melt_to(liquid, start_c, end_c, ice_c=house.ice_temperature)
        melt_g = float(base_g) * (1.0 + float(row["warmth"]))
        source = Source(f"method: {drink.method}", row["source"], row["how"])
    melt = tap_water(melt_g, house.water.alkalinity_mg_caco3_per_l)
    chilled = liquid + melt
    coldest = float(heat.freezing_point_c(chilled))
    return Chilled(chilled, max(end_c, coldest), melt_g, source)
