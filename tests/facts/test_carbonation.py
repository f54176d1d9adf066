"""Carbon dioxide and the alkalinity of water."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.carbonation import (
    carbon_dioxide_mmol,
    carbonate,
    co2_volumes,
    henry_mol_per_kg_atm,
    pour,
    tap_water,
)
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Liquid


def test_one_volume_is_two_grams() -> None:
    """A volume of CO2 is 1.98 g/l (trade figure, memory), there and back."""
    assert carbon_dioxide_mmol(1000.0, 1.0) * 0.044009 == pytest.approx(1.98, abs=0.01)
    charged = carbonate(Liquid.of(water_g=[0.0, 330.0]), 3.5)
    assert co2_volumes(charged) == pytest.approx(np.array([0.0, 3.5]))


def test_soda_ph() -> None:
    """3.5 volumes: 3.58 plain, 4.45 with 2 meq/l of alkalinity, 25 °C (computed with an independent
    program); saturated at 1 atm 3.91, near the 3.8 of the CRC list (memory).
    """
    water = Liquid.of(water_g=1000.0)
    assert measure_ph(carbonate(water, 3.5)).ph == pytest.approx(3.58, abs=0.01)
    hard = carbonate(water.having(strong_cation_mmol=2.0), 3.5)
    assert measure_ph(hard).ph == pytest.approx(4.45, abs=0.01)
    full = water.having(carbonic_mmol=1000.0 * henry_mol_per_kg_atm(25.0))
    assert measure_ph(full).ph == pytest.approx(3.91, abs=0.02)


def test_cold_water_holds_more() -> None:
    """0.0769 mol/kg at 0 °C and 0.0194 at 50 °C (CRC Handbook type values, memory, 2 %)."""
    assert henry_mol_per_kg_atm([0.0, 50.0]) == pytest.approx([0.0769, 0.0194], rel=0.02)


def test_pouring_loses_free_gas_only() -> None:
    """Half of a plain soda's gas goes with half lost; bicarbonate water loses next to none."""
    soda = carbonate(Liquid.of(water_g=1000.0), 3.5)
    assert co2_volumes(pour(soda, 0.5)) == pytest.approx(1.75, rel=2e-3)
    assert pour(soda, [0.0, 0.5, 1.0]).shape == (3,)
    water = tap_water(1000.0, 200.0, ph=8.3)
    assert pour(water, 1.0)["carbonic_mmol"] > 0.97 * water["carbonic_mmol"]
    with pytest.raises(ValueError, match="between 0 and 1"):
        pour(soda, 1.5)


@pytest.mark.parametrize("ph", [6.5, 7.5, 9.0])
def test_tap_water_reads_its_ph(ph: float) -> None:
    """Water of a stated alkalinity and pH reads that pH, holds that alkalinity, and scales."""
    water = tap_water([250.0, 1000.0], 100.0, ph=ph)
    assert measure_ph(water, 20.0).ph == pytest.approx(np.array([ph, ph]), abs=0.01)
    assert water["strong_cation_mmol"] == pytest.approx(np.array([0.25, 1.0]) * 100.0 / 50.043)
    assert not tap_water(0.0, 100.0).amounts.any()
    with pytest.raises(ValueError, match=r"4\.5 and 10"):
        tap_water(100.0, 100.0, ph=11.0)
