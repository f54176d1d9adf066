"""How much room a liquid takes at 20 °C, and everything that is told per volume.

Belongs here: volume, density, strength, sugar and concentrations of a whole liquid. Does not belong
here: the ethanol-water formula itself (alcohol.py), what a jar's gram holds (substances.py).
"""

from __future__ import annotations

from functools import cache

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.alcohol import (
    density_g_per_ml as ethanol_water_density_g_per_ml,
    ethanol_density_g_per_ml,
    water_density_g_per_ml,
)
from anthocard.facts.chemistry.liquid import Floats, Liquid


@cache
def _sugar_volumes() -> tuple[Floats, Floats]:
    """Mass fraction of sugar, and the ml a gram of it takes up there."""
    rows = read_table("anthocard.facts.chemistry", "volume.yaml")["sucrose_density"].values()
    fraction = np.array([row["brix"] / 100.0 for row in rows])
    density = np.array([row["density"] for row in rows])
    taken = (1.0 / density - (1.0 - fraction) / water_density_g_per_ml()) / fraction
    return fraction, taken


def volume_ml(liquid: Liquid) -> Floats:
    """Volume at 20 °C, ml, shape `liquid.shape`; an empty glass is 0.

    Ethanol-water by OIML R 22 (so contraction is counted), sugar by its apparent volume from the
    densities of NBS Circular 440, other solutes by the volume each brings. Ethanol's effect on the
    sugar's volume is left out: under 0.3 % for liqueurs (estimate).
    """
    solvent_g = liquid["water_g"] + liquid["ethanol_g"]
    total: Floats = (
        solvent_g / ethanol_water_density_g_per_ml(liquid.ethanol_mass_fraction)
        + liquid["sugar_g"] * np.interp(_sugar_fraction(liquid), *_sugar_volumes())
        + liquid["solutes_ml"]
    )
    return total


def _sugar_fraction(liquid: Liquid) -> Floats:
    return _ratio(liquid["sugar_g"], liquid["sugar_g"] + 1000.0 * liquid.solvent_kg)


def _ratio(part: Floats, whole: Floats) -> Floats:
    if whole.ndim == 0 and whole > 0:
        return part / whole
    out = np.zeros(np.broadcast_shapes(np.shape(part), np.shape(whole)))
    quotient: Floats = np.divide(part, whole, out=out, where=np.asarray(whole) > 0)
    return quotient


def abv_percent(liquid: Liquid) -> Floats:
    """% vol at 20 °C; 0 for an empty glass."""
    return 100.0 * _ratio(liquid["ethanol_g"] / ethanol_density_g_per_ml(), volume_ml(liquid))


def density_g_per_ml(liquid: Liquid) -> Floats:
    """Density at 20 °C, g/ml; 0 for an empty glass."""
    return _ratio(liquid.mass_g, volume_ml(liquid))


def sugar_g_per_l(liquid: Liquid) -> Floats:
    """Grams of sugar in a litre; 0 for an empty glass."""
    return per_litre(liquid, "sugar_g")


def brix(liquid: Liquid) -> Floats:
    """Grams of sugar in 100 g of liquid, 0-100: true sugar, not a refractometer's reading."""
    return 100.0 * _ratio(liquid["sugar_g"], liquid.mass_g)


def per_litre(liquid: Liquid, component: str) -> Floats:
    """A component's amount (its own unit) in a litre at 20 °C. Raises KeyError if unknown."""
    return 1000.0 * _ratio(liquid[component], volume_ml(liquid))
