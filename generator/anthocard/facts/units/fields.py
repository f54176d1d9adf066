"""The types of written values in front-matter, for pydantic: text with a unit in, plain values out.

Belongs here: the base of every authored row, and one annotated type a kind of value, each with the
JSON Schema an editor needs. Does not belong here: the grammars (measures.py, quantities.py) and
the rows that use these types.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Annotated, Any, Final, TypeAlias, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    PlainValidator,
    WithJsonSchema,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.diagnostics.plain_scalars import switch_of
from anthocard.facts.law import allergens, places
from anthocard.facts.units.measures import Amount, parse_amount, parse_portion
from anthocard.facts.units.quantities import (
    Ratio,
    parse_celsius,
    parse_dilution,
    parse_dose,
    parse_grams,
    parse_hours,
    parse_ml,
    parse_mm,
    parse_percent,
    parse_seconds,
)
from anthocard.facts.units.units import PACKABLE
from anthocard.facts.units.written_numbers import MeasureError

T = TypeVar("T")

_NUMBER: Final = (
    r"[-−+]?\s*([0-9]*[.,]?[0-9]+|([0-9]+\s*)?([½¼¾⅓⅔⅛⅜⅝⅞]|[0-9]+\s?[/⁄]\s?[0-9]+)|an?|one)"
)


class Row(BaseModel):
    """Base of every value an author writes: frozen, and unknown keys are mistakes."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


def refusal(error: MeasureError) -> PydanticCustomError:
    """The error as pydantic carries it; the reader takes it apart again."""
    return PydanticCustomError(
        "measure",
        "{message}",
        {
            "kind": error.kind,
            "message": error.message,
            "mend": error.mend,
            "offset": error.offset,
            "length": error.length,
        },
    )


def _written(
    parse: Callable[[str], T], example: str, ready: type[T] | None = None
) -> PlainValidator:
    """Read text; tell a bare number that its unit is missing; let a `ready` value through."""
    unit = example.split(" ", 1)[1]

    def read(value: object) -> T:
        if ready is not None and isinstance(value, ready):
            return value
        try:
            if isinstance(value, str):
                return parse(value)
            if _is_number(value):
                raise MeasureError(
                    "missing-unit",
                    f"{value} has no unit",
                    f"write the unit, such as “{value} {unit}”",
                    0,
                    len(str(value)),
                )
            raise MeasureError("wrong-type", "this is not an amount", f"write it as “{example}”")
        except MeasureError as error:
            raise refusal(error) from None

    return PlainValidator(read)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _read_percent(value: object) -> float:
    try:
        if isinstance(value, str):
            return parse_percent(value)
        if _is_number(value):
            return parse_percent(f"{value:f}")
        raise MeasureError("wrong-type", "this is not a percentage", "write it as “40 %”")
    except MeasureError as error:
        raise refusal(error) from None


#: A sum with its currency around it.
_PRICED: Final = re.compile(r"(\D{0,4})((?:[1-9]\d{0,7}|0)(?:[.,]\d{1,2})?)(\D{0,4})")


def _read_money(value: object) -> float:
    text = value.strip() if isinstance(value, str) else ""
    priced = _PRICED.fullmatch(text)
    if priced is not None and priced[2] == text:
        value = float(text.replace(",", "."))
    if isinstance(value, int | float) and not isinstance(value, bool):
        if math.isfinite(value) and 0 <= value < 1e9:
            return float(value)
        wrong = f"{value} cannot be a price"
    else:
        wrong = "a price is a plain number; the currency stands in house.yaml"
    mend = f"write “{priced[2].replace(',', '.')}”" if priced else "write it as 12 or 12.50"
    raise refusal(MeasureError("wrong-type", wrong, mend, 0, max(1, len(text))))


def _read_allergen(value: object) -> str:
    if not isinstance(value, str):
        raise refusal(MeasureError("wrong-type", "this is not an allergen", "write it as “milk”"))
    try:
        return allergens.allergen_key(value)
    except KeyError:
        raise refusal(
            MeasureError(
                "unknown-allergen",
                f"“{value}” is not an allergen we know",
                did_you_mean(value, allergens.known_words()),
                0,
                len(value),
            )
        ) from None


def _read_place(value: object) -> str:
    code = value if isinstance(value, str) else str(value)
    if places.exists(code):
        return code
    meant = places.meant_by(code) or ""
    word = meant if switch_of(meant) is None else f'"{meant}"'  # NO, which YAML may take for false
    raise refusal(
        MeasureError(
            "unknown-place",
            f"there is no place “{code}”",
            (f"did you mean “{word}”? Else " if meant else "")
            + "write the ISO code of the country, with the state where it matters: GB, DE, US-CA",
            0,
            len(code),
        )
    )


