from __future__ import annotations

import re
import unicodedata
from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.facts.units.measures import parse_amount, to_ml
from anthocard.facts.units.rounding import (
    mass_text,
    metric_text,
    ounce_text,
    quarters_text,
)
from hypothesis import given
from hypothesis import strategies as st

CHECKS = yaml.safe_load((Path(__file__).parent / "measures_checks.yaml").read_text("utf-8"))
COLUMNS = CHECKS["columns"]
ROLES = {"spirit": 0.05, "other": 0.05, "acid": 0.02, "buffer": 0.02, "pigment": 0.02}


def poured_ml(text: str) -> float:
    """What somebody with a jigger, spoons and a dropper pours after reading a column."""
    exact = text.removesuffix(" by scale")
    return sum(to_ml(parse_amount(term)) or 0.0 for term in exact.split(" + "))


@pytest.mark.parametrize("check", COLUMNS.values(), ids=COLUMNS.keys())
def test_columns_as_published(check: dict[str, Any]) -> None:
    """Both columns read as on the row (source there), and the ounces add up to the millilitres."""
    assert metric_text(check["ml"]) == check["metric"]
    assert ounce_text(check["ml"]) == check["ounce"]
    assert poured_ml(check["ounce"]) == pytest.approx(poured_ml(check["metric"]))


@given(ml=st.floats(0.02, 3000), role=st.sampled_from(sorted(ROLES)))
def test_what_is_printed_pours_what_was_meant(ml: float, role: str) -> None:
    """Either column, poured, is within its role's share, an exact figure within half a digit."""
    for text in (metric_text(ml, role), ounce_text(ml, role)):
        allowed = max(ROLES[role] * ml, 0.5 * ml / 100 if text.endswith("by scale") else 0.0)
        assert abs(poured_ml(text) - ml) <= max(allowed, 0.005) + 1e-9, text


@given(st.integers(2, 400))
def test_every_step_of_the_metric_lattice_is_exact_in_ounces(steps: int) -> None:
    """A multiple of 2.5 ml prints in ounces and spoons that return to it, in the strictest role."""
    ml = steps * 2.5
    text = ounce_text(ml, "acid")
    assert "by scale" not in text
    assert poured_ml(text) == pytest.approx(ml)


def test_a_colour_turning_line_is_not_rounded_away() -> None:
    """3.25 ml of acid is not 3.5 (7 % off): it is weighed; a mixer of 49 ml may be 50."""
    assert metric_text(3.25, "acid") == "3.25 ml by scale"
    assert ounce_text(3.25, "acid") == "3.25 ml by scale"
    assert metric_text(49.0, "other") == "50 ml"
    assert metric_text(13.6, "acid") == "13.6 ml by scale"


def test_three_quarters_of_an_ounce_is_not_twenty_five_ml() -> None:
    """“¾ oz” alone would be 10 % short of 25 ml and is never printed for it."""
    assert ounce_text(25.0, "spirit") != "¾ oz"


def test_exact_ounces_are_the_legal_ones() -> None:
    """250 ml is about 8.5 oz, 5 ml a little under a quarter: common practice, no source."""
    assert ounce_text(250.0, rounding="exact") == "8.45 oz"
    assert ounce_text(5.0, rounding="exact") == "0.17 oz"
    assert ounce_text(250.0, ounces="imperial", rounding="exact") == "8.8 imp oz"


def test_imperial_ounces_are_named_and_smaller() -> None:
    """An imperial lattice says so on every line that has ounces."""
    assert ounce_text(28.4130625, "acid", "imperial") == "1 imp oz"
    assert ounce_text(50.0, "spirit", "imperial") == "1¾ imp oz"


@pytest.mark.parametrize(
    ("grams", "text"),
    [(42.66, "42.7 g"), (50.4, "50 g") , (122.9, "123 g"), (0.2251, "0.23 g"), (1.04, "1 g")],
)  # fmt: skip
def test_scale_steps(grams: float, text: str) -> None:
    """1 g above 50 g, 0.1 g from 1 g, 0.01 g below: common practice, no source."""
    assert mass_text(grams) == text


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_only_amounts_are_printed(bad: float) -> None:
    """Zero, below, and what is no number are faults of the caller."""
    for column in (metric_text, ounce_text, mass_text):
        with pytest.raises(ValueError, match="not an amount"):
            column(bad)


@given(st.integers(0, 200))
def test_quarters_read_back(quarters: int) -> None:
    """A mixed figure with its glyph is the number it came from."""
    found = re.fullmatch(r"(\d*)([¼½¾]?)", quarters_text(quarters))
    assert found is not None
    glyph = unicodedata.numeric(found[2]) if found[2] else 0.0
    assert float(found[1] or 0) + glyph == quarters / 4
