"""Strength of a serve, before and after, in the drinks of the house's place."""

from __future__ import annotations

import pytest

from tests.engine.opened import drink, house, opened

SERVE = drink("45 ml gin, 75 ml still water", "reveal: {pour: still water, amount: 30 ml}\n")


@pytest.mark.parametrize(
    ("place", "count", "label"),
    [
        ("US", 1.014, "US standard drink"),
        ("GB", 1.8, "UK unit"),
        ("AU", 1.42, "Australian standard drink"),
        ("DE", 1.42, "WHO AUDIT drink"),
    ],
)
def test_a_serve_is_counted_where_it_is_served(place: str, count: float, label: str) -> None:
    """45 ml of 40 % vol by NIAAA, NHS, the Australian code and the WHO."""
    before, after = opened({"drinks/d.md": SERVE}, house(place)).computed["d"].strengths
    assert before.drinks == pytest.approx(count, abs=0.005)
    assert before.drink_label == label
    assert after.drinks == pytest.approx(before.drinks)


def test_the_reveal_thins_and_adds_no_alcohol() -> None:
    """% vol falls from 15 to 12, the grams and the energy of water stay."""
    before, after = opened({"drinks/d.md": SERVE}).computed["d"].strengths
    assert before.abv_percent == pytest.approx(15.0, abs=0.1)
    assert after.abv_percent == pytest.approx(12.0, abs=0.1)
    assert before.ethanol_g == pytest.approx(14.2, abs=0.02)
    assert after.kcal == pytest.approx(before.kcal)
    assert before.kj == pytest.approx(14.2 * 29, abs=0.5)


def test_without_a_reveal_there_is_one() -> None:
    """Nothing to tell twice."""
    assert len(opened({"drinks/d.md": drink("45 ml gin")}).computed["d"].strengths) == 1
