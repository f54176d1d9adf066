from __future__ import annotations

import re
from typing import Any

import pytest
from anthocard.facts.units.fields import (
    Celsius,
    Dose,
    Hours,
    Millilitres,
    Millimetres,
    Money,
    Pack,
    Part,
    Percent,
    Portion,
)
from pydantic import TypeAdapter, ValidationError

WITH_UNITS = [Millilitres, Millimetres, Hours, Celsius, Dose, Portion, Pack]


def refused(kind: Any, value: object) -> dict[str, Any]:
    """What pydantic carries about a refused value."""
    with pytest.raises(ValidationError) as told:
        TypeAdapter(kind).validate_python(value)
    return told.value.errors()[0]["ctx"]


@pytest.mark.parametrize("kind", WITH_UNITS)
def test_a_bare_number_lacks_its_unit(kind: Any) -> None:
    """No unit is ever guessed, and the mend writes the number with one."""
    told = refused(kind, 12)
    assert told["kind"] == "missing-unit"
    assert "12 " in told["mend"]


@pytest.mark.parametrize("kind", [*WITH_UNITS, Percent, Money])
@pytest.mark.parametrize("value", [True, None, (), {}])
def test_what_is_neither_text_nor_number_is_refused(kind: Any, value: object) -> None:
    """true is not 1, and a list is not an amount."""
    assert refused(kind, value)["kind"] == "wrong-type"


@pytest.mark.parametrize("kind", [*WITH_UNITS, Percent, Money])
def test_the_schema_shows_examples_that_it_accepts_and_so_do_we(kind: Any) -> None:
    """Editors complete from the schema: its examples match its own pattern and are read."""
    schema = TypeAdapter(kind).json_schema()
    assert schema["description"]
    for example in schema.get("examples", []):
        TypeAdapter(kind).validate_python(example)
        if isinstance(example, str) and "pattern" in schema:
            assert re.search(schema["pattern"], example)
            assert not re.search(schema["pattern"], "50")


def test_a_percentage_may_be_a_number() -> None:
    """41.2 and “41.2 %” are the same; 412 is neither."""
    percent = TypeAdapter(Percent)
    assert percent.validate_python(41.2) == percent.validate_python("41.2 %") == 41.2
    assert refused(Percent, 412)["kind"] == "impossible-amount"


@pytest.mark.parametrize("bad", [-1, float("nan"), float("inf"), "£13", "013", "1e2"])
def test_money_is_a_plain_number(bad: object) -> None:
    """A price has no sign and no currency; quotes and a decimal comma leave it what it is."""
    assert refused(Money, bad)["kind"] == "wrong-type"
    assert [TypeAdapter(Money).validate_python(text) for text in ("13", "8,50")] == [13.0, 8.5]


def test_a_pack_may_be_weighed_counted_or_a_volume() -> None:
    """A pack keeps what it is; a dash is no pack."""
    pack = TypeAdapter(Pack)
    assert [pack.validate_python(t).unit for t in ("70 cl", "1 kg", "12 pieces")] == [
        "cl",
        "kg",
        "piece",
    ]
    assert refused(Pack, "2 dashes")["kind"] == "wrong-unit"


def test_a_part_is_a_line_or_a_mapping() -> None:
    """Both ways of writing a part give the same part."""
    line = Part.model_validate("50 ml gin")
    assert Part.model_validate({"amount": "50 ml", "of": "gin"}) == line
    assert (line.amount.value, line.name) == (50.0, "gin")
    assert Part.model_json_schema()["anyOf"][0]["type"] == "string"


def test_a_faulty_amount_inside_a_part_says_where() -> None:
    """The location of a mistake leads into the mapping, not only to it."""
    with pytest.raises(ValidationError) as told:
        Part.model_validate({"amount": "50", "of": "gin"})
    assert told.value.errors()[0]["loc"] == ("amount",)
