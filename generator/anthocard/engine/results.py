"""What the engine hands to the press: a recipe together with everything computed from it.

Belongs here: the frozen types of a computed recipe. Does not belong here: how any figure is
worked out (the modules beside this one), nor how it is worded or rounded (the press).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from anthocard.diagnostics.diagnostic import Mistake
from anthocard.engine.findings import Dialled, Eyes, Fit, PouredPart, Uncertainty, Window, Withheld
from anthocard.engine.glassful import Glassful, Layer
from anthocard.engine.steps.making import Making
from anthocard.facts.chemistry.energy import ServeStrength
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.colour.colours import Colour
from anthocard.facts.colour.pigment_figures import PigmentFigures
from anthocard.facts.law.allergens import AllergenState
from anthocard.facts.law.needs import Diet
from anthocard.facts.law.rules import Figure, Weight
from anthocard.facts.law.shelf_life import Keeping
from anthocard.facts.units.shares import Lies
from anthocard.house.model import Drink, Recipe
from anthocard.house.serving.pours import How

#: A pH as it may be told: a figure, a range where traces decide, or None beyond the model.
StatedPh: TypeAlias = float | tuple[float, float] | None


@dataclass(frozen=True, slots=True, order=True)
class Source:
    """A row of a table that a figure rests on: which kind of row, `of` what (may be empty), from
    where, and how it was got.
    """

    kind: str
    of: str
    source: str
    how: str

    @property
    def what(self) -> str:
        """Both in English: “acid: citric”."""
        return f"{self.kind}: {self.of}" if self.of else self.kind


@dataclass(frozen=True, slots=True, order=True)
class Default:
    """An input that nobody measured: of which thing, and in words for staff what stands in."""

    of: str
    why: str

    @property
    def words(self) -> str:
        """“lemon juice: composition from memory”."""
        return f"{self.of}: {self.why}"


@dataclass(frozen=True, slots=True)
class Caution:
    """One safety line: `guest`, `staff` and `label` wording (empty when it is not for them).

    `on` are the papers of this recipe that it stands on (facts.rules.PAPERS). `figures` are what
    the rule's own wordings ask for, by name, so that they can be put into the same words of another
    language; `decided` is the day, the state and the reason of the house's own decision, which the
    staff wording ends with.
    """

    key: str
    guest: str
    staff: str
    source: str
    label: str = ""
    local: bool = False  # only for the house's own place
    defer: str = ""  # whom to ask: printed with every list of cautions
    figures: tuple[tuple[str, Figure], ...] = ()
    decision: tuple[date, str, str] | None = None
    weight: Weight = "note"
    on: tuple[str, ...] = ()
    on_menu: Literal["beside", "mark", "foot"] = "beside"
    on_label: Literal["line", "statement", "warning"] = "line"
    leave_out: str = ""  # what guests may leave out by it on a menu


@dataclass(frozen=True, slots=True)
class CostLine:
    """What one pour, garnish or part costs; `cost` is None where nothing in it has a price.

    `unpriced` names what of it has none: itself, or a part of what the house made.
    """

    name: str
    cost: float | None
    unpriced: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cost:
    """What one serve of a drink, or one litre of anything else (`of`), costs. For staff only.

    Money is in `currency`, without tax. `waste` is the house's allowance, inside `total`. What has
    no price is named in `unpriced` and left out of the sum: `total`, `pour_cost_percent` of the
    price without tax and `target_price` (of a drink: with tax, where the house meets its target)
    are then lower bounds, and the `margin` over the price an upper one. `priced` is the day the
    prices were looked at.
    """

    currency: str
    of: Literal["serve", "litre"]
    lines: tuple[CostLine, ...]
    waste: float
    total: float
    unpriced: tuple[str, ...] = ()
    price: float | None = None
    net_price: float | None = None
    pour_cost_percent: float | None = None
    margin: float | None = None
    target_price: float | None = None
    priced: date | None = None


@dataclass(frozen=True, slots=True)
class Measure:
    """One pour or part, worked out: volume and mass at 20 °C, and the author's own words.

    `ml` is None for what is not measured by volume (a leaf). `unit` is the author's
    unit; `count` the author's number in it.
    """

    name: str
    ml: float | None
    g: float | None
    count: float
    unit: str
    text: str
    role: str = "other"  # spirit, acid, buffer, pigment or other: sets how finely it is rounded
    slug: str | None = None  # of the house's own recipe for it, where there is one
    unsure_share: float = 0.0  # one sd over the amount, of a dash or pinch that nobody weighed
    lies: Lies = "in"  # mixed with the others, or by itself over or under them


@dataclass(frozen=True, slots=True)
class Seen:
    """How a liquid looks in its vessel, and the mean way of light through it, mm.

    `side` is the body below the surface as it stands on the bar, `above` what a seated guest sees
    through the surface. What is not served is seen in the sample tube, and over white.
    """

    side: Colour
    above: Colour
    side_mm: float
    above_mm: float

    @property
    def hexes(self) -> tuple[str, str]:
        """Both colours as a screen shows them."""
        return self.side.hex, self.above.hex


@dataclass(frozen=True, slots=True)
class State:
    """A liquid in its vessel: the vector, how cold it is, and what follows from them."""

    liquid: Liquid
    temperature_c: float
    volume_ml: float
    abv_percent: float
    ph: float
    titratable_acidity_g_per_l: float
    sugar_g_per_l: float
    density_g_per_ml: float
    ionic_strength_mol_per_kg: float
    seen: Seen
    beyond: bool = False  # of the pH model: `ph` is then no more than what colours are drawn with
    between: tuple[float, float] | None = None  # p5 and p95 of a pH too unsure for one figure
    pigments: PigmentFigures | None = None  # None where no plant colours it
    pk_shift: float = 0.0  # of its pigments, where the house found one

    @property
    def stated_ph(self) -> StatedPh:
        """What may be told of its pH."""
        return None if self.beyond else self.between or self.ph

    @property
    def ph_shown(self) -> tuple[float, ...]:
        """The same as finely as papers print it: one figure, two ends or nothing."""
        ph = self.stated_ph
        ends = () if ph is None else ph if isinstance(ph, tuple) else (ph,)
        return tuple(round(end, 1) for end in ends)

    @property
    def colour(self) -> Colour:
        """From the side: what is held against the card."""
        return self.seen.side


@dataclass(frozen=True, slots=True)
class Turn:
    """The way from before to after, seen from above: arrays of equal length over ml poured."""

    poured_ml: Floats
    ph: Floats
    lab: Floats  # (n, 3)
    hexes: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """One reveal of a drink, and the drink with all reveals up to it stirred in.

    `layers` tell how it lies before it is stirred, where it is layered.
    """

    measure: Measure
    how: How
    served: str
    state: State
    layers: tuple[Layer, ...] = ()


@dataclass(frozen=True, slots=True)
class Computed:
    """One recipe and its figures.

    A drink has `before` and its `glassful`, and with reveals also its `stages`, `after` all of them
    and `turn`; one that lies in layers is also told `stirred`. Other kinds have their one liquid in
    `before`, scaled to the batch the author wrote. `dilution_percent` is ice water over the volume
    poured, the start; `melt_band_ml` its 5th and 95th percentile in ml.
    """

    recipe: Recipe
    slug: str
    edition: str
    measures: tuple[Measure, ...]
    before: State
    after: State | None = None
    turn: Turn | None = None
    delta_e00: float | None = None
    melt_ml: float = 0.0
    melt_band_ml: tuple[float, float] = (0.0, 0.0)
    dilution_percent: float = 0.0
    poured: tuple[PouredPart, ...] = ()  # what every pour of a drink comes down to, for guests
    allergens: tuple[AllergenState, ...] = ()  # every one on the place's list
    diets: tuple[Diet, ...] = ()  # of a drink: what it is for sure, never what it may be
    strengths: tuple[ServeStrength, ...] = ()  # before, and with a reveal after
    keeping: Keeping | None = None  # of what is kept: None for a drink, made to order
    cost: Cost | None = None  # None when nothing in it has a price
    dialled: tuple[Dialled, ...] = ()  # wishes granted, in the order they were settled
    window: Window | None = None
    uncertainty_before: Uncertainty | None = None
    uncertainty_after: Uncertainty | None = None
    ours_before: Colour | None = None  # in the house's own light, where that is not daylight
    ours_after: Colour | None = None
    eyes: Eyes | None = None
    fits: tuple[Fit, ...] = ()  # what measurements of the house changed
    withheld: tuple[Withheld, ...] = ()  # figures that are not told, and why
    making: Making | None = None  # the account of a preparation's steps
    stages: tuple[Stage, ...] = ()  # every reveal of a drink, in order
    glassful: Glassful | None = None  # how a drink stands in its glass as it leaves the bar
    stirred: State | None = None  # a drink in layers, once it is stirred
    cautions: tuple[Caution, ...] = ()
    cautions_at: tuple[tuple[str, ...], ...] = ()  # keys by state, where reveals are several
    warnings: tuple[Mistake, ...] = ()
    sources: tuple[Source, ...] = ()
    defaults: tuple[Default, ...] = ()  # inputs that are defaults from memory

    @property
    def reveal(self) -> Measure | None:
        """What is added last before the guest; None where nothing is."""
        return self.stages[-1].measure if self.stages else None

    @property
    def revealed(self) -> tuple[Measure, ...]:
        """What is added before the guest, in order."""
        return tuple(stage.measure for stage in self.stages)

    @property
    def revealed_ml(self) -> float:
        """All of it together: where `turn` ends."""
        return sum(measure.ml or 0.0 for measure in self.revealed)

    @property
    def states(self) -> tuple[State, ...]:
        """The drink as it leaves the bar and after each reveal; all else has one."""
        return (self.before, *(stage.state for stage in self.stages))

    @property
    def kind(self) -> str:
        """infusion, solution, syrup, preparation or drink."""
        return self.recipe.kind

    @property
    def name(self) -> str:
        """The recipe's own name."""
        return self.recipe.name

    @property
    def is_drink(self) -> bool:
        """Whether this is something a guest is served."""
        return isinstance(self.recipe, Drink)
