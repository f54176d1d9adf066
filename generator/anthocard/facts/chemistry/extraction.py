"""How much colour, liquid and acid a plant gives to, or takes from, what it steeps in.

Belongs here: strength of an infusion from dose, time, % vol and temperature; liquid held back;
acids of the plant. Does not belong here: what the colour looks like at a pH (pigments) or the
arithmetic of a recipe.

First-order uptake: dose = g/l · au_l_per_g · solvent share(% vol) · (1 - exp(-k(T) t)), with k(T)
after Arrhenius. A working estimate: an infusion measured in the house always goes before it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.kinetics import arrhenius_ratio
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.pigments import plant as pigment_plant


@dataclass(frozen=True, slots=True, eq=False)
class Strength:
    """Colour of a strained infusion.

    `au_per_cm` is absorbance per cm at the reference peak (the acid form of the pigment),
    `yellow_au_per_cm` at 400 nm and `haze_au_per_cm` extinction at 550 nm; arrays or scalars.
    `uncertainty` is the s.d. of the natural logarithm of au_per_cm: 0.35 reads "times or over 1.4".
    """

    au_per_cm: Floats
    yellow_au_per_cm: Floats
    haze_au_per_cm: Floats
    uncertainty: float


def strength(
    plant: str,
    grams_per_litre: ArrayLike,
    hours: ArrayLike,
    abv_percent: ArrayLike,
    temperature_c: ArrayLike = 20.0,
) -> Strength:
    """Colour of an infusion of dried plant; arguments broadcast.

    `grams_per_litre` of solvent ≥ 0, `hours` ≥ 0, `abv_percent` 0-100, `temperature_c` 0-100.
    Raises KeyError for an unknown plant, ValueError outside these ranges.
    """
    row = _plants()[plant]
    heat = _table()["extraction"]["temperature"]
    low_c, high_c = heat["range_c"]
    grams = _within("grams_per_litre", grams_per_litre, 0, np.inf)
    hours = _within("hours", hours, 0, np.inf)
    abv = _within("abv_percent", abv_percent, 0, 100)
    temperature = _within("temperature_c", temperature_c, low_c, high_c)

    curve = np.array(_table()["solvents"][row["solvent"]]["curve"], dtype=np.float64)
    solvent = np.interp(abv, curve[:, 0], curve[:, 1])
    rate = row["per_hour"] * arrhenius_ratio(
        heat["activation_kj_per_mol"], heat["reference_c"], temperature
    )
    dose = np.asarray(grams * row["au_l_per_g"] * solvent * -np.expm1(-rate * hours))
    pigment = pigment_plant(plant)
    return Strength(
        au_per_cm=dose,
        yellow_au_per_cm=pigment.yellow * dose,
        haze_au_per_cm=pigment.haze * dose,
        uncertainty=pigment.uncertainty["log_dose"],
    )


def held_ml_per_g(plant: str) -> float:
    """Liquid in ml that stays in 1 g of the strained plant; KeyError for an unknown plant."""
    return float(_plants()[plant]["held_ml_per_g"])


def acids_mmol_per_g(plant: str) -> Mapping[str, float]:
    """Acids, and `strong_cation` of their salts, in mmol per g of dried plant; empty if unknown.

    Keys are those of `liquid.COMPONENTS` without `_mmol`.
    """
    acids: Mapping[str, float] = _plants()[plant].get("acids_mmol_per_g", {})
    return acids


def _within(name: str, value: ArrayLike, low: float, high: float) -> Floats:
    numbers = np.asarray(value, dtype=np.float64)
    if not np.all((numbers >= low) & (numbers <= high)):
        raise ValueError(f"{name} must lie between {low} and {high}")
    return numbers


def _plants() -> dict[str, Any]:
    rows: dict[str, Any] = _table()["plants"]
    return rows


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.chemistry", "extraction.yaml")
