"""What an author may write in a recipe: frozen types, one a kind.

Belongs here: names, shapes and ranges of front-matter. Does not belong here: how it is read
(reader.py) or what it comes to (the engine).
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Final, Literal, Self, TypeAlias

from pydantic import BeforeValidator, Field, model_validator

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
    Row,
    refusal,
)
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.ice import IceInGlass, Method, ServedIce, Worked
from anthocard.house.serving.pours import Line, Name, Pour, Reveal, Size
from anthocard.house.steps import Written as WrittenStep

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
    picture: Line | None = None  # what its own picture shows


class OwnPicture(Row):
    """A photograph of a drink that the house took: its file in pictures/, and what it shows."""

    file: Annotated[
        str,
        Field(
            pattern=r"^[\w-][\w .-]*\.(?i:png|jpe?g|webp)$", max_length=80,
            examples=["blue-hour.jpg"],
        ),
    ]  # fmt: skip
    shows: Line


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


class WrittenMade(Written):
    """What everything made for the shelf has beside: how much over the need, and how little."""

    spare: Percent | None = None  # made beyond what is needed; the house's where none is written
    least: Millilitres | None = None  # never made in a smaller batch


class Infusion(WrittenMade):
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


class Mixture(WrittenMade):
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


class Preparation(WrittenMade):
    """Anything else a house makes: its steps, in order."""

    kind: Literal["preparation"] = "preparation"
    steps: Annotated[tuple[WrittenStep, ...], Field(min_length=1)]


class Drink(Written):
    """Pours in order, how they meet, the glass they land in, and the reveal."""

    kind: Literal["drink"] = "drink"
    based_on: Name | None = None  # the drink it is like but for what is written here
    instead: dict[Name, Name] = Field(default_factory=dict)  # of its pours, by name
    without: Lines = ()
    also: tuple[Pour, ...] = ()
    glass: Name
    ice: IceInGlass = ServedIce()
    method: Method
    size: Size | None = None
    pours: Annotated[tuple[Pour, ...], Field(min_length=1)]
    reveal: Reveal | None = None
    reveals: tuple[Reveal, ...] = ()  # several, in the order they are done
    garnish: Lines = ()
    rim: Line | None = None
    serve: Line | None = None
    taste: Line | None = None  # a few words for guests: bright, bitter, long
    picture: OwnPicture | None = None
    vessel: Line | None = None  # the metal or glaze the drink touches, where it is not glass
    worked: Worked = Worked()
    dilution: Dilution | None = None  # measured by the house
    serving_temperature: Celsius | None = None
    price: Money | None = None
    steady: bool = False  # nothing is meant to turn, poured or not

    @property
    def revealing(self) -> tuple[Reveal, ...]:
        """Every reveal in order, however many are written."""
        return self.reveals if self.reveal is None else (self.reveal,)

    def at_reveal(self, number: int) -> tuple[str | int, ...]:
        """Where in the front-matter the reveal of a number, from 0, is written."""
        return ("reveals", number) if self.reveal is None else ("reveal",)

    def with_reveal(self, number: int, reveal: Reveal) -> Self:
        """The same drink with another reveal in the place of one."""
        if self.reveal is not None:
            return self.model_copy(update={"reveal": reveal})
        others = [*self.reveals]
        others[number] = reveal
        return self.model_copy(update={"reveals": tuple(others)})


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
