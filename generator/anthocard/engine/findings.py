"""What the engine finds out about a drink beyond its figures: how dialled in, how sure it is.

Belongs here: the frozen types of windows, doubts, wishes granted, other lights and eyes, fits to
measurements. Does not belong here: how any of them is worked out (the modules beside this one).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final, Literal, TypeAlias

from anthocard.facts.colour.colours import Colour
from anthocard.house.wish import Wish


@dataclass(frozen=True, slots=True)
class Dialled:
    """A wish granted: the exact dose, the one to pour, and what each of them gives.

    Doses are in ml, those of a powder in grams: `unit` says which.
    `delta_e00` lies between the two. `trade_off` says in words what had to give way to a bound;
    empty when nothing did.
    """

    name: str
    wish: Wish
    exact_ml: float
    ml: float
    exact_ph: float
    ph: float
    lab: tuple[float, float, float]
    acidity_g_per_l: float
    delta_e00: float
    trade_off: str = ""
    unit: str = "ml"


@dataclass(frozen=True, slots=True)
class Window:
    """The doses of a reveal that still look right, ΔE00 5 from the colour of the dose.

    `high_ml` is None where no larger dose spoils it. `accuracy_ml` is how far a pour may be out;
    `narrow` says that it may be out of the window. `wider_ml` and the range after it belong to the
    same reveal cut to half its strength, None unless the window is narrow.
    """

    low_ml: float
    high_ml: float | None
    low_ph: float
    high_ph: float
    delta_e00_per_ml: float
    delta_e00_per_tenth_ph: float
    accuracy_ml: float
    narrow: bool
    wider_ml: float | None = None
    wider_low_ml: float | None = None
    wider_high_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """The 5th, 50th and 95th percentile of one figure."""

    p5: float
    p50: float
    p95: float

    @property
    def plus_minus(self) -> float:
        """Half the width of the middle nine tenths."""
        return (self.p95 - self.p5) / 2.0


InputKind: TypeAlias = Literal[
    "acid", "ph", "strength", "melt", "yellow", "abv", "pour", "pk", "haze", "ph-model",
    "ethanol", "electrode", "loose", "traces", "far-ethanol", "ethanol-shift", "path",
]  # fmt: skip
#: What an author can measure; nobody measures the model.
READABLE: Final[frozenset[InputKind]] = frozenset({"acid", "ph", "strength", "melt", "loose"})


@dataclass(frozen=True, slots=True)
class Input:
    """What is behind a spread: which figure, `of` which bottle or pigment (may be empty).

    `share` is its part of the variance, 0 to 1; `unit` that of a loose measure nobody weighed.
    """

    kind: InputKind
    of: str
    share: float
    unit: str = ""

    @property
    def words(self) -> str:
        """In English: “the acid in lemon juice”."""
        return _INPUTS[self.kind].format(of=self.of, unit=self.unit)


_INPUTS: Final[dict[InputKind, str]] = {
    "acid": "the acid in {of}",
    "ph": "the pH of {of}",
    "strength": "the strength of {of}",
    "melt": "the melt of the ice",
    "yellow": "the yellow of {of}",
    "abv": "the % vol of {of}",
    "pour": "the pour of {of}",
    "pk": "the pK of {of}",
    "haze": "the haze",
    "ph-model": "the pH model",
    "ethanol": "ethanol's effect on acids",
    "electrode": "the meter in ethanol",
    "far-ethanol": "ethanol's effect on acids, not measured above 20 % vol",
    "loose": "the {unit} of {of}",
    "ethanol-shift": "what ethanol does to the colour of {of}",
    "traces": "traces of acid or alkali",
    "path": "the way light takes through the glass",
}


@dataclass(frozen=True, slots=True)
class Doubt:
    """How far one state may be from its figures. `lab` are spreads of L*, a* and b*.

    `strip` shows the glass low, middle and high along the direction its colour is least sure of.
    `ph_by` and `colour_by` are the inputs behind it, greatest first.
    """

    ph: Spread
    abv_percent: Spread
    lab: tuple[Spread, Spread, Spread]
    delta_e00: float  # from the figures, exceeded by one draw in twenty
    strip: tuple[Colour, Colour, Colour]
    ph_by: tuple[Input, ...]
    colour_by: tuple[Input, ...]


@dataclass(frozen=True, slots=True)
class Eyes:
    """CIEDE2000 of a turn as each eye takes it; `unseen` names those to whom it is too small.

    `mends` holds one line of advice for each of them.
    """

    seen: tuple[tuple[str, float], ...]
    unseen: tuple[str, ...] = ()
    mends: tuple[str, ...] = ()


WithheldFigure: TypeAlias = Literal["colour", "acidity", "strength"]


@dataclass(frozen=True, slots=True)
class Withheld:
    """A figure that is not told, because something in the liquid has none: `because` says what.

    Whatever is made of it withholds it too, until the house has taken a reading.
    """

    what: WithheldFigure
    because: str


@dataclass(frozen=True, slots=True)
class Leaf:
    """Something bought that is in a drink: its name, the plant it colours with (or nothing), and
    the keys of the listed allergens it holds.
    """

    name: str
    plant: str
    contains: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """One pour or garnish of a drink by name, and all that it comes down to."""

    name: str
    leaves: tuple[Leaf, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """What a measurement changed: the figure from the tables, after the fit, and as measured.

    `unit` is pH, AU, ΔE00 or ml; for ΔE00 the measured value is 0 and the others are distances.
    """

    what: str
    unit: str
    table: float
    fitted: float
    measured: float
    on: date
