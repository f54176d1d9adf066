"""How fast things go and colour fades: first-order rates and their rise with temperature.

Belongs here: the two laws, and half-lives of colour that were read. Does not belong here: uptake
from a plant (extraction) or a use-by date, which is a rule of hygiene and not of colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats

_GAS_KJ_PER_MOL_K: Final = 8.314462618e-3  # SI 2019, Avogadro times Boltzmann


@dataclass(frozen=True, slots=True)
class NoRate:
    """Why a plant has no rate on a shelf, and how long it is published to have stood in the cold.

    `held_days` is None where nobody published that either, or it is warmer than `held_c`.
    """

    words: str
    source: str
    held_days: int | None
    held_c: float | None


def half_life(rate: ArrayLike) -> Floats:
    """Time in which a first-order rate (> 0, per unit of time) halves what is there."""
    return np.asarray(np.log(2.0) / np.asarray(rate, dtype=np.float64))


def rate_of_half_life(time: ArrayLike) -> Floats:
    """First-order rate per unit of time for a half-life (> 0)."""
    return half_life(time)  # ln 2 over the one gives the other


def arrhenius_ratio(activation_kj_per_mol: ArrayLike, from_c: ArrayLike, to_c: ArrayLike) -> Floats:
    """Rate at `to_c` over rate at `from_c` (°C), Arrhenius law; the arguments broadcast."""
    energy = np.asarray(activation_kj_per_mol, dtype=np.float64)
    colder = np.asarray(from_c, dtype=np.float64) + 273.15
    warmer = np.asarray(to_c, dtype=np.float64) + 273.15
    return np.asarray(np.exp(energy / _GAS_KJ_PER_MOL_K * (1 / colder - 1 / warmer)))


def colour_left(plant: str, days: ArrayLike, temperature_c: ArrayLike) -> Floats | None:
    """Share of a plant's colour left after `days` (≥ 0) at a temperature, 0-1.

    None for a plant whose fading we could not read: no guess. Strength, light and oxygen change
    it greatly; take it as an order of magnitude.
    """
    row = _table("fading").get(plant)
    if row is None:
        return None
    per_day = rate_of_half_life(row["half_life_h"] / 24.0)
    ratio = arrhenius_ratio(row["activation_kj_per_mol"], row["at_c"], temperature_c)
    return np.asarray(np.exp(-per_day * ratio * np.asarray(days, dtype=np.float64)))


def fading_source(plant: str) -> str:
    """Where a plant's rate was read. Raises KeyError for one without a rate."""
    return str(_table("fading")[plant]["source"])


def unread(plant: str, temperature_c: float) -> NoRate:
    """What is told of a plant's fading in the place of a rate, stored at a temperature."""
    row = _table("unread").get(plant, {"words": "no published fading rate", "source": ""})
    held = temperature_c <= row.get("held_c", -273.15)
    return NoRate(
        words=str(row["words"]),
        source=str(row["source"]),
        held_days=int(row["held_days"]) if held else None,
        held_c=float(row["held_c"]) if held else None,
    )


def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.chemistry", "kinetics.yaml")[section]
    return rows
