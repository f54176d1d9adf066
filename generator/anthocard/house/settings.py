"""The house: whose book this is, and what it measured for itself.

Belongs here: the frozen types of house.yaml. Does not belong here: stock (facts.stock) or recipes.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from datetime import date
from typing import Annotated, Final, Literal, TypeAlias, get_args

from pydantic import AfterValidator, Field, model_validator

from anthocard.facts.glassware import Shape, shape_called
from anthocard.facts.units.fields import (
    Celsius,
    Millilitres,
    Millimetres,
    Money,
    Percent,
    PlaceCode,
    Row,
    refusal,
)
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.ice import Frost, Ice, Method, OwnMethod
from anthocard.house.model import Language
from anthocard.house.readings import Calibration
from anthocard.house.serving.pours import Line, Name

MOST_ICE = 90.0  # % of a glass; chosen: crushed ice, heaped, is some 60


Address: TypeAlias = Annotated[str, Field(pattern=r"^https://[^\s]+$")]
Currency: TypeAlias = Annotated[str, Field(pattern=r"^[A-Z]{3}$", examples=["GBP"])]


def _leaves_room(value: float) -> float:
    if value > MOST_ICE:
        raise refusal(
            MeasureError(
                "no-room", "so much ice leaves no room for a drink", f"write {MOST_ICE:g} % or less"
            )
        )
    return value


IceShare: TypeAlias = Annotated[Percent, AfterValidator(_leaves_room)]


class Glass(Row):
    """A glass by its widest inner width at the liquid, its brim volume and its outline.

    `outline` lists (half-width mm, height mm) of the inside from the bottom up; it draws the glass.
    `like` takes all that is left out from a glass of the trade, at the size `holds` says. `wall` is
    how thick the glass is, `foot` how wide it stands, `vessel` what it is made of if not of glass.
    """

    like: Name | None = None
    width: Millimetres = 0.0
    holds: Millilitres = 0.0
    outline: Annotated[tuple[tuple[float, float], ...], Field(min_length=2)] | None = None
    stem: Millimetres = 0.0
    wall: Millimetres | None = None
    foot: Millimetres | None = None
    vessel: Line | None = None

    @model_validator(mode="after")
    def _shaped(self) -> Glass:
        if self.like is None:
            missing = [f"“{key}”" for key in ("width", "holds") if not getattr(self, key)]
            if missing:
                raise refusal(
                    MeasureError(
                        "missing-key",
                        f"{' and '.join(missing)} {'are' if len(missing) > 1 else 'is'} missing",
                        "measure the glass, or write “like: coupe” for one of the trade's shapes",
                    )
                )
            return self
        try:
            shape = shape_called(self.like)
            shape = shape.sized(self.holds) if self.holds else shape
        except MeasureError as error:
            raise refusal(error) from None
        return of_shape(shape).model_copy(
            update={key: getattr(self, key) for key in self.model_fields_set}
        )


def of_shape(shape: Shape) -> Glass:
    """A glass of the trade as if a house had measured it."""
    return Glass.model_construct(
        like=None, width=shape.width_mm, holds=shape.holds_ml, outline=shape.outline,
        stem=shape.stem_mm, wall=shape.wall_mm, foot=shape.foot_mm, vessel=shape.vessel,
    )  # fmt: skip


class Views(Row):
    """How drinks are looked at, degrees over the horizon: 0 is level, 90 straight down."""

    side: Annotated[float, Field(ge=0, le=30)] = 12.0  # on the bar, held against the card
    above: Annotated[float, Field(ge=35, le=80)] = 55.0  # as a seated guest looks in


class Water(Row):
    """Tap water, and the ice made of it: what alkalinity it carries."""

    alkalinity_mg_caco3_per_l: Annotated[float, Field(ge=0, le=600)] = 100.0
    measured: date | None = None


#: What a house weighs for itself: no two bars dash or spray alike.
OwnUnit: TypeAlias = Literal["dash", "drop", "barspoon", "rinse", "spray"]
OWN_MEASURES: Final = get_args(OwnUnit)


class OwnMeasure(Row):
    """The volume of one of the house's own measures, weighed and divided by density."""

    ml: Annotated[float, Field(gt=0, le=20)]
    measured: date


class OwnRule(Row):
    """What the house decided about one rule of care or keeping, and why; shown in the book.

    `permitted` records that an authority let the house do what a rule asks leave for: `reason` says
    who, as food or as colour, in water or in spirit; `date` is that of the permission.

    `days` is for the keeping rules: how long, the day of making being day 1. With `only` the
    decision holds for the recipes it names, and the rule stands as it is for all others.
    """

    state: Literal["tightened", "loosened", "permitted"]
    reason: Line
    date: date
    days: Annotated[int, Field(ge=1, le=730)] | None = None
    only: tuple[Name, ...] = ()


