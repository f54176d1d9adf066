"""Energy of a serve by the factors of Reg. (EU) 1169/2011 Annex XIV."""

from __future__ import annotations

import pytest
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.energy import energy
from anthocard.facts.chemistry.liquid import Liquid
from hypothesis import given, strategies as st


def test_a_worked_serve() -> None:
    """14.2 g of ethanol and 9.22 g of sugar are 136 kcal (hand sum: 14.2 · 7 + 9.22 · 4)."""
    found = energy(Liquid.of(water_g=80.0, ethanol_g=14.2, sugar_g=9.22))
    assert float(found.kcal) == pytest.approx(136.28, abs=0.01)
    assert float(found.kj) == pytest.approx(14.2 * 29 + 9.22 * 17)


def test_acids_count_for_a_little() -> None:
    """A gram of citric acid is 3 kcal; fizz, ions and quinine are none."""
    gram = 1000.0 / acid("citric").molar_mass_g_per_mol
    assert float(energy(Liquid.of(citric_mmol=gram)).kcal) == pytest.approx(3.0)
    nothing = Liquid.of(water_g=100.0, carbonic_mmol=60.0, strong_cation_mmol=9.0, quinine_mmol=1)
    assert float(energy(nothing).kcal) == 0.0


@given(st.floats(0.1, 20.0), st.floats(0.0, 50.0), st.floats(0.0, 50.0))
def test_energy_scales_and_adds(factor: float, ethanol: float, sugar: float) -> None:
    """Two serves hold twice the energy, and a mix that of its parts."""
    one = Liquid.of(ethanol_g=ethanol, sugar_g=sugar, citric_mmol=[1.0, 2.0])
    assert energy(one * factor).kj == pytest.approx(factor * energy(one).kj)
    assert energy(one + one).kcal == pytest.approx(2.0 * energy(one).kcal)
