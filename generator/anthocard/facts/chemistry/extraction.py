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
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.kinetics import arrhenius_ratio
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.pigments import plant as pigment_plant

_NO_ACIDS: Final = frozenset({"spread", "ph_sd", "source", "how"})


@dataclass(frozen=True, slots=True, eq=False)
class ColourStrength:
    """Colour of a strained infusion.

    `au_per_cm` is absorbance per cm at the reference peak (the acid form of the pigment),
    `yellow_au_per_cm` at 400 nm and `haze_au_per_cm` extinction at 550 nm; arrays or scalars.
    `uncertainty` is the s.d. of the natural logarithm of au_per_cm: 0.7 reads "times or over 2".
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
) -> ColourStrength:
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
    slope = row.get("activation_kj_per_mol", heat["activation_kj_per_mol"])
    rate = row["per_hour"] * arrhenius_ratio(slope, heat["reference_c"], temperature)
    dose = np.asarray(grams * row["au_l_per_g"] * solvent * -np.expm1(-rate * hours))
    pigment = pigment_plant(plant)
    return ColourStrength(
        au_per_cm=dose,
        yellow_au_per_cm=pigment.yellow * dose,
        haze_au_per_cm=pigment.haze * dose,
        uncertainty=strength_spread(plant),
    )


def strength_spread(plant: str) -> float:
    """One s.d. of the natural logarithm of what a gram gives; KeyError for an unknown plant."""
    return float(_plants()[plant]["log_sd"])


def held_ml_per_g(plant: str) -> float:
    """Liquid in ml that stays in 1 g of the strained plant; KeyError for an unknown plant."""
    return float(_plants()[plant]["held_ml_per_g"])


def acids_mmol_per_g(plant: str) -> Mapping[str, float]:
    """Acids, and `strong_cation` of their salts, in mmol per g of dried plant.

    Keys are those of `liquid.COMPONENTS` without `_mmol`. KeyError for an unknown plant.
    """
    row = _plants()[plant]["acids"]
    return {key: float(value) for key, value in row.items() if key not in _NO_ACIDS}


def acid_spread(plant: str) -> float:
    """One s.d. of the natural logarithm of a plant's acids; KeyError for an unknown plant."""
    return float(_plants()[plant]["acids"]["spread"])


def ph_spread(plant: str) -> float:
    """One s.d. of a pH that a plant's acids alone decide; KeyError for an unknown plant."""
    return float(_plants()[plant]["acids"]["ph_sd"])


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