#: What is filled with what the house makes.
VesselKind: TypeAlias = Literal[
    "dropper bottle", "squeeze bottle", "bottle", "jar", "freezer tub", "keg"
]
Sizes: TypeAlias = Annotated[tuple[Millilitres, ...], Field(max_length=16)]
#: What guests are told an ingredient is called; nothing hides it.
GuestWord: TypeAlias = Annotated[str, Field(max_length=80)]


class HouseTranslation(Row):
    """What a house says of itself in another language."""

    voice: Line | None = None
    guest_words: dict[Name, GuestWord] = Field(default_factory=dict)


class PressCondition(Row):
    """The printing condition of the house's printer: an ICC profile of four inks in its folder."""

    profile: Annotated[Line, Field(examples=["printer.icc"])]
    name: Annotated[Line | None, Field(examples=["FOGRA39"])] = None  # as the printer calls it
    ink: Annotated[int, Field(ge=150, le=400)] = 300  # percent, the sum of the four that it bears


class Prices(Row):
    """How prices stand on printed menus: what names their currency, and where they are."""

    currency: Literal["none", "symbol", "code"] = "none"  # none: it is told once, at the foot
    stand: Literal["margin", "name"] | None = None  # in the margin, or behind the name


class House(Row):
    """Everything in house.yaml."""

    name: Name
    voice: Line | None = None  # one line under the name
    place: PlaceCode  # decides which local rules show, such as GB, US-CA, DE
    currency: Currency
    prices: Prices = Prices()  # of printed menus; where they stand is the theme's unless told
    web: Annotated[Address | None, Field(examples=["https://menu.example"])] = None  # of guest/
    staff_web: Annotated[Address | None, Field(examples=["https://specs.example"])] = None  # staff/
    press: PressCondition | None = None  # cards and menus are put into its inks as well
    tables: Annotated[int | None, Field(gt=0, le=500, examples=[12])] = None  # to number codes
    language: Language = "en"
    languages: tuple[Language, ...] = ()  # the guest menu is published in these as well
    translations: dict[Language, HouseTranslation] = Field(default_factory=dict)
    guest_words: dict[Name, GuestWord] = Field(default_factory=dict)  # of ingredients, by name
    ounces: Literal["none", "US", "imperial"] = "US"
    jiggers: Annotated[tuple[Millilitres, ...], Field(max_length=16)] = ()  # sizes and lines
    vessels: dict[VesselKind, Sizes] = Field(default_factory=dict)  # sizes of the house's own
    card_room: Literal["none", "hole", "clip"] = "none"  # kept free at the head of a bar card
    rounding: Literal["lattice", "exact"] = "lattice"
    light: Literal["D65"] | Annotated[int, Field(ge=1800, le=8000)] = "D65"
    views: Views = Views()
    water: Water = Water()
    ice_temperature: Frost = 0.0  # of the ice drinks are worked with; drained, out of a well
    pour_loss: Percent = 25.0  # carbon dioxide lost when a mixer is poured
    room_temperature: Celsius = 20.0
    fridge_temperature: Celsius = 5.0
    glasses: dict[Name, Glass] = Field(default_factory=dict)  # those of the trade need no line
    measures: dict[OwnUnit, OwnMeasure] = Field(default_factory=dict)
    methods: dict[Method, OwnMethod] = Field(default_factory=dict)
    calibrations: tuple[Calibration, ...] = ()  # what the house read of its bottles and drinks
    ices: dict[Ice, IceShare] = Field(default_factory=dict)  # share of the glass the ice takes up
    freezer_temperature: Frost = -18.0
    spirit_measure: Millilitres | None = None  # the fixed measure chosen where law asks for one
    rules: dict[Name, OwnRule] = Field(default_factory=dict)  # by key of rules.yaml, keeping.yaml
    vat_percent: Percent = 0.0  # tax inside the prices guests pay; stock prices are without it
    waste_percent: Percent = 0.0  # poured away, spilled and tasted, over what is served
    spare_percent: Percent | None = (
        None  # made beyond what is needed, so that the last serve is full
    )
    pour_cost_target: Percent | None = None  # cost of a serve over its price without tax
    garnish_costs: dict[Name, Money] = Field(default_factory=dict)  # by the garnish as written
    priced: date | None = None  # the day the stock prices were last looked at
    par: dict[Name, Annotated[int, Field(ge=1, le=100_000)]] = Field(default_factory=dict)  # serves
    week: dict[Name, Annotated[int, Field(ge=0, le=100_000)]] = Field(default_factory=dict)


def with_glasses(house: House, names: Iterable[str]) -> House:
    """The house with every glass of the trade that is named, beside its own."""
    found = dict(house.glasses)
    for name in names:
        if name not in found:
            with suppress(MeasureError):  # told where it is written, by check_links
                found[name] = of_shape(shape_called(name))
    return house.model_copy(update={"glasses": found})
