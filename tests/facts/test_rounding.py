"""Amounts rounded to what can be measured, in metric and in ounces."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.facts.units.measures import parse_amount, to_ml
from anthocard.facts.units.rounding import (
    Rounded,
    in_ounces,
    jiggered,
    mass,
    metric,
    ounces,
    significant,
)
from hypothesis import given, strategies as st

CHECKS = yaml.safe_load((Path(__file__).parent / "measures_checks.yaml").read_text("utf-8"))
COLUMNS = CHECKS["columns"]
ROLES = {"spirit": 0.05, "other": 0.05, "acid": 0.02, "buffer": 0.02, "pigment": 0.02}


def poured_ml(text: str) -> float:
    """What somebody with a jigger, spoons and a dropper pours after reading a column."""
    return sum(to_ml(parse_amount(term)) or 0.0 for term in text.split(" + "))


@pytest.mark.parametrize("check", COLUMNS.values(), ids=COLUMNS.keys())
def test_columns_as_published(check: dict[str, Any]) -> None:
    """Both columns come to the millilitres of the row (source there)."""
    assert metric(check["ml"]).base == pytest.approx(poured_ml(check["metric"]))
    assert ounces(check["ml"]).base == pytest.approx(poured_ml(check["ounce"]))


@given(ml=st.floats(0.02, 3000), role=st.sampled_from(sorted(ROLES)))
def test_what_is_told_pours_what_was_meant(ml: float, role: str) -> None:
    """Either column, poured, is within its role's share, an exact figure within half a digit."""
    for told in (metric(ml, role), ounces(ml, role)):
        allowed = max(ROLES[role] * ml, 0.5 * ml / 100 if told.how == "by scale" else 0.0)
        assert abs(told.base - ml) <= max(allowed, 0.005) + 1e-9, told


@given(st.integers(2, 400))
def test_every_step_of_the_metric_lattice_is_exact_in_ounces(steps: int) -> None:
    """A multiple of 2.5 ml is ounces and spoons that return to it, in the strictest role."""
    told = ounces(steps * 2.5, "acid")
    assert told.how == "poured"
    assert told.base == pytest.approx(steps * 2.5)


def test_of_two_ways_to_pour_the_shorter_is_told() -> None:
    """10 ml is two spoons, not a quarter and half a spoon; between two rungs ounces go first."""
    assert ounces(10.0) == Rounded(2.0, "tsp")
    assert ounces(30.0) == Rounded(1.0, "oz")
    assert ounces(35.0) == Rounded(1.0, "oz", more=Rounded(1.0, "tsp"))


def test_a_colour_turning_line_is_not_rounded_away() -> None:
    """3.25 ml of acid is not 3.5 (7 % off): it is weighed; a mixer of 49 ml may be 50."""
    assert metric(3.25, "acid") == Rounded(3.25, "ml", "by scale")
    assert ounces(3.25, "acid") == Rounded(3.25, "ml", "by scale")
    assert metric(49.0, "other") == Rounded(50.0, "ml")
    assert metric(13.6, "acid") == Rounded(13.6, "ml", "by scale")


def test_from_two_litres_on_a_volume_is_litres() -> None:
    """As long as one jug holds it, it is millilitres."""
    assert metric(1999.0) == Rounded(2000.0, "ml")
    assert metric(2000.0) == Rounded(2.0, "l")
    assert metric(12345.0, "acid") == Rounded(12.35, "l")


def test_three_quarters_of_an_ounce_is_not_twenty_five_ml() -> None:
    """¾ oz alone would be 10 % short of 25 ml and is never told for it."""
    assert ounces(25.0, "spirit") != Rounded(0.75, "oz")


def test_exact_ounces_are_the_legal_ones() -> None:
    """250 ml is about 8.5 oz, 5 ml a little under a quarter: common practice, no source."""
    assert ounces(250.0, rounding="exact") == Rounded(8.45, "us_fl_oz", "graduated")
    assert ounces(5.0, rounding="exact") == Rounded(0.17, "us_fl_oz", "graduated")
    exact = ounces(250.0, system="imperial", rounding="exact")
    assert exact == Rounded(8.8, "imp_fl_oz", "graduated")


