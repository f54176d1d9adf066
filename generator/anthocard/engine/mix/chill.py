"""Ice: how cold each way of making a drink gets it, and how much water that adds.

Belongs here: methods, their ice, vessel and time, the house's own weighed dilution. Does not belong
here: the heat balance itself (facts/chemistry/melting.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp
from typing import Any, Final

import numpy as np

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Source
from anthocard.facts.chemistry import heat, melting
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.carbonation import tap_water
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.house.ice import OwnMethod
from anthocard.house.model import Drink
from anthocard.house.settings import House

NORMAL_90: Final = 1.6449  # standard deviations from the middle of a normal to p5 and p95


@dataclass(frozen=True, slots=True)
class Chilled:
    """A drink as it leaves the ice: with the water it took up, at its temperature."""

    liquid: Liquid
    temperature_c: float
    melt_g: float
    source: Source
    spread: float  # one standard deviation of the logarithm of its water

    def band(self, middle: float) -> tuple[float, float]:
        """The 5th and the 95th percentile of a quantity that goes as the water does."""
        wide = exp(NORMAL_90 * self.spread)
        return middle / wide, middle * wide


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

    The water added is, in this order of trust: the drink's own `dilution`, the house's weighed
    method, or what the heat balance says down to a stated temperature or for as long as it is
    worked. A stated dilution moves the temperature, because heat is conserved. Without ice nothing
    melts and the drink stays as warm as it was poured.
    """
    row, own = _table("methods")[drink.method], house.methods.get(drink.method, OwnMethod())
    stated_c = drink.serving_temperature
    if not row["iced"] and drink.ice == "none":
        source = Source(f"method: {drink.method} without ice", row["source"], row["how"])
        return Chilled(liquid, start_c if stated_c is None else stated_c, 0.0, source, 0.0)
    stated_c = own.temperature if stated_c is None else stated_c
    stated = own.dilution if drink.dilution is None else drink.dilution
    spread = float(row["spread"])
    source = Source(f"method: {drink.method}", row["source"], row["how"])
    bath, gap = _bath(liquid, drink, house)
    if stated is not None:
        water_g = stated / 100.0 * float(volume_ml(liquid)) * water_density_g_per_ml()
        weighings = own.weighings if drink.dilution is None else 1
        spread /= (float(_table("weighing")["prior"]["worth"]) + weighings) ** 0.5
        source = Source(f"dilution: {drink.method}", f"measured by {house.name}", "measured")
        end_c = stated_c
        if end_c is None:
            end_c = float(melting.temperature_after(liquid, start_c, water_g, bath))
    elif stated_c is not None:
        water_g, end_c = float(melting.water_to(liquid, start_c, stated_c, bath)), stated_c
    else:
        water_g, end_c = map(float, melting.chilled_towards(liquid, start_c, bath, gap))
    chilled = liquid + tap_water(water_g, house.water.alkalinity_mg_caco3_per_l)
    coldest = float(heat.freezing_point_c(chilled))
    return Chilled(chilled, max(end_c, coldest), water_g, source, spread)


def weighed(drink: Drink, house: House) -> bool:
    """Whether anyone, the house or a published trial, weighed what this way of working does."""
    row, own = _table("methods")[drink.method], house.methods.get(drink.method, OwnMethod())
    iced = row["iced"] or drink.ice != "none"
    return bool(not iced or row["weighed"] or drink.dilution is not None or own.dilution)


def ask_to_weigh(
    drink: Drink, house: House, chilled: Chilled, place: Place, log: MistakeLog
) -> None:
    """Say how wide the water of a way of working is that nobody has weighed, and what to do."""
    if weighed(drink, house):
        return
    low, high = chilled.band(chilled.melt_g)
    log.add(
        "unweighed-ice",
        f"nobody has published a weighed {drink.method} drink: {low:.0f} to {high:.0f} g of ice "
        "water is as near as can be said",
        place,
        f"weigh it three times: anthocard calibrate {drink.method} --dilution “… % of the start”",
        "warning",
    )


def _bath(liquid: Liquid, drink: Drink, house: House) -> tuple[melting.Bath, float]:
    """The ice and the vessel a drink is worked in, and the share of the way it is left short of."""
    row, own = _table("methods")[drink.method], house.methods.get(drink.method, OwnMethod())

    def told(key: str, usual: Any) -> Any:
        values = (getattr(drink.worked, key), getattr(own, key), usual)
        return next(value for value in values if value is not None)

    in_glass = row["load"] is None
    kind = told("ice", drink.ice if in_glass and drink.ice != "none" else row["ice"])
    ices, vessel = _table("ices"), _table("vessels")[told("vessel", row["vessel"])]
    size = (float(volume_ml(liquid)) / 100.0) ** float(_table("bulk")["power"]["value"])
    share_g = house.glasses[drink.glass].holds * ice_share(drink, house)
    usual_g = (
        share_g * float(_table("ice")["fills"]["g_per_ml"]) if in_glass else row["load"] * size
    )
    ice_c = float(told("ice_temperature", house.ice_temperature))
    wet = max(0.0, 1.0 - ice_c / float(_table("clinging")["dry"]["below_c"]))
    touched = min(1.0, row["touched"] * (1.0 if in_glass else size))
    bath = melting.Bath(
        load_g=float(told("load", usual_g)),
        ice_c=ice_c,
        clinging=ices[kind]["clinging"] * wet,
        vessel_j_per_k=vessel["j_per_k"] * touched,
        vessel_c=float(told("vessel_temperature", house.room_temperature)),
    )
    usual_vessel, usual_ice = _table("vessels")[row["vessel"]], ices[row["ice"]]
    pace = row["pace"] * vessel["slower"] / usual_vessel["slower"]
    pace *= usual_ice["hastens"] / ices[kind]["hastens"]
    return bath, exp(-float(told("seconds", row["seconds"])) / pace)
