"""Ethanol-water by OIML R 22 and what the trade counts in it."""

from __future__ import annotations

import pytest
from anthocard.facts.chemistry import alcohol
from anthocard.facts.chemistry.volume import abv_percent, volume_ml
from hypothesis import given, strategies as st


def test_published_densities() -> None:
    """10, 50 and 96 % vol: 984.71, 930.14, 807.42 kg/m3 at 20 °C (OIML R 22)."""
    density = alcohol.density_g_per_ml(alcohol.mass_fraction_of_abv([10.0, 50.0, 96.0]))
    assert 1000.0 * density == pytest.approx([984.71, 930.14, 807.42], abs=0.02)


def test_density_moves_with_temperature() -> None:
    """Water 999.70 at 10 °C and 995.65 at 30 °C; ethanol 785.1 at 25 °C (CRC, memory)."""
    assert 1000.0 * alcohol.density_g_per_ml(0.0, [10.0, 30.0]) == pytest.approx(
        [999.70, 995.65], abs=0.05
    )
    assert 1000.0 * alcohol.density_g_per_ml(1.0, 25.0) == pytest.approx(785.1, abs=0.3)


@given(st.floats(0.0, 100.0))
def test_strength_and_mass_fraction_are_inverse(abv: float) -> None:
    """Any strength comes back to 1e-8 % vol."""
    there = alcohol.mass_fraction_of_abv(abv)
    assert 0.0 <= there <= 1.0
    assert alcohol.abv_of_mass_fraction(there) == pytest.approx(abv, abs=1e-8)


@given(st.floats(1.0, 1000.0), st.floats(0.0, 100.0))
def test_spirit_holds_what_it_says(volume: float, abv: float) -> None:
    """A poured spirit measures back its own volume and strength."""
    poured = alcohol.spirit(volume, abv)
    assert volume_ml(poured) == pytest.approx(volume, rel=1e-9)
    assert abv_percent(poured) == pytest.approx(abv, abs=1e-7)


def test_strength_out_of_range() -> None:
    """There is no 101 % vol."""
    with pytest.raises(ValueError, match="between 0 and 100"):
        alcohol.mass_fraction_of_abv([40.0, 101.0])


def test_countries_are_named() -> None:
    """Every country's drink has a label that is more than "drink"."""
    for country in ("us", "uk", "au", "nz", "who"):
        assert len(alcohol.drink_label(country).split()) > 1
        assert alcohol.standard_drinks(14.0, country) > 0
    with pytest.raises(KeyError):
        alcohol.standard_drinks(14.0, "atlantis")
