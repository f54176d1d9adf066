"""Ice, heat and freezing."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.heat import (
    equilibrium_with_ice,
    freezing_point_c,
    heat_capacity_j_per_k,
    melt_to,
)
from anthocard.facts.chemistry.liquid import Liquid
from hypothesis import given, settings, strategies as st

SPIRIT = Liquid.of(water_g=80.0, ethanol_g=20.0)


def test_freezing_of_a_sugar_solution() -> None:
    """10 % sucrose freezes at -0.63 °C (CRC Handbook, memory); water at 0; no water, no ice."""
    assert freezing_point_c(Liquid.of(water_g=90.0, sugar_g=10.0)) == pytest.approx(-0.63, abs=0.04)
    assert freezing_point_c(Liquid.of(water_g=1.0)) == 0.0
    assert np.isnan(freezing_point_c(Liquid.of(ethanol_g=1.0)))


def test_published_equilibrium() -> None:
    """80 g water and 20 g ethanol from 20 °C melt 37 g of ice and stand at -6.5 °C (computed with
    an independent program on the same tables).
    """
    bath = equilibrium_with_ice(SPIRIT, 20.0)
    assert bath.melted_g == pytest.approx(37.0, abs=0.6)
    assert bath.temperature_c == pytest.approx(-6.5, abs=0.1)


drinks = st.builds(
    lambda ethanol, sugar, acid: Liquid.of(
        water_g=100.0, ethanol_g=ethanol, sugar_g=sugar, citric_mmol=acid, solutes_g=acid * 0.19
    ),
    st.floats(0.0, 55.0),
    st.floats(0.0, 40.0),
    st.floats(0.0, 20.0),
)


@given(drinks, st.floats(0.0, 30.0), st.floats(-20.0, 0.0))
@settings(deadline=None, max_examples=60)
def test_heat_balances_and_the_bath_stands_on_the_curve(
    drink: Liquid, start_c: float, ice_c: float
) -> None:
    """Heat given up equals heat taken in; at rest the drink is at its own freezing point."""
    bath = equilibrium_with_ice(drink, start_c, ice_c)
    given_up = heat_capacity_j_per_k(drink) * (start_c - bath.temperature_c)
    taken = bath.melted_g * (333.6 - 2.1 * ice_c + 4.184 * bath.temperature_c)
    assert taken == pytest.approx(given_up, rel=1e-9, abs=1e-6)
    diluted = drink + Liquid.of(water_g=bath.melted_g)
    assert bath.temperature_c == pytest.approx(freezing_point_c(diluted), abs=1e-6)


@given(drinks, st.floats(5.0, 30.0), st.floats(-60.0, 40.0))
@settings(deadline=None, max_examples=60)
def test_melt_is_bounded(drink: Liquid, start_c: float, target_c: float) -> None:
    """Between nothing and what equilibrium takes, and colder ice melts less."""
    melted = melt_to(drink, start_c, target_c)
    assert 0.0 <= melted <= equilibrium_with_ice(drink, start_c).melted_g + 1e-9
    assert melt_to(drink, start_c, target_c, -18.0) <= melted + 1e-9
    if target_c >= start_c:
        assert melted == 0.0


def test_batches_broadcast() -> None:
    """A shelf of drinks against a row of temperatures."""
    shelf = Liquid.of(water_g=[[100.0], [80.0]], ethanol_g=[[0.0], [30.0]])
    melted = melt_to(shelf, [20.0, 10.0, 5.0], 0.0)
    assert melted.shape == (2, 3)
    assert melted[1, 1] == pytest.approx(
        float(melt_to(Liquid.of(water_g=80.0, ethanol_g=30.0), 10.0, 0.0))
    )


def test_warm_ice_is_refused() -> None:
    """Ice is not warmer than 0 °C."""
    with pytest.raises(ValueError, match="not warmer"):
        melt_to(SPIRIT, 20.0, 0.0, 1.0)
