"""The trade's arithmetic on alcohol, sugar, acids and pH (alcohol_checks.yaml), row by row."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from anthocard.facts.chemistry import alcohol, titration, volume
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.equilibrium import PhReading, measure_ph, shares
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.substances import dissolve, substance

from tests.facts import laboratory

CHECKS = yaml.safe_load(
    (Path(__file__).parent / "alcohol_checks.yaml").read_text(encoding="utf-8")
)["checks"]


def oiml_40() -> Sequence[float]:
    fraction = alcohol.mass_fraction_of_abv(40.0)
    return [1000.0 * float(alcohol.density_g_per_ml(fraction)), 100.0 * float(fraction)]


def drink_of_120_ml() -> Sequence[float]:
    drink = laboratory.top_up(alcohol.spirit(45.0, 40.0), 120.0)
    return [float(volume.abv_percent(drink))]


def drinks() -> Sequence[float]:
    grams = alcohol.ethanol_g(45.0, 40.0)
    counts = [alcohol.standard_drinks(grams, country) for country in ("us", "uk", "au")]
    return [float(grams), *(float(count) for count in counts)]


def syrup() -> Sequence[float]:
    mixed = Liquid.of(water_g=100.0) + dissolve("sugar", 100.0)
    told = (volume.brix, volume.density_g_per_ml, volume.sugar_g_per_l)
    return [float(ask(mixed)) for ask in told]


def swaps() -> Sequence[float]:
    others = ("malic", "tartaric", "citric acid monohydrate")
    return [float(titration.swap_acid_g(1.0, "citric", other)) for other in others]


def citric_6_percent() -> Sequence[float]:
    solution = laboratory.top_up(dissolve("citric acid", 60.0), 1000.0)
    return [float(measure_ph(solution).ph)]


def bicarbonate_ideal() -> Sequence[float]:
    """Mean charge of citric at pH 4 and no ionic strength, from the public shares."""
    at_4 = PhReading(np.array(4.0), np.array(4.0), np.array(0.0))
    charge = shares(Liquid.of(water_g=100.0), at_4, "citric") @ np.arange(4.0)
    citric_mmol = 500.0 / acid("citric").molar_mass_g_per_mol
    base_mmol = citric_mmol * charge - 100.0 * 10.0**-4
    return [float(base_mmol) * substance("baking soda").molar_mass_g_per_mol / 1000.0]


RUNNERS: dict[str, Callable[[], Sequence[float]]] = {
    "oiml_40": oiml_40,
    "contraction": lambda: [
        float(volume.volume_ml(alcohol.spirit(50.0, 100.0) + alcohol.spirit(50.0, 0.0)))
    ],
    "abv_of_a_drink": drink_of_120_ml,
    "standard_drinks": drinks,
    "syrup_1_to_1": syrup,
    "swap_citric": swaps,
    "lime_replaced": lambda: [float(ml) for ml in titration.replace_juice_ml(22.5, 45.86, 60.0)],
    "titre": lambda: [float(laboratory.acidity_from_titre_g_per_l(14.2, 0.1, 10.0))],
    "citric_6_percent": citric_6_percent,
    "bicarbonate_ideal": bicarbonate_ideal,
}


@pytest.mark.parametrize("row", CHECKS, ids=lambda row: row["id"])
def test_trade_figure(row: dict[str, Any]) -> None:
    """The engine gives the trade's figure within the row's own tolerance."""
    got = RUNNERS[row["id"]]()
    assert len(got) == len(row["expected"])
    for value, expected, tolerance in zip(got, row["expected"], row["tolerance"], strict=True):
        assert value == pytest.approx(expected, abs=tolerance)


def test_table_is_whole() -> None:
    """Every row has its runner and says where its figure comes from."""
    assert {row["id"] for row in CHECKS} == set(RUNNERS)
    assert all(row["source"] and row["provenance"] for row in CHECKS)
