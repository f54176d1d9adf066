"""Acidity as the trade weighs it."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.substances import dissolve
from anthocard.facts.chemistry.titration import (
    base_to_reach_mmol,
    equivalent_mass_g_per_mol,
    replace_juice_ml,
    swap_acid_g,
    titratable_acidity_g_per_l,
)

from tests.facts import laboratory


def solution(jar: str, grams_per_l: float) -> Liquid:
    """A litre of w/v solution."""
    return laboratory.top_up(dissolve(jar, grams_per_l), 1000.0)


@pytest.mark.parametrize("jar", ["citric", "malic", "tartaric", "lactic", "acetic_acid"])
def test_weighed_acid_titrates_to_itself(jar: str) -> None:
    """6 g/l of an acid titrates to 6 g/l of itself within 1 % (pH 8.2 is all but past its pKs)."""
    key = jar.removesuffix("_acid")
    sample = solution(jar, 6.0)
    weighed = 6.0 if jar != "lactic" else 6.0 * 0.88
    assert titratable_acidity_g_per_l(sample, as_acid=key) == pytest.approx(weighed, rel=0.01)


def test_carbonic_acid_is_not_titrated() -> None:
    """Degassed first: fizz changes no titratable acidity; an empty glass has none."""
    still = solution("citric", 5.0)
    assert titratable_acidity_g_per_l(still.having(carbonic_mmol=150.0)) == pytest.approx(
        float(titratable_acidity_g_per_l(still)), rel=1e-3
    )
    assert titratable_acidity_g_per_l(Liquid.of()) == 0.0


def test_base_asked_for_reaches_the_ph() -> None:
    """Adding it, for a whole batch of targets, gives those pH; the acid side is negative."""
    juice = Liquid.of(water_g=100.0, citric_mmol=25.0, strong_cation_mmol=4.0)
    targets = np.array([2.0, 3.0, 5.0, 7.0])
    mmol = base_to_reach_mmol(juice, targets)
    reached = juice + Liquid.of(
        strong_cation_mmol=np.maximum(mmol, 0), strong_anion_mmol=np.maximum(-mmol, 0)
    )
    assert measure_ph(reached, 20.0).ph == pytest.approx(targets, abs=1e-6)
    assert mmol[0] < 0 < mmol[1]


def test_bicarbonate_from_the_jar_reaches_the_ph() -> None:
    """The grams it names, dissolved with their CO2 lost, read pH 4.0; 0.2445 g with activities."""
    sample = laboratory.top_up(dissolve("citric", 0.5), 100.0)
    grams = laboratory.bicarbonate_to_reach_g(sample, 4.0)
    assert grams == pytest.approx(0.2445, abs=0.0005)
    buffered = sample + dissolve("baking soda", grams, carbon_dioxide_lost=True)
    assert measure_ph(buffered, 20.0).ph == pytest.approx(4.0, abs=1e-6)


def test_swapping_there_and_back() -> None:
    """A swap undone gives the first weight; a salt that holds no acid is refused."""
    there = swap_acid_g(3.0, "citric", "lactic acid 80 %")
    assert swap_acid_g(there, "lactic acid 80 %", "citric") == pytest.approx(3.0)
    with pytest.raises(ValueError, match="no acid"):
        swap_acid_g(1.0, "citric", "salt")


def test_replaced_juice_keeps_acid_and_volume() -> None:
    """Acid in equals acid out, and the volumes add up."""
    acid_ml, water_ml = replace_juice_ml([20.0, 30.0], 48.0, 60.0)
    assert acid_ml * 60.0 == pytest.approx(np.array([960.0, 1440.0]))
    assert acid_ml + water_ml == pytest.approx(np.array([20.0, 30.0]))


@pytest.mark.parametrize(
    ("key", "total", "cations", "beta", "tolerance"),
    [
        ("phthalic", 50.0, 50.0, 0.016, 0.002),
        ("phosphoric", 50.0, 75.0, 0.029, 0.003),
        ("tartaric", 34.1, 34.1, 0.027, 0.003),
        ("carbonic", 50.0, 75.0, 0.029, 0.003),
    ],
)
def test_buffer_value_of_standards(
    key: str, total: float, cations: float, beta: float, tolerance: float
) -> None:
    """NBS buffer values as printed in Lange's Handbook, 15th ed., p. 8.106 (read)."""
    standard = Liquid.of(water_g=1000.0, strong_cation_mmol=cations, **{f"{key}_mmol": total})
    assert laboratory.buffer_value_mol_per_kg(standard) == pytest.approx(beta, abs=tolerance)


def test_buffer_value_of_nothing() -> None:
    """An empty glass has none to tell."""
    assert np.isnan(laboratory.buffer_value_mol_per_kg(Liquid.of()))


def test_equivalent_mass() -> None:
    """64.04 g/mol for citric (AOAC 942.15, memory); boric acid is not titrated to pH 8.2."""
    assert equivalent_mass_g_per_mol("citric") == pytest.approx(64.04, abs=0.01)
    with pytest.raises(ValueError, match="not titrated"):
        equivalent_mass_g_per_mol("boric")
