"""Ethanol and water: density, strength, proofing, and how much alcohol a serving holds.

Belongs here: the two-component mixture and what the trade counts in it. Does not belong here: sugar
and other solutes (volume.py), what ethanol does to acids (activity.py), laws about serving.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats, Liquid

_TABLE_POINTS: Final = 1001  # of the inverse's starting table; Newton does the rest


@cache
def _coefficients() -> dict[str, tuple[float, ...]]:
    """From the highest power down."""
    rows = read_table("anthocard.facts.chemistry", "alcohol.yaml")["density_coefficients"]
    return {key: tuple(map(float, reversed(row["values"]))) for key, row in rows.items()}


def density_g_per_ml(ethanol_mass_fraction: ArrayLike, temperature_c: ArrayLike = 20.0) -> Floats:
    """Density of ethanol-water of mass fraction 0-1 at -20 to 40 °C, g/ml. Shapes broadcast.

    OIML R 22 (1975), the international alcoholometric formula.
    """
    fraction = np.asarray(ethanol_mass_fraction, dtype=np.float64)
    above_20 = np.asarray(temperature_c, dtype=np.float64) - 20.0
    table = _coefficients()
    total = _polynomial(table["a"], fraction)
    if np.any(above_20):
        total = total + above_20 * _polynomial(table["b"], above_20)
        for power in range(1, 6):
            along = fraction * _polynomial(table[f"c{power}"], fraction)
            total = total + along * above_20**power
    density: Floats = np.asarray(total / 1000.0)
    return density


def _polynomial(falling: tuple[float, ...], at: Floats) -> Floats:
    here: Any = at if at.ndim else at.item()  # one number is not an array of one: that is slow
    total = falling[0] * here
    for coefficient in falling[1:-1]:
        total = (total + coefficient) * here
    return np.asarray(total + falling[-1])


@cache
def ethanol_density_g_per_ml() -> float:
    """Pure ethanol at 20 °C: 0.78924 g/ml."""
    return float(density_g_per_ml(1.0))


@cache
def water_density_g_per_ml() -> float:
    """Pure water at 20 °C: 0.99820 g/ml."""
    return float(density_g_per_ml(0.0))


def abv_of_mass_fraction(ethanol_mass_fraction: ArrayLike) -> Floats:
    """% vol at 20 °C of ethanol-water of mass fraction 0-1."""
    fraction = np.asarray(ethanol_mass_fraction, dtype=np.float64)
    abv: Floats = 100.0 * fraction * density_g_per_ml(fraction) / ethanol_density_g_per_ml()
    return abv


@cache
def _strength_table() -> tuple[Floats, Floats]:
    fraction = np.linspace(0.0, 1.0, _TABLE_POINTS)
    return abv_of_mass_fraction(fraction), fraction


def mass_fraction_of_abv(abv_percent: ArrayLike) -> Floats:
    """Mass fraction 0-1 of ethanol in ethanol-water of 0-100 % vol at 20 °C.

    The inverse of `abv_of_mass_fraction` to 1e-9 % vol. Raises ValueError outside 0-100.
    """
    abv = np.asarray(abv_percent, dtype=np.float64)
    if np.any((abv < 0) | (abv > 100)):
        raise ValueError("a strength lies between 0 and 100 % vol")
    strengths, fractions = _strength_table()
    fraction: Floats = np.asarray(np.interp(abv, strengths, fractions))
    step = 0.5 / (_TABLE_POINTS - 1)
    for _ in range(3):  # from a table this dense the secant gains three digits a turn
        low, high = np.maximum(fraction - step, 0.0), np.minimum(fraction + step, 1.0)
        slope = (abv_of_mass_fraction(high) - abv_of_mass_fraction(low)) / (high - low)
        fraction = np.clip(fraction - (abv_of_mass_fraction(fraction) - abv) / slope, 0.0, 1.0)
    return fraction


def spirit(volume_ml: ArrayLike, abv_percent: ArrayLike) -> Liquid:
    """Plain ethanol-water of a volume and strength at 20 °C; arrays broadcast."""
    fraction = mass_fraction_of_abv(abv_percent)
    mass_g = np.asarray(volume_ml, dtype=np.float64) * density_g_per_ml(fraction)
    return Liquid.of(water_g=mass_g * (1.0 - fraction), ethanol_g=mass_g * fraction)


def ethanol_g(volume_ml: ArrayLike, abv_percent: ArrayLike) -> Floats:
    """Grams of ethanol in a volume of any drink of that strength at 20 °C."""
    pure_ml = np.asarray(volume_ml, dtype=np.float64) * np.asarray(abv_percent) / 100.0
    grams: Floats = pure_ml * ethanol_density_g_per_ml()
    return grams


def standard_drinks(ethanol_grams: ArrayLike, country: str) -> Floats:
    """How many of a country's standard drinks (units) that ethanol makes.

    `country` is a key of alcohol.yaml's drinks, such as us, uk or who. Raises KeyError.
    """
    row = read_table("anthocard.facts.chemistry", "alcohol.yaml")["drinks"][country]
    one_g = row["grams"] if "grams" in row else row["ml"] * ethanol_density_g_per_ml()
    count: Floats = np.asarray(ethanol_grams, dtype=np.float64) / one_g
    return count


def drink_label(country: str) -> str:
    """What the country calls it, for print: never just "a drink". Raises KeyError."""
    return str(read_table("anthocard.facts.chemistry", "alcohol.yaml")["drinks"][country]["label"])
