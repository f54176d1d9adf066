"""Keeping: dates, the Food Code's tables, water activity, and the policy shipped."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.law.rules import Ingredient, Profile
from anthocard.facts.law.shelf_life import (
    last_day,
    policy,
    policy_keys,
    table_a,
    table_b,
    water_activity,
)
from hypothesis import given, strategies as st


def test_days_count_from_the_day_of_making() -> None:
    """Food Code 3-501.17: seven days from 2026-03-05 end on 2026-03-11; one day ends at once."""
    assert last_day(date(2026, 3, 5), 7) == date(2026, 3, 11)
    assert last_day(date(2026, 12, 31), 1) == date(2026, 12, 31)
    with pytest.raises(ValueError, match="day"):
        last_day(date(2026, 3, 5), 0)


@pytest.mark.parametrize(
    ("ph", "activity", "safe"),
    [
        (4.1, 0.97, True),
        (4.2, 0.97, False),
        (4.4, 0.97, False),
        (4.6, 0.92, True),
        (4.7, 0.92, False),
        (5.0, 0.90, True),
        (5.1, 0.89, False),
        (9.0, 0.879, True),
        (4.6, 0.9201, False),
    ],
)
def test_table_b(ph: float, activity: float, safe: bool) -> None:
    """Every corner of Table B, FDA Food Code 1-201.10(B)."""
    assert (table_b(ph, activity) == "non-TCS") is safe


@pytest.mark.parametrize(
    ("ph", "activity", "safe"),
    [
        (7.0, 0.92, True),
        (5.6, 0.95, True),
        (5.7, 0.95, False),
        (4.6, 0.99, True),
        (4.7, 0.99, False),
    ],
)
def test_table_a(ph: float, activity: float, safe: bool) -> None:
    """Every corner of Table A: heated and then packed."""
    assert (table_a(ph, activity) == "non-TCS") is safe


def test_water_activity_cannot_pass_one() -> None:
    """A number that is no water activity is refused."""
    with pytest.raises(ValueError, match="water activity"):
        table_b(4.0, 1.2)


@given(st.floats(2.0, 8.0), st.floats(0.5, 1.0), st.floats(0.0, 2.0))
def test_more_acid_or_drier_is_never_less_safe(ph: float, activity: float, by: float) -> None:
    """Going down in pH or water activity never turns a safe verdict round."""
    for table in (table_a, table_b):
        if table(ph, activity) == "non-TCS":
            assert table(ph - by, activity) == "non-TCS"
            assert table(ph, activity * (1 - by / 10)) == "non-TCS"


@pytest.mark.parametrize(
    ("percent", "activity"), [(0.0, 1.0), (50.0, 0.935), (60.0, 0.898), (67.5, 0.845)]
)
def test_water_activity_of_syrups(percent: float, activity: float) -> None:
    """Sucrose solutions, from memory of published tables (Chirife & Fontan; saturated 0.84-0.85)."""
    syrup = Liquid.of(water_g=100.0 - percent, sugar_g=percent)
    assert float(water_activity(syrup)) == pytest.approx(activity, abs=0.012)


def test_water_activity_takes_many_and_nothing() -> None:
    """Shapes pass through; an empty glass has none."""
    many = Liquid.of(water_g=[0.0, 50.0, 50.0], sugar_g=[0.0, 0.0, 50.0])
    found = water_activity(many)
    assert found.shape == (3,)
    assert found[0] == 0.0
    assert np.all(np.diff(found[1:]) < 0)


DRY = (Ingredient("tea", "plant", "plant", form="dried leaves"),)
FRESH = (Ingredient("berries", "plant", "plant", form="fresh berries"),)
JUICE = (Ingredient("lime juice", "juice", "part"),)


@pytest.mark.parametrize(
    ("facts", "key", "days"),
    [
        (Profile("infusion", abv_percent=40.0, ingredients=DRY), "keeping-strong", None),
        (Profile("infusion", abv_percent=39.9, ingredients=DRY), "keeping-dry-in-spirit", None),
        (Profile("infusion", abv_percent=35.0, ingredients=FRESH), "keeping-fresh-in-spirit", 30),
        (Profile("infusion", abv_percent=20.0, ingredients=FRESH), "keeping-perishable", 7),
        (Profile("infusion", abv_percent=20.0, ingredients=DRY), "keeping-weak-spirit", 30),
        (Profile("infusion", abv_percent=14.9, ingredients=DRY), "keeping-cold", 7),
        (Profile("batch", abv_percent=25.0, ingredients=JUICE), "keeping-perishable", 7),
        (Profile("syrup", sugar_percent=66.0, table_b="non-TCS"), "keeping-rich-syrup", 30),
        (Profile("syrup", sugar_percent=50.0, table_b="product assessment"), "keeping-cold", 7),
        (Profile("solution", table_b="non-TCS"), "keeping-sharp", 14),
    ],
)
def test_the_policy_by_strength_and_freshness(facts: Profile, key: str, days: int | None) -> None:
    """Steps at 40, 30 and 15 % vol; fresh produce, dairy, egg and juice by the seven days."""
    found = policy(facts)
    assert found is not None
    assert (found[0].key, found[0].days) == (key, days)
    assert found[0].source


def test_a_drink_is_made_to_order_and_the_policy_is_silent() -> None:
    """Only what is kept has a rule; tripwire on the number of rows."""
    assert policy(Profile("drink")) is None
    assert len(policy_keys()) == 8
