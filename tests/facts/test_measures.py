from __future__ import annotations

import math
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.diagnostics.tables import read_table
from anthocard.facts.units.measures import Amount, parse_amount, parse_portion, pieces, to_g, to_ml
from anthocard.facts.units.units import spellings, units
from anthocard.facts.units.written_numbers import MeasureError
from hypothesis import given, strategies as st

EXACT = yaml.safe_load((Path(__file__).parent / "measures_checks.yaml").read_text("utf-8"))["exact"]


@pytest.mark.parametrize("check", EXACT.values(), ids=EXACT.keys())
def test_published_sizes(check: dict[str, Any]) -> None:
    """Each unit is as large as its publication says (source on the row)."""
    assert to_ml(parse_amount(check["text"])) == pytest.approx(check["ml"], abs=check["within"])


@pytest.mark.parametrize(
    ("text", "value", "unit", "name"),
    [
        ("50 ml sweet-potato spirit", 50.0, "ml", "sweet-potato spirit"),
        ("50ml gin", 50.0, "ml", "gin"),
        ("2 oz gin", 2.0, "oz", "gin"),
        ("1 fl. oz. gin", 1.0, "us_fl_oz", "gin"),
        ("1 fl.oz. gin", 1.0, "us_fl_oz", "gin"),
        ("1 imp oz gin", 1.0, "imp_fl_oz", "gin"),
        ("¾ oz honey syrup", 0.75, "oz", "honey syrup"),
        ("1½ oz gin", 1.5, "oz", "gin"),
        ("1 ½ oz gin", 1.5, "oz", "gin"),
        ("1 1/2 oz gin", 1.5, "oz", "gin"),
        ("11/2 oz gin", 5.5, "oz", "gin"),
        ("2.5 cl gin", 2.5, "cl", "gin"),
        ("12,5 ml gin", 12.5, "ml", "gin"),
        (".5 l gin", 0.5, "l", "gin"),
        ("1 dash house bitters", 1.0, "dash", "house bitters"),
        ("2 drops of saline", 2.0, "drop", "saline"),
        ("1 bar spoon grenadine", 1.0, "barspoon", "grenadine"),
        ("a pinch of salt", 1.0, "pinch", "salt"),
        ("3 leaves mint", 3.0, "leaf", "mint"),
        ("3 mint leaves", 3.0, "leaf", "mint"),
        ("1 lemon wedge", 1.0, "wedge", "lemon"),
        ("1 egg white", 1.0, "piece", "egg white"),
        ("2 egg whites", 2.0, "piece", "egg white"),
        ("12 g sugar", 12.0, "g", "sugar"),
        ("1 kg   ripe  plums", 1.0, "kg", "ripe plums"),
    ],
)
def test_what_bartenders_write(text: str, value: float, unit: str, name: str) -> None:
    """Amount, unit and name come apart as a bartender would read them."""
    amount, of = parse_portion(text)
    assert (amount.value, amount.unit, of) == (value, unit, name)


def test_the_authors_own_words_stay() -> None:
    """An amount keeps its text, without the name it stood before."""
    assert parse_portion("1 1/2 oz of gin")[0].text == "1 1/2 oz"
    assert parse_portion("3 mint leaves")[0].text == "3 leaves"
    assert parse_portion("2 egg whites")[0].text == "2"


