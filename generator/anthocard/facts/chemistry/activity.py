"""What salt, ethanol and temperature do to acids and to the pH meter.

Belongs here: the solvent's permittivity, the Debye-Hückel slope, the shift of pK by ethanol and the
offset of a glass electrode. Does not belong here: solving for pH (equilibrium.py).

Mass fractions of ethanol are those of the solvent (water + ethanol), 0-1; temperatures °C; all
arguments broadcast.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.acids import ZERO_CELSIUS_K
from anthocard.facts.chemistry.alcohol import density_g_per_ml
from anthocard.facts.chemistry.liquid import Floats


def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.chemistry", "activity.yaml")[section]
    return rows


def permittivity_water(temperature_c: ArrayLike = 25.0) -> Floats:
    """Relative permittivity of water at 0-100 °C (Malmberg & Maryott 1956)."""
    rising = _rows("permittivity")["water"]["coefficients"]
    return np.asarray(np.polyval(rising[::-1], np.asarray(temperature_c, dtype=np.float64)))


def permittivity(ethanol_mass_fraction: ArrayLike, temperature_c: ArrayLike = 25.0) -> Floats:
    """Relative permittivity of ethanol-water: water's own times Åkerlöf's ratio, 1932."""
    fraction = np.asarray(ethanol_mass_fraction, dtype=np.float64)
    row = _rows("permittivity")["ethanol_water"]
    at_20c = np.interp(fraction, row["mass_fraction"], row["eps_20c"])
    above_20 = np.asarray(temperature_c, dtype=np.float64) - 20.0
    cooling = np.exp(_rows("permittivity")["ethanol_cooling"]["value"] * fraction * above_20)
    eps: Floats = permittivity_water(temperature_c) * (at_20c / row["eps_20c"][0]) * cooling
    return eps


def debye_hueckel_slope(
    ethanol_mass_fraction: ArrayLike = 0.0, temperature_c: ArrayLike = 25.0
) -> Floats:
    """The A of log10 gamma = -A z² √I/(1+1.5√I), (kg/mol)^0.5: 0.511 in water at 25 °C.

    The solvent's density is taken at 20 °C: it moves A by under 0.6 % at 0-50 °C.
    """
    return of_solvent(ethanol_mass_fraction, temperature_c)[0]


def of_solvent(
    ethanol_mass_fraction: ArrayLike, temperature_c: ArrayLike = 25.0
) -> tuple[Floats, Floats]:
    """The Debye-Hückel slope, and 1/eps_mix - 1/eps_water: what an ethanol coefficient is
    multiplied by.
    """
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    eps = permittivity(ethanol_mass_fraction, temperature_c)
    root_density, cold = np.sqrt(density_g_per_ml(ethanol_mass_fraction)), eps * kelvin
    slope = _slope() * root_density / (cold * np.sqrt(cold))
    return np.asarray(slope), np.asarray(1.0 / eps - 1.0 / permittivity_water(temperature_c))


@cache
def _slope() -> float:
    return float(_rows("debye_hueckel")["slope"]["value"])


@cache
def _size() -> float:
    return float(_rows("debye_hueckel")["size"]["value"])


def screening(ionic_strength_mol_per_kg: ArrayLike) -> Floats:
    """√I/(1+1.5√I): the part of log10 gamma that the salt decides, to be multiplied by -A z²."""
    root = np.sqrt(ionic_strength_mol_per_kg)
    part: Floats = root / (1.0 + _size() * root)
    return part


def screening_slope(ionic_strength_mol_per_kg: ArrayLike) -> Floats:
    """How fast `screening` grows with the ionic strength (> 0), kg/mol."""
    root = np.sqrt(ionic_strength_mol_per_kg)
    slope: Floats = 0.5 / (root * (1.0 + _size() * root) ** 2)
    return slope


def ethanol_coefficient(step: str) -> float:
    """The C of a kind of step (`first`, `second`, `acetic` …): pK moves by C times 1/eps less that
    of water (`of_solvent`).

    Raises KeyError.
    """
    return float(_rows("ethanol_shift")[step]["value"])


def ethanol_uncertainty(step: str, ethanol_mass_fraction: ArrayLike = 0.0) -> Floats:
    """One standard deviation of that C: as measured to 20 % vol, and growing beyond.

    Raises KeyError.
    """
    measured = float(_rows("ethanol_shift")[step]["uncertainty"])
    return measured + growing_uncertainty(ethanol_mass_fraction)


def growing_uncertainty(ethanol_mass_fraction: ArrayLike) -> Floats:
    """What is added to the standard deviation of every C beyond 20 % vol."""
    beyond = np.asarray(ethanol_mass_fraction) - measured_to_mass_fraction()
    return np.asarray(float(_rows("checked")["ethanol"]["growth"]) * np.maximum(beyond, 0.0))


def measured_to_mass_fraction() -> float:
    """Ethanol up to which its effect on acids was measured: 20 % vol."""
    return float(_rows("checked")["ethanol"]["mass_fraction"])


def electrode_offset(ethanol_mass_fraction: ArrayLike) -> Floats:
    """Reading of a meter calibrated in water minus the mix's own pH*; held flat past 0.648."""
    row = _rows("glass_electrode")["offset"]
    offset: Floats = np.asarray(
        np.interp(np.asarray(ethanol_mass_fraction), row["mass_fraction"], row["delta"])
    )
    return offset


def electrode_uncertainty() -> float:
    """One standard deviation of `electrode_offset`, pH."""
    return float(_rows("glass_electrode")["offset"]["uncertainty"])
