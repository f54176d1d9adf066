"""What the engine finds out about a drink beyond its figures: how dialled in, how sure it is.

Belongs here: the frozen types of windows, doubts, wishes granted, other lights and eyes, fits to
measurements. Does not belong here: how any of them is worked out (the modules beside this one).
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table
from anthocard.facts.colour.colours import Colour
from anthocard.house.wish import Wish


@dataclass(frozen=True, slots=True)
class GaveWay:
    """What of a wish had to give way: why (a row of the table), the aim as its author wrote it,
    `of` which pour, the bounds that are kept, and in ml or g (`unit`) what the aim alone would take
    (0: no dose gives it) and what is taken, with the figures of that.
    """

    why: Literal["none", "beyond", "already"]
    aim: str
    of: str
    bounds: tuple[str, ...] = ()
    free: float = 0.0
    taken: float = 0.0
    unit: str = "ml"
    ph: float = 0.0
    colour: str = ""
    acidity_g_per_l: float = 0.0

    @property
    def phrase(self) -> str:
        """Its words as the table has them, to be filled with `figures`."""
        return str(_words("gave_way")[self.why]["words"])

    @property
    def figures(self) -> dict[str, Any]:
        """What is filled in, by the names of the fields."""
        return {**asdict(self), "bounds": " and ".join(self.bounds)}

    @property
    def words(self) -> str:
        """In English: “pH 3 would take 12.0 ml, beyond …”."""
        return self.phrase.format_map(self.figures)


@dataclass(frozen=True, slots=True)
class Dialled:
    """A wish granted: the exact dose, the one to pour, and what each of them gives.

    Doses are in ml, those of a powder in grams: `unit` says which.
    `delta_e00` lies between the two. `gave_way` is what had to give way to a bound, if anything.
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
    gave_way: GaveWay | None = None
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
    def phrase(self) -> str:
        """Its words as the table has them, with {of} and {unit} to be filled."""
        return str(_words("inputs")[self.kind]["words"])

    @property
    def words(self) -> str:
        """In English: “the acid in lemon juice”."""
        return self.phrase.format(of=self.of, unit=self.unit)


@dataclass(frozen=True, slots=True)
class Uncertainty:
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
class PouredPart:
    """One pour or garnish of a drink by name, and all that it comes down to."""

    name: str
    leaves: tuple[Leaf, ...]


FitKind: TypeAlias = Literal[
    "ph", "ph-of", "ph-before", "ph-after", "infused", "pk", "strength", "brix", "absorbances",
    "colour", "colour-before", "colour-after",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fit:
    """What a measurement changed: the figure from the tables, after the fit, and as measured.

    `kind` is the row of the table that words it, `of` which bottle, `at_ph` in which buffer. `unit`
    is pH, AU, ΔE00 or ml; for ΔE00 the measured value is 0 and the others are distances.
    """

    kind: FitKind
    unit: str
    table: float
    fitted: float
    measured: float
    on: date
    of: str = ""
    at_ph: float | None = None

    @property
    def phrase(self) -> str:
        """Its words as the table has them, with {of} and {ph} to be filled."""
        row = self.kind if self.at_ph is None else f"{self.kind}-at"
        return str(_words("fits")[row]["words"])

    @property
    def what(self) -> str:
        """In English: “absorbances at pH 3”."""
        return self.phrase.format(of=self.of, ph=self.at_ph)


def _words(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trust", "findings.yaml")[section]
    return rows
