"""What ice does to a drink: the balance of heat between liquid, ice, the water on it and a vessel.

Belongs here: grams of water and the temperature, one from the other. Does not belong here: heat
capacities and freezing points (heat.py), or how long a bartender stirs (engine/mix/chill.py).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.heat import freezing_point_c, heat_capacity_j_per_k
from anthocard.facts.chemistry.liquid import Floats, Liquid

COLDEST_C = -60.0
_PARTS, _CUTS = 64, 6  # as 36 halvings: to a billionth of a degree


class Bath(NamedTuple):
    """The ice a drink meets and the vessel it meets it in; all broadcast.

    `load_g` of ice at `ice_c` (not above 0 °C) carry the share `clinging` of their weight as water
    on their surface, at 0 °C. The vessel takes part with `vessel_j_per_k`, from `vessel_c`. A load
    of nought is an excess of ice of which only as much is warmed as melts.
    """

    load_g: ArrayLike = 0.0
    ice_c: ArrayLike = 0.0
    clinging: ArrayLike = 0.0
    vessel_j_per_k: ArrayLike = 0.0
    vessel_c: ArrayLike = 20.0


class Iced(NamedTuple):
    """Water added, melted and clinging together, in grams, and the temperature reached, °C."""

    water_g: Floats
    temperature_c: Floats


def water_at(liquid: Liquid, start_c: ArrayLike, end_c: ArrayLike, bath: Bath) -> Floats:
    """Grams of water a drink takes up on its way from `start_c` to `end_c`: heat is conserved.

    All the ice is warmed (or, below 0 °C, cooled) to the end, not only what melts; the water that
    clings to it goes in whole. Never less than that water. Raises ValueError for ice above 0 °C.
    """
    start, end, load, ice, clinging, vessel, vessel_c = _floats(start_c, end_c, *bath)
    if np.any(ice > 0):
        raise ValueError("ice is not warmer than 0 °C")
    heats = read_table("anthocard.facts.chemistry", "heat.yaml")["heat"]
    warming = heats["ice"]["value"] * (np.minimum(end, 0.0) - ice)
    melting = heats["latent"]["value"] + heats["water"]["value"] * end
    melting = melting - heats["ice"]["value"] * np.minimum(end, 0.0)
    wet_g = clinging * load
    given = heat_capacity_j_per_k(liquid) * (start - end) + vessel * (vessel_c - end)
    given = given - wet_g * heats["water"]["value"] * end
    of_load = (given - load * warming) / melting
    of_excess = given / (melting + warming)
    melted = np.where(of_load < load, of_load, of_excess)
    water: Floats = wet_g + np.maximum(melted, 0.0)
    return water


def chilled_towards(liquid: Liquid, start_c: ArrayLike, bath: Bath, gap: ArrayLike = 0.0) -> Iced:
    """A drink that has gone all but `gap` (0-1) of the way from its start to its freezing point.

    Nought is rest: the drink stands at the freezing point of what it has become. It gets no colder
    than the load of ice can make it.
    """
    (start,) = _floats(start_c)
    load, clinging, short = _floats(bath.load_g, bath.clinging, gap)

    def too_cold(end: Floats) -> NDArray[np.bool_]:
        water = water_at(liquid, start, end, bath)
        freezing = freezing_point_c(liquid + Liquid.of(water_g=water))
        spent = (load > 0) & (water > load * (1.0 + clinging))
        return (end <= freezing + short * np.maximum(start - freezing, 0.0)) | spent

    end = _bisect(liquid, start, bath, too_cold)
    return Iced(water_at(liquid, start, end, bath), end)


def water_to(liquid: Liquid, start_c: ArrayLike, target_c: ArrayLike, bath: Bath) -> Floats:
    """Grams of water a drink takes up down to `target_c`, or to the coldest it can reach with ice.

    Only what clings to the ice where the target is not below the start. Shapes broadcast.
    """
    start, target = _floats(start_c, target_c)
    coldest = chilled_towards(liquid, start, bath).temperature_c
    return water_at(liquid, start, np.maximum(np.minimum(target, start), coldest), bath)


def temperature_after(liquid: Liquid, start_c: ArrayLike, water_g: ArrayLike, bath: Bath) -> Floats:
    """How cold a drink is that has taken up `water_g` from the ice, °C: heat is conserved.

    Never below the freezing point of what it has become, nor above its start: water beyond what
    the balance explains was ice that came along, and melts in the glass. Of less water than clings
    to the ice, all is taken to have clung to it.
    """
    start, water, load, clinging = _floats(start_c, water_g, bath.load_g, bath.clinging)
    most = np.divide(water, load, out=np.zeros(np.broadcast(water, load).shape), where=load > 0)
    dry = bath._replace(clinging=np.minimum(clinging, most))
    freezing = freezing_point_c(liquid + Liquid.of(water_g=water))
    end = _bisect(liquid, start, bath, lambda c: water_at(liquid, start, c, dry) > water)
    return np.maximum(end, np.minimum(freezing, start))


def _floats(*values: ArrayLike) -> list[Floats]:
    return [np.asarray(value, dtype=np.float64) for value in values]


def _bisect(
    liquid: Liquid, start: Floats, bath: Bath, too_cold: Callable[[Floats], NDArray[np.bool_]]
) -> Floats:
    """The temperature between the coldest and the start below which `too_cold` holds."""
    shape = np.broadcast_shapes(liquid.shape, start.shape, *(np.shape(part) for part in bath))
    low, high = np.full(shape, COLDEST_C), np.broadcast_to(start, shape)
    part = np.arange(1, _PARTS).reshape(-1, *(1 for _ in shape)) / _PARTS
    for _ in range(_CUTS):  # into many parts at once: a call takes as long for a few as for many
        step = high - low
        under = np.count_nonzero(too_cold(low + step * part), axis=0)
        low = low + step * (under / _PARTS)
        high = low + step / _PARTS
    return np.asarray(high)
