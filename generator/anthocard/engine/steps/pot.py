"""What stands in the pot between two steps, what is given to a step, and what a step did.

Belongs here: the frozen values every step works on, and parting a pot. Does not belong here: any
step (the modules beside this one), finding what a name means (engine/mix/shelf.py).

The law of every step: what was in the pot and what was put in weigh as much as what is in it after
and what was left behind.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from anthocard.engine.findings import Withheld, WithheldFigure
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.pantry import Produce, Range
from anthocard.facts.units.step_amounts import Share

MEASURED: Range = (1.0, 1.0, 1.0)


class StepError(Exception):
    """What an author must mend about one step; `key` is the setting at fault, if it is one."""

    def __init__(self, kind: str, message: str, mend: str, key: str = "") -> None:
        """Keep the parts; the message alone is what prints."""
        super().__init__(message)
        self.kind, self.message, self.mend, self.key = kind, message, mend, key


@dataclass(frozen=True, slots=True)
class Given:
    """One lot put into a step: `g` of what one gram of is `per_g`.

    `produce` is set for what a kitchen steeps or presses, `plant` for a plant of known colour: of
    these nothing is poured. `juice` is one gram of the juice of a fruit.
    """

    name: str
    kind: str
    per_g: Liquid
    g: float
    produce: Produce | None = None
    plant: str | None = None
    juice: Liquid | None = None
    withheld: tuple[Withheld, ...] = ()

    @property
    def solid(self) -> bool:
        """Whether it lies in the liquid rather than being it."""
        return self.produce is not None or self.plant is not None


@dataclass(frozen=True, slots=True)
class Solid:
    """Something lying in the liquid: what it weighs now, and the ml it will keep when strained."""

    name: str
    g: float
    held_ml: Range
    given: Given
    drawn: bool = False

    @property
    def fat(self) -> bool:
        """Whether it is a cap of fat, which keeps a share of the spirit."""
        return self.given.produce is not None and self.given.produce.fat


@dataclass(frozen=True, slots=True)
class Pot:
    """The liquid, what lies in it, and what is not known of it.

    `foams` names milk, cream and egg in it; `cloudy` that something may have to be strained.
    """

    liquid: Liquid = field(default_factory=lambda: Liquid.mix(()))
    solids: tuple[Solid, ...] = ()
    temperature_c: float = 20.0
    hours: float = 0.0
    withheld: tuple[Withheld, ...] = ()
    foams: tuple[str, ...] = ()
    cloudy: bool = False
    frozen_c: float | None = None
    draws: int = 1  # how much fresh things give: 0 the least, 1 the usual, 2 the most

    @property
    def ml(self) -> float:
        """The liquid in it at 20 °C, ml."""
        return float(volume_ml(self.liquid))

    @property
    def g(self) -> float:
        """All that is in it, grams."""
        return float(self.liquid.mass_g) + sum(solid.g for solid in self.solids)

    @property
    def coloured(self) -> bool:
        """Whether there is colour in it that a step could take."""
        known = bool(self.liquid.amounts[PLANT_COLUMNS].any())
        return known or any(one.what == "colour" for one in self.withheld)

    def without(self, what: WithheldFigure, because: str) -> Pot:
        """The pot with one more figure withheld, said once."""
        new = Withheld(what, because)
        return self if new in self.withheld else replace(self, withheld=(*self.withheld, new))


@dataclass(frozen=True, slots=True)
class Done:
    """One step done: what was put in, what stands after it, what was left behind, in ml and grams.

    `gives` is the range of the yield where nobody weighed it, `weighed` whether somebody did.
    `used` are the grams of what the step worked out for itself, by name. Pressures are bar over
    the air, `co2_g` the gas it takes.
    """

    word: str
    put_in_g: float
    out_ml: float
    out_g: float
    left_g: float
    gives: Range = MEASURED
    weighed: bool = False
    used: tuple[tuple[str, float], ...] = ()
    pressure_bar: float | None = None
    warm_bar: float | None = None
    co2_g: float = 0.0
    portions: int | None = None
    portion: str = ""


def joined(withheld: Iterable[Withheld]) -> tuple[Withheld, ...]:
    """Each once, in order."""
    return tuple(dict.fromkeys(withheld))


def need_liquid(pot: Pot, kind: str, doing: str, word: str) -> None:
    """Hold a step to a pot with liquid in it. Raises StepError."""
    if pot.ml <= 0.0:
        raise StepError(
            kind, f"there is no liquid yet to {doing}",
            "put the step that adds the liquid before it", word,
        )  # fmt: skip


def came_out(share: Share, pot: Pot) -> float:
    """What share of the liquid a written yield is, 0-1. Raises StepError for more than there is.

    A per cent is of the volume; so many ml or grams are weighed against what is there.
    """
    whole = {"%": 100.0, "ml": pot.ml, "g": float(pot.liquid.mass_g)}[share.unit]
    part = share.value / whole if whole > 0.0 else 2.0
    if part > 1.0 + 1e-9:
        raise StepError(
            "yield-over-whole",
            f"“{share.text}” is more than the {pot.ml:.0f} ml that went in",
            "weigh what comes out, or look at what goes in",
            "yield",
        )
    return min(part, 1.0)


def parted(pot: Pot, share: float) -> tuple[Pot, float]:
    """The pot with a share of its liquid, and the grams of liquid left behind."""
    return replace(pot, liquid=pot.liquid * share), float(pot.liquid.mass_g) * (1.0 - share)