@pytest.mark.parametrize(
    ("text", "kind", "underlined"),
    [
        ("50 gin", "missing-unit", "50 gin"),
        ("50", "missing-unit", "50"),
        ("50 mll gin", "unknown-unit", "mll"),
        ("50 chunky gin", "missing-unit", "50 chunky gin"),
        ("12 h gin", "wrong-unit", "12 h"),
        ("0 ml gin", "impossible-amount", "0"),
        ("-5 ml gin", "impossible-amount", "-5"),
        ("−5 ml gin", "impossible-amount", "−5"),
        ("20.1 l gin", "impossible-amount", "20.1 l gin"),
        ("nan ml gin", "missing-amount", "nan ml gin"),
        ("inf ml gin", "missing-amount", "inf ml gin"),
        ("gin", "missing-amount", "gin"),
        ("", "missing-amount", ""),
        ("top up with soda water", "missing-amount", "top up"),
        ("a splash of soda water", "missing-amount", "a splash of soda water"),
        ("2-3 dashes bitters", "bad-amount", "2-3 dashes bitters"),
        ("2 to 3 dashes bitters", "bad-amount", "2 to 3 dashes bitters"),
        ("1,000 ml gin", "bad-amount", "1,000 "),
        ("1.2.3 ml gin", "bad-amount", "1.2."),
        ("1/0 oz gin", "bad-amount", "1/0"),
        ("50 ml", "missing-name", "50 ml"),
    ],
)
def test_what_cannot_be_read_is_refused_at_the_faulty_word(
    text: str, kind: str, underlined: str
) -> None:
    """Every refusal has a kind, a mend, and underlines what is wrong."""
    with pytest.raises(MeasureError) as told:
        parse_portion(text)
    error = told.value
    assert (error.kind, text[error.offset : error.offset + error.length]) == (kind, underlined)
    assert error.mend


def test_an_amount_alone_takes_no_name() -> None:
    """Where only an amount is asked for, a name after it is refused."""
    with pytest.raises(MeasureError, match="“gin” does not belong"):
        parse_amount("50 ml gin")


def test_a_house_measures_its_own_dash() -> None:
    """A dash is nothing until it is calibrated; a drop has a published size to fall back on."""
    dash, drop = parse_amount("2 dashes"), parse_amount("4 drops")
    assert to_ml(dash) is None
    assert to_ml(dash, {"dash": 0.8}) == pytest.approx(1.6)
    assert to_ml(drop) == pytest.approx(0.2)
    assert to_ml(drop, {"drop": 0.04}) == pytest.approx(0.16)


def test_a_measure_answers_only_for_its_own_dimension() -> None:
    """Weights have no volume, volumes no weight, and a pinch has neither."""
    for text, ml, g, count in [
        ("2 cl", 20.0, None, None),
        ("2 g", None, 2.0, None),
        ("2 leaves", None, None, 2.0),
        ("2 pinches", None, None, None),
    ]:
        amount = parse_amount(text)
        assert (to_ml(amount), to_g(amount), pieces(amount)) == (ml, g, count)


def test_the_table_agrees_with_pint() -> None:
    """Our float factors are those of pint's own definitions, where pint has the unit."""
    pint = pytest.importorskip("pint").UnitRegistry()
    theirs = {
        "us_fl_oz": ("fluid_ounce", "ml"),
        "us_tsp": ("teaspoon", "ml"),
        "us_tbsp": ("tablespoon", "ml"),
        "us_cup": ("cup", "ml"),
        "us_gill": ("gill", "ml"),
        "us_pint": ("pint", "ml"),
        "imp_fl_oz": ("imperial_fluid_ounce", "ml"),
        "imp_gill": ("imperial_gill", "ml"),
        "imp_pint": ("imperial_pint", "ml"),
        "cl": ("centilitre", "ml"),
        "oz_wt": ("ounce", "g"),
        "lb": ("pound", "g"),
        "in": ("inch", "mm"),
        "week": ("week", "h"),
        "min": ("minute", "h"),
    }
    for key, (name, base) in theirs.items():
        assert units()[key].factor == pytest.approx(pint(f"1 {name}").to(base).m, rel=1e-12), key


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("2 US gallons", 2 * 128 * 29.5735295625, "ml"),
        ("1 imperial gallon", 4546.09, "ml"),
        ("1/2 UK quart", 568.26125, "ml"),
        ("1 cubic inch", 16.387064, "ml"),
        ("250 µl", 0.25, "ml"),
        ("1 stone", 14 * 453.59237, "g"),
        ("20 grains", 20 * 453.59237 / 7000, "g"),
        ("2 troy oz", 62.2069536, "g"),
    ],
)
def test_rarer_units_become_ours(text: str, value: float, unit: str) -> None:
    """A unit that our table does not know is told in millilitres or grams (NIST Handbook 44 App. C,
    Weights and Measures Act 1985).
    """
    amount = parse_amount(text)
    assert (amount.value, amount.unit) == (pytest.approx(value, rel=1e-9), unit)


