"""Numbers and units as words, in one place."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.facts.units.measures import parse_amount, to_ml
from anthocard.facts.units.rounding import Rounded, metric, ounces
from anthocard.press.base.number_text import (
    amount,
    amount_and_how,
    count,
    dose,
    figure,
    fills,
    millilitres,
    quarters,
    unit,
    volume,
    weight,
)
from hypothesis import given, strategies as st

CHECKS = Path(__file__).parents[1] / "facts" / "measures_checks.yaml"
COLUMNS = yaml.safe_load(CHECKS.read_text("utf-8"))["columns"]


@pytest.mark.parametrize("check", COLUMNS.values(), ids=COLUMNS.keys())
def test_columns_as_published(check: dict[str, Any]) -> None:
    """Both columns read as on the row (source there)."""
    assert amount(metric(check["ml"])) == check["metric"]
    assert amount(ounces(check["ml"])) == check["ounce"]


@given(ml=st.floats(0.02, 3000))
def test_what_is_printed_is_what_was_rounded(ml: float) -> None:
    """Read back by the grammar of authors, either column is the amount it was made of."""
    for told in (metric(ml), ounces(ml)):
        read = sum(to_ml(parse_amount(term)) or 0.0 for term in amount(told).split(" + "))
        assert read == pytest.approx(told.base)


def test_how_it_is_measured_is_told_where_no_jigger_can() -> None:
    """Otherwise the amount alone."""
    assert amount_and_how(metric(3.25, "acid")) == "3.25 ml by scale"
    assert amount_and_how(metric(50.0)) == "50 ml"
    assert weight(3.25) == "3.3 g"


def test_figures_and_units_stand_apart() -> None:
    """Exact ounces are decimals, jiggered ones quarters; drops are counted."""
    assert (figure(Rounded(0.75, "oz")), unit(Rounded(0.75, "oz"))) == ("¾", "oz")
    exact = Rounded(8.8, "imp_fl_oz", "graduated")
    assert (figure(exact), unit(exact)) == ("8.8", "imp oz")
    assert [amount(Rounded(n, "drop")) for n in (1.0, 2.0)] == ["1 drop", "2 drops"]


@pytest.mark.parametrize(
    ("way", "system", "told"),
    [
        ((25.0, 20.0), None, "25 + 20 ml"),
        ((25.0, 25.0), "US", "2 × 25 ml"),
        ((45.0, 7.5), "US", "1½ + ¼ oz"),
        ((29.57, 10.0), "US", "1 oz + 10 ml"),
        ((28.4131, 28.4131), "imperial", "2 × 1 imp oz"),
        ((28.4131,), None, "28.4 ml"),
    ],
)
def test_fills_of_jiggers(way: tuple[float, ...], system: Any, told: str) -> None:
    """Each size once, in the unit it was made to."""
    assert fills(way, system) == told


def test_a_batch_has_one_unit() -> None:
    """What is measured and what is there are both litres from two litres on."""
    assert (volume(1750.0), millilitres(1750.0)) == ("1750 ml", "1750 ml")
    assert (volume(2344.0), millilitres(2344.0)) == ("2.34 litres", "2.34 litres")


def test_a_dose_keeps_its_figures() -> None:
    """A quarter of a gram is not a fifth; what is weighed by the hundred needs no decimals."""
    assert [dose(g) for g in (0.25, 8.0, 12.345, 116.28)] == [
        "0.25 g/l", "8 g/l", "12.3 g/l", "116 g/l",
    ]  # fmt: skip


def test_counts_have_their_authors_word() -> None:
    """One or many; “wheels” stay wheels although the table files them as slices."""
    assert count(1.0, "dash") == "1 dash"
    assert count(20.0, "dash", "1 dash") == "20 dashes"
    assert count(10.0, "slice", "1 wheel") == "10 wheels"


@given(st.integers(0, 200))
def test_quarters_read_back(of: int) -> None:
    """A mixed figure with its glyph is the number it came from."""
    found = re.fullmatch(r"(\d*)([¼½¾]?)", quarters(of))
    assert found is not None
    glyph = unicodedata.numeric(found[2]) if found[2] else 0.0
    assert float(found[1] or 0) + glyph == of / 4
