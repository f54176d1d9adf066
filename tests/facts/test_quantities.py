from __future__ import annotations

from collections.abc import Callable

import pytest
from anthocard.facts.units.quantities import (
    parse_celsius,
    parse_dose,
    parse_hours,
    parse_ml,
    parse_mm,
    parse_percent,
)
from anthocard.facts.units.written_numbers import MeasureError


@pytest.mark.parametrize(
    ("parse", "text", "value"),
    [
        (parse_ml, "70 cl", 700.0),
        (parse_ml, "25 l", 25000.0),
        (parse_mm, "6 cm", 60.0),
        (parse_mm, "2 1/2 in", 63.5),
        (parse_hours, "12 h", 12.0),
        (parse_hours, "90 min", 1.5),
        (parse_hours, "2 days", 48.0),
        (parse_hours, "1 h 30 min", 1.5),
        (parse_celsius, "4 °C", 4.0),
        (parse_celsius, "4C", 4.0),
        (parse_celsius, "41 °F", 5.0),
        (parse_celsius, "-2 °C", -2.0),
        (parse_celsius, "−2 degrees Celsius", -2.0),
        (parse_celsius, "-40 F", -40.0),
        (parse_percent, "41.2 %", 41.2),
        (parse_percent, "41,2% vol", 41.2),
        (parse_percent, "92 percent", 92.0),
        (parse_percent, "0 %", 0.0),
    ],
)
def test_values_with_units(parse: Callable[[str], float], text: str, value: float) -> None:
    """Each written value comes to the float its function names, worked by hand."""
    assert parse(text) == pytest.approx(value)


@pytest.mark.parametrize(
    "text",
    ["8 g per litre", "8 g/l", "8 g / L", "2 g in 250 ml", "0.8 g per 100 ml", "8 g per l",
     "8000 mg to a litre", "2 g per 25 cl"],
)  # fmt: skip
def test_doses_come_to_grams_per_litre(text: str) -> None:
    """However the same dose is written, it is 8 g per litre, and its text stays."""
    dose = parse_dose(text)
    assert dose.g_per_l == pytest.approx(8.0)
    assert dose.text == text


@pytest.mark.parametrize(
    ("parse", "text", "kind", "underlined"),
    [
        (parse_ml, "50", "missing-unit", "50"),
        (parse_ml, "50 g", "wrong-unit", "50 g"),
        (parse_ml, "50 ml gin", "bad-amount", "gin"),
        (parse_ml, "2 dashes", "wrong-unit", "2 dashes"),
        (parse_mm, "2 m", "unknown-unit", "m"),
        (parse_hours, "12", "missing-unit", "12"),
        (parse_hours, "1 h 30", "missing-unit", "1 h 30"),
        (parse_hours, "300 weeks", "impossible-amount", "300 weeks"),
        (parse_celsius, "4", "missing-unit", "4"),
        (parse_celsius, "4 K", "missing-unit", "K"),
        (parse_celsius, "200 °C", "impossible-amount", "200 °C"),
        (parse_percent, "101 %", "impossible-amount", "101 %"),
        (parse_percent, "-1 %", "impossible-amount", "-1 %"),
        (parse_percent, "4 ml", "wrong-unit", "ml"),
        (parse_dose, "8 g", "missing-unit", "8 g"),
        (parse_dose, "8 ml/l", "wrong-unit", "8 ml"),
        (parse_dose, "8 g per glass", "missing-unit", "per glass"),
        (parse_dose, "8 g per litre of gin", "bad-amount", "of gin"),
        (parse_dose, "900 g/l", "impossible-amount", "900 g/l"),
    ],
)
def test_refusals_underline_what_is_wrong(
    parse: Callable[[str], object], text: str, kind: str, underlined: str
) -> None:
    """A value that cannot be read says why, where, and how to mend it."""
    with pytest.raises(MeasureError) as told:
        parse(text)
    error = told.value
    assert (error.kind, text[error.offset : error.offset + error.length]) == (kind, underlined)
    assert error.mend