@pytest.mark.parametrize("word", ["pint", "quarts", "gallons"])
def test_a_unit_of_two_sizes_is_asked_back(word: str) -> None:
    """A fifth more or less is no detail: both readings are offered, and both can be read."""
    with pytest.raises(MeasureError) as refused:
        parse_amount(f"2 {word}")
    assert refused.value.kind == "two-sizes"
    sizes = [parse_amount(offer) for offer in re.findall("“(.*?)”", refused.value.mend)]
    assert len(sizes) == 2
    small, large = (to_ml(one) for one in sizes)
    assert 1.19 < (large or 0.0) / (small or 1.0) < 1.21


def test_pint_is_loaded_for_rarer_units_alone() -> None:
    """Reading a house of everyday units imports no pint, and pint never sees free text."""
    code = (
        "import sys; from anthocard.facts.units.measures import parse_amount as p\n"
        "p('50 ml'); assert 'pint' not in sys.modules; p('1 stone'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
    for unknown in ("1 fl", "2 clx", "1 firlot"):
        with pytest.raises(MeasureError):
            parse_amount(unknown)


@pytest.mark.parametrize(
    "row", read_table("anthocard.facts.units", "measures.yaml")["rarer"].items()
)
def test_pint_knows_every_rarer_unit(row: tuple[str, dict[str, object]]) -> None:
    """Each row is read by its first spelling, and none hides a spelling of every day."""
    key, one = row
    spellings_ = one["spellings"]
    assert isinstance(spellings_, list)
    assert not set(spellings_) & set(spellings()), key
    if "readings" not in one:
        assert parse_amount(f"0.001 {spellings_[0]}", most="pack").value > 0.0


def test_the_unit_table_is_whole() -> None:
    """No spelling leads to two units, all are folded, and only what is calibrated has no factor."""
    assert len(units()) == 49
    rows = read_table("anthocard.facts.units", "measures.yaml")["units"].values()
    assert sum(len({*row["spellings"], *row.get("also", ())}) for row in rows) == len(spellings())
    assert all(s == " ".join(s.lower().replace(".", " ").split()) for s in spellings())
    assert {u.key for u in units().values() if u.factor is None} == {
        "dash", "barspoon", "pinch", "rinse", "spray", "part", "percent",
    }  # fmt: skip


@given(
    value=st.floats(0.01, 199).map(lambda x: round(x, 2)),
    spelling=st.sampled_from(
        ["ml", "cl", "oz", "US fl oz", "tsp", "g", "dashes", "leaves", "DROPS"]
    ),
    name=st.sampled_from(["gin", "of gin", "honey syrup", "sweet-potato spirit", "o'clock"]),
    comma=st.booleans(),
)
def test_amounts_round_trip(value: float, spelling: str, name: str, comma: bool) -> None:
    """What was read prints as it was written, and reads the same again."""
    figure = f"{value}".replace(".", ",") if comma else f"{value}"
    amount, of = parse_portion(f"{figure} {spelling} {name}")
    assert math.isclose(amount.value, value)
    assert of == name.removeprefix("of ")
    assert parse_amount(amount.text) == Amount(amount.value, amount.unit, amount.text)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing but a MeasureError comes of any text, and what is read is above zero and finite."""
    try:
        amount, name = parse_portion(text)
    except MeasureError as told:
        error = told
    else:
        assert 0 < amount.value < math.inf
        assert name
        return
    assert error.message
    assert 0 <= error.offset <= len(text)


@pytest.mark.parametrize("text", ["6.4168 g", "6,4168 g", "6.4168g", "0.00642 kg"])
def test_four_decimals_are_a_number(text: str) -> None:
    """A laboratory's weight has four decimals; only three after a comma can be thousands."""
    assert parse_amount(text).value == pytest.approx(0.00642 if "kg" in text else 6.4168)
