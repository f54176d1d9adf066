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
from anthocard.facts.ice_pieces import pieces
from anthocard.house.ice import OwnMethod, ServedIce
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
    served = row["up"] if drink.ice.kind == "none" else _table("ices")[drink.ice.kind]["words"]
    return str(row["words"]), str(served)


def start_temperature(kind: str, house: House) -> float:
    """Where a bottle of this kind stands before it is poured, °C: the fridge or the shelf."""
    cold = kind in _table("starts")["fridge"]["kinds"]
    return house.fridge_temperature if cold else house.room_temperature


def ice_share(drink: Drink, house: House) -> float:
    """The share of the filled glass that is ice, 0-1.

    That of pieces is what they displace afloat, in steps of a twentieth: few glasses differ.
    """
    if drink.ice.sized:
        steps = float(_table("ice")["steps"]["of_share"])
        share = floats_ml(drink) / filled_ml(drink, house)
        return min(steps * round(share / steps), float(_table("ice")["most"]["share"]))
    own = house.ices.get(drink.ice.kind)
    return own / 100.0 if own is not None else float(_table("ices")[drink.ice.kind]["share"])


def floats_ml(drink: Drink) -> float:
    """What pieces of ice displace where they float; 0 for a heap."""
    return afloat_ml(drink.ice.grams)


def afloat_ml(grams: float) -> float:
    """What so much ice displaces where it floats: its own weight."""
    return grams / float(_table("ice")["floats"]["in_g_per_ml"])


def filled_ml(drink: Drink, house: House) -> float:
    """How far a glass is filled, ice and all, where it is filled to the top: not to the brim."""
    return house.glasses[drink.glass].holds * float(_table("ice")["filled"]["of_brim"])


def room_for_ml(drink: Drink, house: House, to_brim: bool = False) -> float:
    """How much liquid stands in the glass beside its ice when it is full; never below nought.

    Filled as it is served, or `to_brim`.
    """
    whole = house.glasses[drink.glass].holds if to_brim else filled_ml(drink, house)
    if drink.ice.sized:
        return max(0.0, whole - floats_ml(drink))
    return whole * (1.0 - ice_share(drink, house))


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
    if not row["iced"] and drink.ice.kind == "none":
        source = Source("method without ice", drink.method, row["source"], row["how"])
        return Chilled(liquid, start_c if stated_c is None else stated_c, 0.0, source, 0.0)
    stated_c = own.temperature if stated_c is None else stated_c
    stated = own.dilution if drink.dilution is None else drink.dilution
    spread = float(row["spread"])
    source = Source("method", drink.method, row["source"], row["how"])
    bath, gap = _bath(liquid, drink, house)
    if stated is not None:
        water_g = stated / 100.0 * float(volume_ml(liquid)) * water_density_g_per_ml()
        weighings = own.weighings if drink.dilution is None else 1
        spread /= (float(_table("weighing")["prior"]["worth"]) + weighings) ** 0.5
        source = Source("dilution", drink.method, house.name, "measured")
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


def in_tin(drink: Drink) -> bool:
    """Whether a drink is worked in a vessel of its own, and strained into the glass."""
    return _table("methods")[drink.method]["load"] is not None


def thawed_in(ice: Liquid, standing_c: float, ball: Liquid, house: House) -> float:
    """How warm a drink is when a ball of `ball`, out of the freezer, has melted in it, °C.

    Heat is conserved, but ice in a glass takes a drink no lower than to its own melting point, or
    where it stood: what is missing then the room lends.
    """
    rows = read_table("anthocard.facts.chemistry", "heat.yaml")["heat"]
    ice_g, frost_c = float(ball["water_g"]), min(0.0, house.freezer_temperature)
    taken = ice_g * (float(rows["latent"]["value"]) - frost_c * float(rows["ice"]["value"]))
    held, added = (float(heat.heat_capacity_j_per_k(one)) for one in (ice, ball))
    end_c = (held * standing_c - taken) / max(held + added, 1e-9)
    return max(end_c, min(0.0, standing_c))


def weighed(drink: Drink, house: House) -> bool:
    """Whether anyone, the house or a published trial, weighed what this way of working does."""
    row, own = _table("methods")[drink.method], house.methods.get(drink.method, OwnMethod())
    iced = row["iced"] or drink.ice.kind != "none"
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

    def setting(key: str, usual: Any) -> Any:
        values = (getattr(drink.worked, key), getattr(own, key), usual)
        return next(value for value in values if value is not None)

    in_glass = row["load"] is None
    ice = drink.ice if in_glass else ServedIce()
    kind = setting("ice", row["ice"] if ice.kind == "none" else ice.kind)
    ices, vessel = _table("ices"), _table("vessels")[setting("vessel", row["vessel"])]
    size = (float(volume_ml(liquid)) / 100.0) ** float(_table("bulk")["power"]["value"])
    usual_g = row["load"] * size if not in_glass else ice.grams
    if in_glass and not ice.sized:
        heaped_ml = house.glasses[drink.glass].holds * ice_share(drink, house)
        usual_g = heaped_ml * float(_table("ice")["fills"]["g_per_ml"])
    clinging = ices[kind]["clinging"]
    if ice.sized and kind == ice.kind:
        clinging = pieces()[kind].clinging(ice.mm)
    ice_c = float(setting("ice_temperature", house.ice_temperature))
    wet = max(0.0, 1.0 - ice_c / float(_table("clinging")["dry"]["below_c"]))
    touched = min(1.0, row["touched"] * (1.0 if in_glass else size))
    bath = melting.Bath(
        load_g=float(setting("load", usual_g)),
        ice_c=ice_c,
        clinging=clinging * wet,
        vessel_j_per_k=vessel["j_per_k"] * touched,
        vessel_c=float(setting("vessel_temperature", house.room_temperature)),
    )
    usual_vessel, usual_ice = _table("vessels")[row["vessel"]], ices[row["ice"]]
    pace = row["pace"] * vessel["slower"] / usual_vessel["slower"]
    pace *= usual_ice["hastens"] / ices[kind]["hastens"]
    return bath, exp(-float(setting("seconds", row["seconds"])) / pace)
