"""The weak acids and bases of drinks: one row each, and how their pK moves with temperature.

Belongs here: what is true of one acid by itself in water. Does not belong here: what happens when
acids meet (equilibrium.py), what salt and ethanol do to a pK (activity.py), what is weighed out of
a jar (substances.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats

GAS_CONSTANT_J_PER_MOL_K: Final = 8.314462618  # CODATA 2018, exact
ZERO_CELSIUS_K: Final = 273.15
REFERENCE_K: Final = 298.15


@dataclass(frozen=True, slots=True)
class Acid:
    """One weak acid or base.

    `pk` holds one value a step at 25 °C and zero ionic strength (molal scale), first proton first;
    `charge` is that of the form with all its protons; `equivalents` are the protons it gives up on
    titration to pH 8.2; `ethanol` names, one a step, the row of activity.yaml that says how ethanol
    moves its pK; `pk_uncertainty` is one standard deviation.
    """

    key: str
    label: str
    pk: tuple[float, ...]
    dh_kj_per_mol: tuple[float, ...]
    dcp_j_per_mol_k: tuple[float, ...]
    charge: int
    molar_mass_g_per_mol: float
    ethanol: tuple[str, ...]
    equivalents: int
    pk_uncertainty: float
    source: str
    how: str

    def pk_of_t(self, temperature_c: ArrayLike = 25.0) -> Floats:
        """The pK of every step, shape (steps, …) for temperatures of shape (…).

        Clarke-Glew with constant heat capacity, good to ±0.01 for 0-50 °C.
        """
        return clarke_glew(self.pk, self.dh_kj_per_mol, self.dcp_j_per_mol_k, temperature_c)


def clarke_glew(
    pk: ArrayLike, dh_kj_per_mol: ArrayLike, dcp_j_per_mol_k: ArrayLike, temperature_c: ArrayLike
) -> Floats:
    """PK at a temperature from its value, enthalpy and heat capacity at 25 °C.

    Clarke & Glew, Trans. Faraday Soc. 62 (1966) 539, first two terms. Shape (steps, …).
    """
    enthalpy, capacity = clarke_glew_terms(temperature_c)
    moved: Floats = (
        _steps(pk, enthalpy)
        + _steps(dh_kj_per_mol, enthalpy) * enthalpy
        + _steps(dcp_j_per_mol_k, enthalpy) * capacity
    )
    return moved


def clarke_glew_terms(temperature_c: ArrayLike) -> tuple[Floats, Floats]:
    """What an enthalpy (kJ/mol) and a heat capacity (J/mol K) at 25 °C are multiplied by and then
    added to a pK, each of the temperature's shape.
    """
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    per_decade = GAS_CONSTANT_J_PER_MOL_K * np.log(10.0)
    enthalpy = 1000.0 * (1.0 / kelvin - 1.0 / REFERENCE_K) / per_decade
    capacity = (1.0 - REFERENCE_K / kelvin - np.log(kelvin / REFERENCE_K)) / per_decade
    return np.asarray(enthalpy), np.asarray(capacity)


def _steps(values: ArrayLike, like: Floats) -> Floats:
    column = np.asarray(values, dtype=np.float64)
    return column.reshape(-1, *(1,) * like.ndim)


@cache
def acid(key: str) -> Acid:
    """The acid of that key (see liquid.ACIDS). Raises KeyError."""
    row: dict[str, Any] = read_table("anthocard.facts.chemistry", "acids.yaml")["acids"][key]
    flat = [0.0] * len(row["pk"])  # no enthalpy known: pK taken as constant
    return Acid(
        key=key,
        label=row["label"],
        pk=tuple(row["pk"]),
        dh_kj_per_mol=tuple(row.get("dh", flat)),
        dcp_j_per_mol_k=tuple(row.get("dcp", flat)),
        charge=row["charge"],
        molar_mass_g_per_mol=row["molar_mass"],
        ethanol=tuple(row["ethanol"]),
        equivalents=row["equivalents"],
        pk_uncertainty=row["pk_uncertainty"],
        source=row["source"],
        how=row["how"],
    )


def acid_keys() -> tuple[str, ...]:
    """All keys of the table, in its order (the order of liquid.ACIDS)."""
    return tuple(read_table("anthocard.facts.chemistry", "acids.yaml")["acids"])


def water_pk(temperature_c: ArrayLike = 25.0) -> Floats:
    """PKw at a temperature, shape of the temperature. Left alone by ethanol: where it matters (no
    acid at all, neutral spirit) the pH of a drink means nothing anyway.
    """
    row = read_table("anthocard.facts.chemistry", "acids.yaml")["water"]["autoprotolysis"]
    pk: Floats = clarke_glew(row["pk"], row["dh"], row["dcp"], temperature_c)[0]
    return pk
