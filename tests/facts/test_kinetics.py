"""Fading: the laws, and the half-lives that were read."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry import kinetics
from anthocard.facts.chemistry.liquid import PLANTS


@pytest.mark.parametrize(
    ("plant", "days", "at_c"),
    [
        ("hibiscus", 407.73, 10.0),  # Pragalyaashree et al. 2018
        ("hibiscus", 126.02, 40.0),  # the same, warm and in light
        ("black_carrot", 8.4 / 24, 80.0),  # Kirca et al. 2007
        ("black_carrot", 18.7 * 7, 20.0),
        ("red_cabbage", 67.28 / 24, 50.0),  # doi 10.13386/j.issn1002-0306.2020050071
    ],
)
def test_half_is_left_after_a_published_half_life(plant: str, days: float, at_c: float) -> None:
    """Both ends of each published pair come back."""
    assert kinetics.colour_left(plant, days, at_c) == pytest.approx(0.5, abs=0.005)


def test_no_guess_without_a_row() -> None:
    """A plant whose fading was not read has none."""
    assert kinetics.colour_left("rose", 10.0, 20.0) is None


@pytest.mark.parametrize(("days", "at_c"), [(603, 5.0), (137, 20.0), (29, 30.0)])
def test_black_carrot_agrees_with_another_paper_within_a_half(days: int, at_c: float) -> None:
    """Half-lives of a concentrate by Turkyilmaz and Ozkan (read: abstract), not used in the table."""
    assert kinetics.colour_left("black_carrot", days, at_c) == pytest.approx(0.5, abs=0.13)


def test_butterfly_pea_is_told_as_held_and_not_as_a_rate() -> None:
    """Marpaung 2017: stable 56 days at 7 °C; the hot rates do not lead down, and no rate is made up."""
    assert kinetics.colour_left("butterfly_pea", 10.0, 5.0) is None
    cold, warm = kinetics.unread("butterfly_pea", 5.0), kinetics.unread("butterfly_pea", 20.0)
    assert (cold.held_days, cold.held_c) == (56, 7.0)
    assert warm.held_days is None
    assert "Marpaung" in warm.source
    assert kinetics.unread("rose", 5.0).words == "no published fading rate"


def test_the_factors_told_follow_from_the_slopes_that_were_read() -> None:
    """28.9 to 95.7 kJ/mol from one temperature down to 20 °C: each words' factor within a fifth."""
    rows = read_table("anthocard.facts.chemistry", "kinetics.yaml")
    assert set(rows["unread"]) | set(rows["fading"]) <= set(PLANTS)
    assert not set(rows["unread"]) & set(rows["fading"])
    told = {"purple_sweet_potato": 300, "elderberry": 200, "blueberry": 13}
    for plant, factor in told.items():
        row = rows["unread"][plant]
        assert f"factor of {factor}" in row["words"]
        steep, flat = (kinetics.arrhenius_ratio(e, row["at_c"], 20.0) for e in (95.7, 28.9))
        assert flat / steep == pytest.approx(factor, rel=0.2)
