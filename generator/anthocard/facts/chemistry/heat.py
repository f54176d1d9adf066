"""What a liquid takes to be chilled: its heat capacity, and where ice begins to form in it.

Belongs here: properties of one liquid. Does not belong here: the balance with ice (melting.py), or
what a bartender's shake or stir does (engine/mix/chill.py).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, Floats, Liquid


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
