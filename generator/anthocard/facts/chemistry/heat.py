"""How much ice melts into a drink: heat capacity, freezing point and the balance between them.

Belongs here: heat and ice. Does not belong here: what a bartender's shake or stir does (an author
states the temperature reached), the water's own alkalinity (carbonation.py).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, Floats, Liquid


class IceBath(NamedTuple):
    """Where a liquid and an excess of ice come to rest: grams melted and the temperature, °C."""

    melted_g: Floats
    temperature_c: Floats


def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.chemistry", "heat.yaml")[section]
    return rows


def heat_capacity_j_per_k(liquid: Liquid) -> Floats:
    """Heat capacity of the whole liquid, J/K, ±3 %; taken as constant over temperature."""
    rows = _rows("heat")
    mix = rows["ethanol_water"]
    per_gram = np.interp(liquid.ethanol_mass_fraction, mix["mass_fraction"], mix["j_per_g_k"])
    solids_g = liquid["sugar_g"] + liquid["solutes_g"]
    capacity: Floats = 1000.0 * liquid.solvent_kg * per_gram + solids_g * rows["solids"]["value"]
    return capacity


def freezing_point_c(liquid: Liquid) -> Floats:
    """Where ice begins to form, °C: Lange's ethanol table less 1.86 K per mol of all else in a kg
    of water. Good to 0.5 K for plain spirits to 39 % by mass (held there beyond), and to about 30 %
    sugar. NaN where there is no water.
    """
    rows = _rows("freezing")
    mix = rows["ethanol_water"]
    plain = np.interp(100.0 * liquid.ethanol_mass_fraction, mix["mass_percent"], mix["celsius"])
    particles_mmol = (
        1000.0 * liquid["sugar_g"] / rows["sugar"]["molar_mass"]
        + liquid.amounts[..., ACID_COLUMNS].sum(axis=-1)
        + liquid["strong_cation_mmol"]
        + liquid["strong_anion_mmol"]
    )
    water_g = liquid["water_g"]
    out = np.full(liquid.shape, np.nan)
    molality = np.divide(particles_mmol, water_g, out=out, where=water_g > 0)  # mmol/g = mol/kg
    freezing: Floats = plain - rows["cryoscopic"]["value"] * molality
    return freezing


def _melted(liquid: Liquid, start_c: Floats, target_c: Floats, ice_c: Floats) -> Floats:
    """Grams of ice at `ice_c` whose melting and warming to `target_c` takes the liquid there."""
    rows = _rows("heat")
    per_gram = (
        rows["latent"]["value"] - rows["ice"]["value"] * ice_c + rows["water"]["value"] * target_c
    )
    grams: Floats = heat_capacity_j_per_k(liquid) * (start_c - target_c) / per_gram
    return np.maximum(grams, 0.0)


def _checked(ice_c: ArrayLike) -> Floats:
    ice = np.asarray(ice_c, dtype=np.float64)
    if np.any(ice > 0):
        raise ValueError("ice is not warmer than 0 °C")
    return ice


def equilibrium_with_ice(
    liquid: Liquid, start_c: ArrayLike = 20.0, ice_c: ArrayLike = 0.0
) -> IceBath:
    """Melt of an excess of ice until the drink stands at its own freezing point.

    The most a long shake or stir can dilute by melting; water already on the ice comes on top, and
    ice that only warms is not counted. Shapes broadcast. Nothing melts into a drink that starts
    below its freezing point.
    """
    ice = _checked(ice_c)
    shape = np.broadcast_shapes(liquid.shape, np.shape(start_c), ice.shape)
    start = np.broadcast_to(np.asarray(start_c, dtype=np.float64), shape)
    # Bisect on temperature: the ice it takes to get there grows as it falls, and so does the
    # freezing point of the thinner drink, so the two curves cross once.
    low = np.full(shape, -60.0)
    high = np.maximum(start, low)
    for _ in range(60):
        middle = 0.5 * (low + high)
        diluted = liquid + Liquid.of(water_g=_melted(liquid, start, middle, ice))
        unfrozen = middle > freezing_point_c(diluted)
        low, high = np.where(unfrozen, low, middle), np.where(unfrozen, middle, high)
    return IceBath(_melted(liquid, start, high, ice), high)


def melt_to(
    liquid: Liquid, start_c: ArrayLike, target_c: ArrayLike, ice_c: ArrayLike = 0.0
) -> Floats:
    """Grams of ice that melt while the liquid goes from `start_c` to `target_c`.

    Bounded by the freezing curve: a target colder than the drink can reach with ice gives what the
    coldest reachable takes. Zero when the target is not below the start. Shapes broadcast. Raises
    ValueError for ice above 0 °C.
    """
    ice = _checked(ice_c)
    start, target = np.asarray(start_c, dtype=np.float64), np.asarray(target_c, dtype=np.float64)
    coldest = equilibrium_with_ice(liquid, start, ice).temperature_c
    return _melted(liquid, start, np.maximum(target, coldest), ice)
