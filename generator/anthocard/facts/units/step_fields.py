"""The lines and settings of steps, for pydantic: text in, plain values out.

Belongs here: what a step is told in: a lot of something, powders, shares, aims. Does not belong
here: the steps themselves (steps.py), the grammars (facts/units/step_amounts.py).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Final, TypeAlias, TypeVar

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema

from anthocard.facts.units.fields import Part, Row, refusal
from anthocard.facts.units.measures import Amount
from anthocard.facts.units.step_amounts import (
    Aim,
    Share,
    parse_aim,
    parse_brix,
    parse_g_per_l,
    parse_left,
    parse_lot,
    parse_powder,
    parse_ratio,
    parse_share,
    parse_thawed,
    parse_volumes,
)
from anthocard.facts.units.written_numbers import MeasureError

T = TypeVar("T")


def _text(parse: Callable[[str], T], ready: type[T], *examples: str) -> tuple[Any, Any]:
    """A field of one text in the grammar of `parse`; a `ready` value is let through."""

    def read(value: object) -> T:
        if isinstance(value, ready):
            return value
        try:
            if isinstance(value, str):
                return parse(value)
            if isinstance(value, int | float) and not isinstance(value, bool):
                return parse(f"{value:g}")
            raise MeasureError("wrong-type", "words are wanted here", f"write “{examples[0]}”")
        except MeasureError as error:
            raise refusal(error) from None

    schema = {"anyOf": [{"type": "string"}, {"type": "number"}], "examples": [*examples]}
    return PlainValidator(read), WithJsonSchema(schema)


Gives: TypeAlias = Annotated[Share, *_text(parse_share, Share, "75 %", "660 ml", "950 g")]
Left: TypeAlias = Annotated[Share, *_text(parse_left, Share, "to 300 ml", "by 60 %")]
Thawed: TypeAlias = Annotated[Share, *_text(parse_thawed, Share, "500 ml", "whole")]
ByWeight: TypeAlias = Annotated[float, *_text(parse_ratio, float, "2 to 1")]
Brix: TypeAlias = Annotated[float, *_text(parse_brix, float, "60 °Bx")]
Volumes: TypeAlias = Annotated[float, *_text(parse_volumes, float, "3.5 volumes")]
PerLitre: TypeAlias = Annotated[float, *_text(parse_g_per_l, float, "8 g/l")]
Aimed: TypeAlias = Annotated[Aim, *_text(parse_aim, Aim, "46 g/l", "acidity of lime juice")]


class StepPart(Part):
    """One line of a step: how much, and of what; written “2 kg lemons”, “12 lemons”."""

    @classmethod
    def read(cls, value: object) -> StepPart:
        """The line as its value; a StepPart passes through. Raises pydantic's refusal."""
        if isinstance(value, StepPart):
            return value
        mend = "write it as “30 g fresh mint”"
        try:
            if not isinstance(value, str):
                raise MeasureError("wrong-type", "an amount and a name are wanted here", mend)
            return cls.made(*parse_lot(value))
        except MeasureError as error:
            raise refusal(error) from None

    @classmethod
    def made(cls, amount: Amount, name: str) -> StepPart:
        """A line made of its two halves."""
        return cls.model_validate({"amount": amount, "of": name})


class Powder(Row):
    """What an acid is dialled with: its parts and its name."""

    parts: float
    name: str


def _powder(value: object) -> Powder:
    if isinstance(value, Powder):
        return value
    try:
        parts, name = parse_powder(value if isinstance(value, str) else "")
    except MeasureError as error:
        raise refusal(error) from None
    return Powder(parts=parts, name=name)


def _as_list(value: object) -> object:
    return (value,) if isinstance(value, str | StepPart | Powder) else value


_LINE: Final = {"type": "string", "examples": ["30 g fresh mint", "12 lemons", "700 ml gin"]}
_POWDER: Final = {"type": "string", "examples": ["citric acid", "2 parts citric acid"]}
_ONE_OR_MANY: Final = BeforeValidator(_as_list, json_schema_input_type=str | tuple[str, ...])
StepParts: TypeAlias = Annotated[
    tuple[Annotated[StepPart, PlainValidator(StepPart.read), WithJsonSchema(_LINE)], ...],
    Field(min_length=1),
    _ONE_OR_MANY,
]
Powders: TypeAlias = Annotated[
    tuple[Annotated[Powder, PlainValidator(_powder), WithJsonSchema(_POWDER)], ...],
    Field(min_length=1),
    _ONE_OR_MANY,
]
