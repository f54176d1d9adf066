"""Ice, heat and freezing."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.heat import freezing_point_c, heat_capacity_j_per_k
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.melting import (
    Bath,
    chilled_towards,
    temperature_after,
    water_at,
    water_to,
)
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
    bath = chilled_towards(SPIRIT, 20.0, Bath())
    assert bath.water_g == pytest.approx(37.0, abs=0.6)
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
    bath = chilled_towards(drink, start_c, Bath(ice_c=ice_c))
    given_up = heat_capacity_j_per_k(drink) * (start_c - bath.temperature_c)
    taken = bath.water_g * (333.6 - 2.1 * ice_c + 4.184 * bath.temperature_c)
    assert taken == pytest.approx(given_up, rel=1e-9, abs=1e-6)
    diluted = drink + Liquid.of(water_g=bath.water_g)
    assert bath.temperature_c == pytest.approx(freezing_point_c(diluted), abs=1e-6)


@given(drinks, st.floats(5.0, 30.0), st.floats(-60.0, 40.0))
@settings(deadline=None, max_examples=60)
def test_melt_is_bounded(drink: Liquid, start_c: float, target_c: float) -> None:
    """Between nothing and what equilibrium takes, and colder ice melts less."""
    melted = water_to(drink, start_c, target_c, Bath())
    assert 0.0 <= melted <= chilled_towards(drink, start_c, Bath()).water_g + 1e-9
    assert water_to(drink, start_c, target_c, Bath(ice_c=-18.0)) <= melted + 1e-9
    if target_c >= start_c:
        assert melted == 0.0


baths = st.builds(
    Bath,
    st.floats(80.0, 300.0),
    st.floats(-20.0, 0.0),
    st.floats(0.0, 0.15),
    st.floats(0.0, 300.0),
    st.floats(-18.0, 25.0),
)


@given(drinks, st.floats(5.0, 30.0), st.floats(-6.0, 5.0), baths)
@settings(deadline=None, max_examples=80)
def test_heat_balances_with_all_the_ice_and_the_vessel(
    drink: Liquid, start_c: float, end_c: float, bath: Bath
) -> None:
    """What drink, vessel and clinging water give up warms all the ice and melts a part of it.

    By hand: 2.1 J/g/K for ice, 333.6 J/g to melt at 0 °C, 4.184 J/g/K for its water.
    """
    load, ice_c, clinging, vessel, vessel_c = (float(part) for part in bath)  # type: ignore[arg-type]
    water = float(water_at(drink, start_c, end_c, bath))
    wet = clinging * load
    melted = water - wet
    given_up = float(heat_capacity_j_per_k(drink)) * (start_c - end_c)
    given_up += vessel * (vessel_c - end_c) - wet * 4.184 * end_c
    warming = 2.1 * (min(0.0, end_c) - ice_c)
    melting = 333.6 + 4.184 * end_c - 2.1 * min(0.0, end_c)
    if 0.0 < melted < load:
        assert load * warming + melted * melting == pytest.approx(given_up, rel=1e-9, abs=1e-6)
    elif melted == 0.0:
        assert given_up <= load * warming + 1e-6
    else:
        assert melted * (warming + melting) == pytest.approx(given_up, rel=1e-9)


@given(drinks, st.floats(5.0, 30.0), baths, st.floats(0.0, 0.9))
@settings(deadline=None, max_examples=60)
def test_water_and_temperature_lead_to_each_other(
    drink: Liquid, start_c: float, bath: Bath, gap: float
) -> None:
    """The temperature after so much water is the one at which so much has been taken up."""
    there = chilled_towards(drink, start_c, bath, gap)
    back = temperature_after(drink, start_c, there.water_g, bath)
    assert water_at(drink, start_c, back, bath) == pytest.approx(float(there.water_g), abs=1e-3)


def test_colder_ice_wetter_ice_and_a_warm_vessel() -> None:
    """117 g at -18 °C take up 4.4 kJ, 13 g of melt (by hand: 117 x 2.1 x 18 / 333.6)."""
    plain = float(water_at(SPIRIT, 20.0, 0.0, Bath(load_g=117.0)))
    cold = float(water_at(SPIRIT, 20.0, 0.0, Bath(load_g=117.0, ice_c=-18.0)))
    wet = float(water_at(SPIRIT, 20.0, 0.0, Bath(load_g=117.0, clinging=0.05)))
    warm = float(water_at(SPIRIT, 20.0, 0.0, Bath(load_g=117.0, vessel_j_per_k=100.0)))
    assert plain - cold == pytest.approx(13.26, abs=0.01)
    assert wet - plain == pytest.approx(5.85, abs=1e-9)
    assert warm - plain == pytest.approx(100.0 * 20.0 / 333.6, abs=1e-9)


def test_batches_broadcast() -> None:
    """A shelf of drinks against a row of temperatures."""
    shelf = Liquid.of(water_g=[[100.0], [80.0]], ethanol_g=[[0.0], [30.0]])
    melted = water_to(shelf, [20.0, 10.0, 5.0], 0.0, Bath())
    assert melted.shape == (2, 3)
    assert melted[1, 1] == pytest.approx(
        float(water_to(Liquid.of(water_g=80.0, ethanol_g=30.0), 10.0, 0.0, Bath()))
    )


def test_warm_ice_is_refused() -> None:
    """Ice is not warmer than 0 °C."""
    with pytest.raises(ValueError, match="not warmer"):
        water_to(SPIRIT, 20.0, 0.0, Bath(ice_c=1.0))