def _pack(text: str) -> Amount:
    return parse_amount(text, PACKABLE, most="pack")


def _schema(description: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema(
        {
            "type": "string",
            "pattern": rf"^\s*{_NUMBER}\s*[^\s0-9].*$",
            "description": description,
            "examples": [*examples],
        }
    )


Millilitres: TypeAlias = Annotated[
    float, _written(parse_ml, "50 ml"), _schema("a volume", "50 ml", "2.5 cl", "8 oz")
]
Millimetres: TypeAlias = Annotated[
    float, _written(parse_mm, "60 mm"), _schema("a length", "60 mm", "6 cm", "2.5 in")
]
Hours: TypeAlias = Annotated[
    float, _written(parse_hours, "12 h"), _schema("a time", "12 h", "90 min", "2 days")
]
Seconds: TypeAlias = Annotated[
    float, _written(parse_seconds, "12 s"), _schema("a short time", "12 s", "2 min")
]
Grams: TypeAlias = Annotated[
    float, _written(parse_grams, "150 g"), _schema("a weight", "150 g", "1 kg")
]
#: Water added by ice, in % of the volume before it; written with what it is a share of.
Dilution: TypeAlias = Annotated[
    float,
    _written(parse_dilution, "44 % of the start"),
    _schema("water added by ice, and of what", "44 % of the start", "31 % of the end"),
]
Celsius: TypeAlias = Annotated[
    float, _written(parse_celsius, "4 °C"), _schema("a temperature", "4 °C", "40 °F")
]
Percent: TypeAlias = Annotated[
    float,
    PlainValidator(_read_percent),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "minimum": 0, "maximum": 100},
                {"type": "string", "pattern": rf"^\s*{_NUMBER}\s*(%|per ?cent).*$"},
            ],
            "description": "a percentage",
            "examples": ["41.2 %", 92],
        }
    ),
]
Money: TypeAlias = Annotated[
    float,
    PlainValidator(_read_money),
    WithJsonSchema(
        {"type": "number", "minimum": 0, "description": "a sum in the house's currency"}
    ),
]
#: An allergen by any of its names, read to its key in allergens.yaml.
AllergenName: TypeAlias = Annotated[
    str,
    PlainValidator(_read_allergen),
    WithJsonSchema(
        {
            "type": "string",
            "description": "an allergen",
            "examples": ["milk", "tree nuts", "almond", "sulphites"],
        }
    ),
]
#: The code of a place that exists.
PlaceCode: TypeAlias = Annotated[
    str,
    PlainValidator(_read_place),
    WithJsonSchema(
        {
            "type": "string",
            "pattern": "^[A-Z]{2}(-[A-Z0-9]{1,3})?$",
            "description": "a country, or a state of one, by its ISO code; EU for the Union",
            "examples": ["GB", "DE", "US-CA", "AU"],
        }
    ),
]
#: Grams of plant per litre of liquid, as a Ratio that keeps the author's words.
Dose: TypeAlias = Annotated[
    Ratio,
    _written(parse_dose, "8 g per litre", Ratio),
    _schema("grams of plant per litre", "8 g per litre", "2 g in 250 ml"),
]
#: An amount of one thing: poured, weighed, counted, or a pinch.
Portion: TypeAlias = Annotated[
    Amount,
    _written(parse_amount, "50 ml", Amount),
    _schema("an amount", "12.5 ml", "¾ oz", "2 dashes"),
]
#: What a thing is sold or kept in: a volume, a weight or a count.
Pack: TypeAlias = Annotated[
    Amount, _written(_pack, "700 ml", Amount), _schema("a pack", "700 ml", "1 kg", "12 pieces")
]


class Part(Row):
    """One line of a recipe: how much, and of what; written “50 ml gin” or {amount, of}."""

    amount: Portion
    name: Annotated[str, Field(alias="of", min_length=1, max_length=80)]

    @model_validator(mode="before")
    @classmethod
    def _from_line(cls, value: Any) -> Any:
        if isinstance(value, dict | Part):
            return value
        try:
            if isinstance(value, str):
                amount, name = parse_portion(value)
                return {"amount": amount, "of": name}
            raise MeasureError(
                "missing-unit" if _is_number(value) else "wrong-type",
                "this line needs an amount, a unit and a name",
                "write it as “50 ml gin”",
            )
        except MeasureError as error:
            raise refusal(error) from None

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """A line of text, or the mapping with `amount` and `of`."""
        line = {
            "type": "string",
            "pattern": rf"^\s*{_NUMBER}\s*[^\s0-9].*$",
            "examples": ["50 ml sweet-potato spirit", "2 dashes house bitters"],
        }
        return {"anyOf": [line, handler(core_schema)]}