def test_imperial_ounces_are_smaller() -> None:
    """An imperial lattice goes by the imperial ounce."""
    assert ounces(28.4130625, "acid", "imperial") == Rounded(1.0, "imp_fl_oz")
    assert ounces(50.0, "spirit", "imperial") == Rounded(1.75, "imp_fl_oz")


@pytest.mark.parametrize(
    ("ml", "role", "way"),
    [
        (50.0, "spirit", (50.0,)),
        (45.0, "spirit", (25.0, 20.0)),
        (75.0, "other", (50.0, 25.0)),
        (24.0, "spirit", (25.0,)),  # 4.2 % off, within 5 %
        (24.0, "acid", ()),  # and beyond 2 %
        (22.5, "spirit", ()),
        (150.0, "other", (50.0, 50.0, 50.0)),
        (200.0, "other", ()),  # four fills are not told
    ],
)
def test_amounts_are_fills_of_the_jiggers_there_are(
    ml: float, role: str, way: tuple[float, ...]
) -> None:
    """By hand, of 10, 20, 25 and 50 ml: the nearest within the share of the role."""
    assert jiggered(ml, role, (25.0, 50.0, 20.0, 10.0)) == way


@given(st.floats(1, 300), st.sampled_from(sorted(ROLES)), st.lists(st.floats(5, 60), max_size=6))
def test_what_jiggers_pour_is_what_was_meant(ml: float, role: str, sizes: list[float]) -> None:
    """Never more than three fills, all of jiggers that are there, within the share of the role."""
    way = jiggered(ml, role, sizes)
    assert len(way) <= 3
    assert {*way} <= {*sizes}
    assert not way or abs(sum(way) - ml) <= ROLES[role] * ml + 1e-9
    assert way or all(abs(size - ml) > ROLES[role] * ml for size in sizes)


def test_a_jigger_is_told_in_the_ounces_it_was_made_to() -> None:
    """1 fl oz US is 29.5735 ml (NIST Handbook 44, App. C; sold as 30), imperial 28.4131 ml (Weights
    and Measures Act 1985, Sch. 1); 25 ml is a quarter of neither.
    """
    assert [in_ounces(ml, "US") for ml in (29.5735, 30.0, 25.0, 28.4131)] == [
        Rounded(1.0, "oz"), Rounded(1.0, "oz"), None, None,
    ]  # fmt: skip
    assert in_ounces(28.4131, "imperial") == Rounded(1.0, "imp_fl_oz")
    assert in_ounces(14.2065, "imperial") == Rounded(0.5, "imp_fl_oz")
    assert in_ounces(30.0, "imperial") is None


@pytest.mark.parametrize(
    ("grams", "told"),
    [(42.66, 42.7), (50.4, 50), (122.9, 123), (0.2251, 0.23), (1.04, 1), (0.0175, 0.018)],
)
def test_scale_steps(grams: float, told: float) -> None:
    """1 g above 50 g, 0.1 g from 1 g, 0.01 g below, two figures at least: common practice."""
    assert mass(grams) == Rounded(told, "g", "weighed")


@given(st.integers(1, 999), st.sampled_from([0.1, 0.3, 0.7, 1.1, 3.0, 7.0]))
def test_one_weight_has_one_rounding(thousandths: int, factor: float) -> None:
    """0.175 g is 0.18 g, however the sum was made that came to it."""
    grams = thousandths / 1000.0
    assert mass(grams * factor / factor) == mass(grams)
    assert mass(0.25 * 700 / 1000) == mass(0.25 * (7.0 / 10.0)) == Rounded(0.18, "g", "weighed")


@given(st.floats(1e-4, 1e6), st.integers(1, 4))
def test_significant_figures(value: float, figures: int) -> None:
    """No more than half a step of the last figure is lost."""
    assert abs(significant(value, figures) - value) <= 0.5 * value * 10.0 ** (1 - figures) * 1.0001


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_only_amounts_are_told(bad: float) -> None:
    """Zero, below, and what is no number are faults of the caller."""
    for column in (metric, ounces, mass):
        with pytest.raises(ValueError, match="not an amount"):
            column(bad)
