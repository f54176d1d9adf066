"""What an author may write in a recipe: frozen types, one a kind.

Belongs here: names, shapes and ranges of front-matter. Does not belong here: how it is read
(reader.py) or what it comes to (the engine).
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Final, Literal, Self, TypeAlias

from pydantic import BeforeValidator, Field, GetJsonSchemaHandler, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from anthocard.facts.stock import AllergenRecord
from anthocard.facts.units.fields import (
    Celsius,
    Dilution,
    Dose,
    Hours,
    Millilitres,
    Money,
    Part,
    Percent,
    Portion,
    Row,
    refusal,
)
from anthocard.facts.units.measures import Amount
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.ice import Ice, Method, Worked
from anthocard.house.steps import Written as WrittenStep
from anthocard.house.wish import AfterWish, BeforeWish, split_until

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=80)]
Line: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]

#: A list of lines, or just one.
Lines: TypeAlias = Annotated[
    tuple[Line, ...],
    BeforeValidator(
        lambda value: (value,) if isinstance(value, str) else value,
        json_schema_input_type=Line | tuple[Line, ...],
    ),
]

Language: TypeAlias = Annotated[
    str, Field(pattern=r"^[a-z]{2}(-[A-Z]{2})?$", examples=["de", "en-GB"])
]


class Translation(Row):
    """A name in another language; the words themselves stand in the body, below “## de”."""

    name: Name | None = None
    taste: Line | None = None


class Written(Row):
    """What every recipe has: its kind, its name, the words for guests and for staff."""

    name: Name
    translations: dict[Language, Translation] = Field(default_factory=dict)
    guest_text: str = ""  # Markdown before the first “## Method” heading of the body
    guest_texts: dict[Language, str] = Field(default_factory=dict)  # the same below “## de” …
    staff_text: str = ""  # Markdown from that heading on
    allergens: AllergenRecord | None = None
    keeps: Line | None = None
    store: Line | None = None


class Infusion(Written):
    """A plant steeped in a liquid: grams per litre, hours, and what is left after straining."""

    kind: Literal["infusion"] = "infusion"
    plant: Name
    into: Name
    dose: Dose
    time: Hours
    temperature: Celsius = 20.0
    strained: Percent | None = (
        None  # measured yield; otherwise worked out from what the plant holds
    )
    batch: Millilitres | None = None
    form: Line | None = None
    latin: Line | None = None
    food_grade: bool | None = None


class Mixture(Written):
    """Weighed or measured parts; `made_up_to` fills with water to a volume (w/v), else w/w."""

    parts: Annotated[tuple[Part, ...], Field(min_length=1)]
    made_up_to: Millilitres | None = None
    co2_lost: bool = False


class Solution(Mixture):
    """Acids, buffers, saline: small doses with a large say."""

    kind: Literal["solution"] = "solution"


class Syrup(Mixture):
    """Sugar or cordial made in house."""

    kind: Literal["syrup"] = "syrup"


class Preparation(Written):
    """Anything else a house makes: its steps, in order."""

    kind: Literal["preparation"] = "preparation"
    steps: Annotated[tuple[WrittenStep, ...], Field(min_length=1)]


#: Where a wished pour stands until the engine has worked it out: nothing of it is in the glass.
UNDIALLED = Amount(0.0, "ml", "to be worked out")


class Pour(Part):
    """One line of a drink: an amount, or a wish the engine turns into one.

    Written “50 ml gin”, “citrate buffer until pH 5.2”, {amount, of} or {of, until}.
    """

    amount: Portion = UNDIALLED
    until: BeforeWish | None = None

    @model_validator(mode="before")
    @classmethod
    def _wish_from_line(cls, value: Any) -> Any:
        wished = split_until(value) if isinstance(value, str) else None
        return {"of": wished[0], "until": wished[1]} if wished else value

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
        return {"anyOf": [*schema["anyOf"], wish]}

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
        else "keep the one you mean: “amount”, or “until” to have it worked out",
    )


class Reveal(Row):
    """What is added in front of the guest and turns the colour.

    One of `amount` (as written) or `until` (a wish the engine works out) is given.
    """

    pour: Name
    amount: Portion | None = None
    until: AfterWish | None = None
    served: Line | None = None

    @model_validator(mode="after")
    def _one_dose(self) -> Self:
        if (self.amount is None) == (self.until is None):
            raise refusal(_neither_or_both("a reveal", self.amount is None))
        return self


class Drink(Written):
    """Pours in order, how they meet, the glass they land in, and the reveal."""

    kind: Literal["drink"] = "drink"
    glass: Name
    ice: Ice = "none"
    method: Method
    pours: Annotated[tuple[Pour, ...], Field(min_length=1)]
    reveal: Reveal | None = None
    garnish: Lines = ()
    rim: Line | None = None
    serve: Line | None = None
    taste: Line | None = None  # a few words for guests: bright, bitter, long
    vessel: Line | None = None  # the metal or glaze the drink touches, where it is not glass
    worked: Worked = Worked()
    dilution: Dilution | None = None  # measured by the house
    serving_temperature: Celsius | None = None
    price: Money | None = None
    steady: bool = False  # nothing is meant to turn, poured or not


class Section(Row):
    """One part of a menu: a heading, a line, and drinks by name in the order they are read."""

    name: Name
    note: Line | None = None
    drinks: Annotated[tuple[Name, ...], Field(min_length=1)]


class SectionTranslation(Row):
    """A section's heading and line in another language."""

    name: Name | None = None
    note: Line | None = None


class MenuTranslation(Translation):
    """A menu in another language: `sections` by their heading in the house's own."""

    sections: dict[Name, SectionTranslation] = Field(default_factory=dict)


class Menu(Row):
    """What guests are shown, in sections: from a day on and until another, both of them in it.

    A draft is read and checked like any other, and never shown.
    """

    kind: Literal["menu"] = "menu"
    name: Name
    draft: bool = False
    begins: Annotated[date | None, Field(alias="from")] = None
    ends: Annotated[date | None, Field(alias="until")] = None
    sections: Annotated[tuple[Section, ...], Field(min_length=1)]
    translations: dict[Language, MenuTranslation] = Field(default_factory=dict)
    guest_text: str = ""
    guest_texts: dict[Language, str] = Field(default_factory=dict)
    staff_text: str = ""

    @model_validator(mode="after")
    def _ends_after_it_begins(self) -> Self:
        if self.begins is not None and self.ends is not None and self.ends < self.begins:
            raise refusal(
                MeasureError(
                    "menu-days",
                    f"this menu would end on {self.ends}, before it begins on {self.begins}",
                    "check both days",
                )
            )
        return self

    def shown_on(self, day: date) -> bool:
        """Whether guests are shown it on a day."""
        begun = self.begins is None or self.begins <= day
        return not self.draft and begun and (self.ends is None or day <= self.ends)


Recipe: TypeAlias = Infusion | Solution | Syrup | Preparation | Drink
Made: TypeAlias = Infusion | Solution | Syrup | Preparation
#: Kinds of what a house makes, in the order they are read.
MADE: Final = ("infusion", "solution", "syrup", "preparation")
KINDS: dict[str, type[Row]] = {
    "infusion": Infusion,
    "solution": Solution,
    "syrup": Syrup,
    "preparation": Preparation,
    "drink": Drink,
    "menu": Menu,
}
