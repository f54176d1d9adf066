"""What an author may write of making something: a list of steps, one frozen type a step.

Belongs here: each step's own word, its settings and their shapes. Does not belong here: what a step
does to a liquid (engine/steps), which step may follow which (engine/steps/order.py).

A step is written as its word and what it is of; its settings stand below it:

    - steep: 12 g black tea
      time: 20 min
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, TypeAlias, Union, get_args

from pydantic import BeforeValidator, Discriminator, Field, Tag

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.facts.units.fields import Celsius, Hours, Millilitres, Percent, Row, refusal
from anthocard.facts.units.step_fields import (
    Aimed,
    Brix,
    ByWeight,
    Gives,
    Left,
    PerLitre,
    Powder,
    Powders,
    StepParts,
    Thawed,
    Volumes,
)
from anthocard.facts.units.written_numbers import MeasureError

Cloth: TypeAlias = Literal["fine", "cloth", "paper"]


class Step(Row):
    """Settings any step may have: how long, how warm, and what came out as the house weighed it."""

    time: Hours | None = None
    temperature: Celsius | None = None
    gives: Gives | None = Field(default=None, alias="yield")


class Add(Step):
    """Pour or weigh in."""

    add: StepParts
    lets_gas_go: bool = False  # a carbonate in acid: its gas leaves


class TopUp(Step):
    """Fill with water to the mark."""

    top_up: Millilitres


class Juice(Step):
    """Press the juice of fruit, from kilograms or pieces."""

    juice: StepParts


class Zest(Step):
    """Take the peel of fruit, thin, and put it in."""

    zest: StepParts


class Oleo(Step):
    """Rub peel with sugar, its own weight where nothing else is said, and let it draw."""

    oleo: StepParts
    sugar: Gives | None = None


class Steep(Step):
    """Leave one thing or many in the liquid."""

    steep: StepParts
    way: Literal["cold", "warm", "vacuum bag", "pressure", "siphon"] = "cold"


class Press(Step):
    """Squeeze what is in it and take it out."""

    press: Cloth = "cloth"


class Strain(Step):
    """Let it run through, and take out what is in it."""

    strain: Cloth = "fine"


class Rest(Step):
    """Let it stand."""

    rest: Hours


class Sweeten(Step):
    """Dissolve sugar or honey: so much, by weight to the liquid, or to so many °Brix."""

    sweeten: Annotated[str, Field(min_length=1, max_length=120)]
    ratio: ByWeight | None = None
    to: Brix | None = None


class AcidAdjust(Step):
    """Bring the acidity up to a figure or to that of another juice, with powders."""

    acid_adjust: Aimed
    powders: Powders = Field(default=(Powder(parts=1.0, name="citric acid"),), alias="with")


class Salt(Step):
    """Salt it: so much, or a share of the weight of everything."""

    salt: Gives


class Dilute(Step):
    """Bring the strength down with water."""

    dilute: Percent


class Blend(Step):
    """Run it in a blender."""

    blend: Literal["smooth"] = "smooth"


class Reduce(Step):
    """Boil it down."""

    reduce: Left


class Chill(Step):
    """Make it cold."""

    chill: Celsius


class Freeze(Step):
    """Freeze it."""

    freeze: Celsius


class Thaw(Step):
    """Let it thaw: the whole, or only what runs off first."""

    thaw: Thawed


class Wash(Step):
    """Shake or stir with milk, fat, egg white or tea, and take that out again."""

    wash: StepParts


class Clarify(Step):
    """Take the cloud out."""

    clarify: Literal["agar", "gelatin", "enzyme", "centrifuge", "filter"]
    agents: StepParts | None = Field(default=None, alias="with")


class Ferment(Step):
    """Let a culture work; what it made is measured, never guessed."""

    ferment: Literal["lactic", "kombucha", "tepache", "ginger bug", "yeast"]
    acid: PerLitre | None = None  # grown, as its own acid
    ph: Annotated[float, Field(ge=0, le=14)] | None = None
    abv: Percent | None = None


class Carbonate(Step):
    """Charge with CO2."""

    carbonate: Volumes
    vessel: Literal["bottle", "plastic bottle", "keg", "siphon"] = "keg"


class Vent(Step):
    """Let the gas out."""

    vent: Literal["gas"] = "gas"


class Keg(Step):
    """Fill a keg and push it with a gas."""

    keg: Literal["nitrogen", "carbon dioxide", "mixed gas"]


class Bottled(Step):
    """Fill bottles of one size."""

    bottle: Millilitres


class Age(Step):
    """Let it lie."""

    age: Hours
    inside: Literal["oak cask", "glass", "steel"] = Field(default="glass", alias="in")


class Portioned(Step):
    """Part it into equal shares."""

    portion: Gives


AnyStep: TypeAlias = (
    Add | TopUp | Juice | Zest | Oleo | Steep | Press | Strain | Rest | Sweeten | AcidAdjust
    | Salt | Dilute | Blend | Reduce | Chill | Freeze | Thaw | Wash | Clarify | Ferment | Carbonate
    | Vent | Keg | Bottled | Age | Portioned
)  # fmt: skip
#: The word each step is written by: the first of its own keys.
STEPS: Final[dict[str, type[Step]]] = {
    next(name for name in model.model_fields if name not in Step.model_fields): model
    for model in get_args(AnyStep)
}
#: Keys of a step that name things of the house; of those, keys where a plant goes before its drink.
NAMING: Final = ("add", "juice", "zest", "oleo", "steep", "wash", "with")
KITCHEN: Final = ("juice", "zest", "oleo", "steep", "wash")
#: Steps whose word may stand alone.
ALONE: Final = {word: model.model_fields[word].default for word, model in STEPS.items()
                if not model.model_fields[word].is_required()}  # fmt: skip


def word_of(step: Step) -> str:
    """The word a step is written by."""
    return next(word for word, model in STEPS.items() if type(step) is model)


def strained_fine(gives: Gives | None) -> Strain:
    """A step through a fine strainer, with what the house weighed of it."""
    return Strain.model_construct(strain="fine", gives=gives)


def _worded(value: Any) -> Any:
    """A bare word as its step; and an unknown word is a mistake of its own."""
    if isinstance(value, Step):
        return value
    if isinstance(value, str):
        if value in ALONE:
            return {value: ALONE[value]}
        mend = f"write what of: “{value}: …”" if value in STEPS else did_you_mean(value, STEPS)
        message = f"“{value}” alone is no step"
        raise refusal(MeasureError("unknown-step", message, mend, 0, len(value)))
    words = [key for key in value if key in STEPS] if isinstance(value, dict) else []
    if len(words) == 1:
        return value
    if not isinstance(value, dict) or not value:
        mend = "write it as “strain: fine”"
        raise refusal(MeasureError("wrong-type", "a step is wanted here", mend))
    if words:
        message = f"“{words[0]}” and “{words[1]}” are two steps"
        raise refusal(MeasureError("two-steps", message, "start each with its own “- ”"))
    first = str(next(iter(value)))
    raise refusal(MeasureError("unknown-step", f"“{first}” is no step", did_you_mean(first, STEPS)))


def _tag(value: Any) -> str:
    if isinstance(value, Step):
        return word_of(value)
    return str(next(key for key in value if key in STEPS))


if TYPE_CHECKING:
    Written: TypeAlias = AnyStep
else:
    #: Any step, told apart by its word, which stands as a tag in pydantic's own locations.
    Written = Annotated[
        Union[tuple(Annotated[model, Tag(word)] for word, model in STEPS.items())],  # noqa: UP007
        Discriminator(_tag),
        BeforeValidator(_worded),
    ]
