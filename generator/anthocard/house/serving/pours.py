"""The lines of a drink: what is poured, how much of a whole, and what is added before the guest.

Belongs here: the frozen types of a pour and a reveal. Does not belong here: the grammar of an
amount (facts/units), the drink they stand in (model.py), what they come to (the engine).
"""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal, Self, TypeAlias

from pydantic import Field, GetJsonSchemaHandler, PlainValidator, WithJsonSchema, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from anthocard.facts.units.fields import Part, Row, refusal
from anthocard.facts.units.measures import Amount
from anthocard.facts.units.quantities import parse_ml
from anthocard.facts.units.shares import Lies, parse_line, parse_poured
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.ice import Frozen
from anthocard.house.wish import AfterWish, BeforeWish, split_until

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=80)]
Line: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]

#: Where a wished pour stands until the engine has worked it out: nothing of it is in the glass.
UNDIALLED = Amount(0.0, "ml", "to be worked out")


def _unread(value: object, what: str, example: str) -> MeasureError:
    """What is told of an amount that is no text: a number lacks its unit."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        mend = f"write the unit, such as “{value} ml”"
        return MeasureError("missing-unit", f"{value} has no unit", mend, 0, len(str(value)))
    return MeasureError("wrong-type", f"this is not {what}", f"write it as “{example}”")


def _read_poured(value: object) -> Amount:
    try:
        if isinstance(value, Amount):
            return value
        if isinstance(value, str):
            return parse_poured(value)
        raise _unread(value, "an amount", "50 ml")
    except MeasureError as error:
        raise refusal(error) from None


#: An amount of a pour: as any, or a share of the drink, or what still goes into the glass.
Poured: TypeAlias = Annotated[
    Amount,
    PlainValidator(_read_poured),
    WithJsonSchema(
        {
            "type": "string",
            "description": "how much is poured",
            "examples": ["50 ml", "¾ oz", "2 dashes", "2 parts", "5 %", "1 rinse", "top up"],
        }
    ),
]


GLASS: Final = "glass"  # the size of a drink that fills its glass


def _read_size(value: object) -> float | str:
    try:
        if isinstance(value, str):
            return GLASS if value.casefold().split()[-1:] == [GLASS] else parse_ml(value)
        raise _unread(value, "a size", "90 ml")
    except MeasureError as error:
        raise refusal(error) from None


#: What is poured altogether, ml, before any ice: the whole of parts and percentages.
Size: TypeAlias = Annotated[
    float | str,
    PlainValidator(_read_size),
    WithJsonSchema(
        {
            "type": "string",
            "description": "what is poured altogether, or “glass”: as much as fills it",
            "examples": ["90 ml", "3 oz", GLASS],
        }
    ),
]


class Pour(Part):
    """One line of a drink: an amount, a share, or a wish the engine turns into one.

    Written “50 ml gin”, “2 parts gin”, “top up with soda water”, “float 15 ml red wine”, “citrate
    buffer until pH 5.2”, {amount, of, lies} or {of, until}.
    """

    amount: Poured = UNDIALLED
    until: BeforeWish | None = None
    lies: Lies = "in"

    @model_validator(mode="before")
    @classmethod
    def _wish_from_line(cls, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        wished = split_until(value)
        if wished:
            return {"of": wished[0], "until": wished[1]}
        try:
            line = parse_line(value)
        except MeasureError as error:
            raise refusal(error) from None
        return {"amount": line.amount, "of": line.name, "lies": line.lies}

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """The lines of a Part, or a line with a wish."""
        schema = super().__get_pydantic_json_schema__(core_schema, handler)
        wish = {
            "type": "string",
            "pattern": r"^.*\S\s+until\s+\S.*$",
            "examples": ["citrate buffer until pH 5.2"],
        }
        served = {
            "type": "string",
            "pattern": r"^\s*(float|sink|top( up)? with|rinse|spray|[\d.,]+(\s*:\s*[\d.,]+)+\s)",
            "examples": ["top up with soda water", "2:1 gin, dry vermouth", "float 15 ml red wine"],
        }
        return {"anyOf": [*schema["anyOf"], served, wish]}

    @model_validator(mode="after")
    def _amount_or_wish(self) -> Self:
        if (self.amount == UNDIALLED) == (self.until is None):
            raise refusal(_neither_or_both("a pour", self.until is None))
        return self


def _neither_or_both(what: str, neither: bool) -> MeasureError:
    much = "neither" if neither else "both"
    return MeasureError(
        "reveal-dose" if what == "a reveal" else "pour-dose",
        f"{what} needs an amount or a wish, and here stand {much}",
        "add a line “amount: 12.5 ml”, or “until: pH 3.3” to have it worked out"
        if neither
        else "take this line away, or “amount”: keep the one you mean (“until” is worked out)",
    )


#: How a reveal is done: stirred in at once, run over or under the drink, as ice that melts, as a
#: mist on it, or as much as still goes into the glass.
How: TypeAlias = Literal["poured", "dropped", "squeezed", "layered", "frozen", "mist", "topped"]


class Reveal(Row):
    """What is added in front of the guest and turns the colour.

    One of `amount` (as written) or `until` (a wish the engine works out) is given; what is topped
    needs neither, and fills the glass. What is frozen is one ball unless `pieces` says otherwise.
    """

    pour: Name
    amount: Poured | None = None
    until: AfterWish | None = None
    how: How = "poured"
    pieces: Frozen | None = None
    served: Line | None = None

    @model_validator(mode="before")
    @classmethod
    def _fills_the_glass(cls, value: Any) -> Any:
        if not isinstance(value, dict) or value.get("how") != "topped":
            return value
        return value if {"amount", "until"} & value.keys() else {**value, "amount": "top up"}

    @model_validator(mode="after")
    def _one_dose(self) -> Self:
        if (self.amount is None) == (self.until is None):
            raise refusal(_neither_or_both("a reveal", self.amount is None))
        if self.pieces is not None and self.how != "frozen":
            raise refusal(
                MeasureError(
                    "pieces-unfrozen",
                    f"only what is frozen comes in pieces, and this is {self.how}",
                    "write “how: frozen”, or take “pieces” away",
                )
            )
        return self
