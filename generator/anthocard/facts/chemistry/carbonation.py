"""Carbon dioxide in drinks, and the bicarbonate that tap water brings with it.

Belongs here: volumes of CO2, Henry's law, pressures and vessels, loss on pouring, alkalinity of
water. Does not belong here: the pH that follows (equilibrium.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.acids import ZERO_CELSIUS_K, water_pk
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.equilibrium import PhReading, measure_ph, shares
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.volume import abv_percent, sugar_g_per_l, volume_ml


def _row(section: str, key: str) -> dict[str, Any]:
    row: dict[str, Any] = read_table("anthocard.facts.chemistry", "carbonation.yaml")[section][key]
    return row


def carbon_dioxide_mmol(volume_ml: ArrayLike, co2_volumes: ArrayLike) -> Floats:
    """CO2 in a volume of drink carbonated to so many volumes (1 volume = 1.98 g/l)."""
    per_ml = float(_row("carbon_dioxide", "one_volume")["mol_per_l"])  # mol/l is mmol/ml
    mmol: Floats = np.asarray(volume_ml, dtype=np.float64) * np.asarray(co2_volumes) * per_ml
    return mmol


def carbonate(liquid: Liquid, co2_volumes: ArrayLike) -> Liquid:
    """The liquid charged to a total of so many volumes of CO2."""
    return liquid.having(carbonic_mmol=carbon_dioxide_mmol(volume_ml(liquid), co2_volumes))


def co2_volumes(liquid: Liquid) -> Floats:
    """Volumes of CO2 in all its forms that the liquid holds; 0 for an empty glass."""
    one_mmol = carbon_dioxide_mmol(volume_ml(liquid), 1.0)
    out = np.zeros(liquid.shape)
    volumes: Floats = np.divide(liquid["carbonic_mmol"], one_mmol, out=out, where=one_mmol > 0)
    return volumes


def henry_mol_per_kg_atm(temperature_c: ArrayLike = 25.0) -> Floats:
    """Solubility of CO2 in water, mol/kg/atm at 0-90 °C (Plummer & Busenberg 1982)."""
    c0, c1, c2, c3, c4 = _row("carbon_dioxide", "henry")["coefficients"]
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    log_kh = c0 + c1 * kelvin + c2 / kelvin + c3 * np.log10(kelvin) + c4 / kelvin**2
    solubility: Floats = 10.0**log_kh
    return solubility


def pour(liquid: Liquid, pour_loss: ArrayLike, temperature_c: ArrayLike = 5.0) -> Liquid:
    """The liquid after a stated share (0-1) of its free CO2 has fizzed away.

    Bicarbonate cannot leave: only the CO2(aq) that stands at the liquid's own pH is counted. The
    loss differs between glass, ice and hand, so it is an input and never a constant.
    """
    loss = np.asarray(pour_loss, dtype=np.float64)
    if np.any((loss < 0) | (loss > 1)):
        raise ValueError("a share lost on pouring lies between 0 and 1")
    reading = measure_ph(liquid, temperature_c)
    free = np.nan_to_num(shares(liquid, reading, "carbonic", temperature_c)[..., 0])
    return liquid.having(carbonic_mmol=liquid["carbonic_mmol"] * (1.0 - loss * free))


def open_water(grams: ArrayLike, temperature_c: ArrayLike = 20.0) -> Liquid:
    """Pure water that has stood in the air: its share of carbon dioxide, so that a meter reads 5.6.

    Shapes broadcast.
    """
    mol_per_kg = henry_mol_per_kg_atm(temperature_c) * float(_row("air", "carbon_dioxide")["atm"])
    mass_g = np.asarray(grams, dtype=np.float64)
    return Liquid.of(water_g=mass_g, carbonic_mmol=mass_g * mol_per_kg)


def tap_water(
    grams: ArrayLike, alkalinity_mg_caco3_per_l: float, ph: float = 7.5, temperature_c: float = 20.0
) -> Liquid:
    """Water of a stated alkalinity (mg/l as CaCO3, total) and pH: bicarbonate and its cations.

    The carbonic total is the one that makes that alkalinity stand at that pH. Also the melt of ice
    made from it. At pH 7.5 and 100 mg/l it holds 2.0 mmol of alkalinity and about 2.1 of CO2 a kg.
    A litre is taken as a kilogram. Raises ValueError outside pH 4.5-10, where alkalinity has
    another meaning.
    """
    kilogram = _kilogram_of_tap_water(alkalinity_mg_caco3_per_l, ph, temperature_c)
    return kilogram * (np.asarray(grams) / 1000.0)


@lru_cache(maxsize=64)
def _kilogram_of_tap_water(alkalinity_mg_caco3_per_l: float, ph: float, at_c: float) -> Liquid:
    if not 4.5 <= ph <= 10.0:
        raise ValueError("tap water has a pH between 4.5 and 10")
    per_meq = float(_row("alkalinity", "calcium_carbonate")["mg_per_meq"])
    meq_per_kg = alkalinity_mg_caco3_per_l / per_meq
    kilogram = Liquid.of(water_g=1000.0, strong_cation_mmol=meq_per_kg)
    meter = np.array(ph)
    forms = shares(
        kilogram, PhReading(meter, meter, np.array(meq_per_kg / 1000.0)), "carbonic", at_c
    )
    water_mmol = 1000.0 * (10.0**-ph - 10.0 ** (ph - water_pk(at_c)))
    carbonic = np.maximum(meq_per_kg + water_mmol, 0.0) / (forms[1] + 2.0 * forms[2])
    return kilogram.having(carbonic_mmol=carbonic)


def solubility_share(abv_percent: ArrayLike, sugar_g_per_l: ArrayLike) -> Floats:
    """Share of water's solubility of CO2 that is left in a drink; 1 for water.

    EU method for sparkling wine. Raises ValueError above 18 % vol, where solubility turns and rises
    again, and for amounts below nought.
    """
    row = _row("drink", "factor")
    abv = np.asarray(abv_percent, dtype=np.float64)
    sugar = np.asarray(sugar_g_per_l, dtype=np.float64)
    if np.any((abv < 0.0) | (abv > float(row["most_abv"])) | (sugar < 0.0)):
        raise ValueError(f"the solubility of gas is known from 0 to {row['most_abv']:g} % vol")
    alcohol = (row["base"] - row["per_abv"] * abv) / row["base"]
    share: Floats = alcohol * np.maximum(1.0 - row["per_sugar"] * sugar, 0.0)
    return share


def volumes_per_bar(liquid: Liquid, temperature_c: ArrayLike) -> Floats:
    """Volumes of CO2 that a liquid holds under one bar of it at 0-90 °C, at rest.

    Raises ValueError as `solubility_share` does.
    """
    share = solubility_share(abv_percent(liquid), sugar_g_per_l(liquid))
    per_atm = henry_mol_per_kg_atm(temperature_c) * water_density_g_per_ml()
    one = float(_row("carbon_dioxide", "one_volume")["mol_per_l"])
    volumes: Floats = share * per_atm / one / float(_row("drink", "atmosphere")["bar"])
    return volumes


def gauge_pressure_bar(liquid: Liquid, volumes: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Bar over the air at which CO2 alone keeps so many volumes in a liquid.

    Below nought where the liquid would hold more under the air. Raises ValueError as
    `solubility_share` does.
    """
    absolute = np.asarray(volumes, dtype=np.float64) / volumes_per_bar(liquid, temperature_c)
    gauge: Floats = absolute - float(_row("drink", "atmosphere")["bar"])
    return gauge


def co2_g_per_l(volumes: ArrayLike) -> Floats:
    """Grams of CO2 in a litre at so many volumes: 1.977 g/l each."""
    per_l = float(_row("carbon_dioxide", "one_volume")["mol_per_l"])
    grams: Floats = (
        np.asarray(volumes, dtype=np.float64) * per_l * float(_row("drink", "gas")["g_per_mol"])
    )
    return grams


def fermented(sugar_g: ArrayLike) -> tuple[Floats, Floats]:
    """Grams of CO2 and of ethanol from so many grams of sucrose fermented to the end."""
    row, sugar = _row("drink", "fermented"), np.asarray(sugar_g, dtype=np.float64)
    return sugar * float(row["co2_g_per_g"]), sugar * float(row["ethanol_g_per_g"])


def vessel(name: str) -> Mapping[str, Any]:
    """What holds gas, by name: `bar` over the air at most, `air_share` left empty, `words`.

    Raises KeyError.
    """
    return _row("vessels", name)


def warm_c() -> float:
    """How warm a forgotten bottle gets, °C."""
    return float(_row("warm", "store")["c"])
