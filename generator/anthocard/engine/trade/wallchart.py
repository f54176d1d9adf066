"""The wall chart: every plant's colour against pH and dose, from the same engine as the drinks.

Belongs here: which plants, pH and doses, and their colours. Does not belong here: how the chart is
drawn (press.palette).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import appearance as look
from anthocard.engine.optics.sight import sample_tube
from anthocard.facts.chemistry import extraction
from anthocard.facts.chemistry.alcohol import spirit, water_density_g_per_ml
from anthocard.facts.chemistry.liquid import PLANTS, Floats, Liquid
from anthocard.facts.colour import colours
from anthocard.facts.colour.pigments import coloured, plant

GLASS_ML = 100.0


@dataclass(frozen=True, slots=True)
class Band:
    """One row of a plant: a dose, in water or in spirit, and its colour at each pH."""

    dose: str
    au_per_cm: float
    g_per_l: float
    abv_percent: float
    hexes: tuple[str, ...]
    names: tuple[str, ...]
    in_gamut: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class PlantChart:
    """A plant and its rows, pale to strong in water, then the usual dose in spirit."""

    key: str
    label: str
    latin: str
    part: str
    bands: tuple[Band, ...]


def steps() -> Floats:
    """The pH of every column."""
    row = _table("chart")["ph"]
    return np.asarray(np.arange(row["from"], row["to"] + row["step"] / 2.0, row["step"]))


@cache
def plates() -> tuple[PlantChart, ...]:
    """Every plant of the tables, in their order."""
    return tuple(_plate(key) for key in PLANTS)


def _plate(key: str) -> PlantChart:
    strength = float(_table("spirit")["usual"]["abv_percent"])
    doses = {name: float(row["au_per_cm"]) for name, row in _table("doses").items()}
    bands = [_band(key, name, au, 0.0) for name, au in doses.items()]
    bands.append(_band(key, "usual", doses["usual"], strength))
    one = plant(key)
    return PlantChart(key, one.label, one.latin, one.part, tuple(bands))


def _band(key: str, dose: str, au_per_cm: float, abv_percent: float) -> Band:
    base = (
        spirit(GLASS_ML, abv_percent)
        if abv_percent
        else Liquid.of(water_g=GLASS_ML * water_density_g_per_ml())
    )
    liquid = base + coloured(key, au_per_cm * GLASS_ML)
    tube = sample_tube(float(_table("chart")["glass"]["width_mm"]))
    light = look.transmittance(liquid, steps(), tube, "side")
    seen = colours.colours_of_xyz(colours.to_xyz(light))
    steep = _table("chart")["steep"]
    per_gram = extraction.strength(
        key, 1.0, steep["hours"], steep["abv_percent"], steep["temperature_c"]
    ).au_per_cm
    return Band(
        dose=dose,
        au_per_cm=au_per_cm,
        g_per_l=au_per_cm / float(per_gram),
        abv_percent=abv_percent,
        hexes=tuple(one.hex for one in seen),
        names=tuple(one.name for one in seen),
        in_gamut=tuple(one.in_gamut for one in seen),
    )


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "wallchart.yaml")[section]
    return rows
