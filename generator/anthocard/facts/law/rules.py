"""The rules of care: what a recipe is asked, and the rows that speak when it answers.

Belongs here: the facts a rule may ask about (`Profile`), the rules themselves, read and checked.
Does not belong here: how a profile is drawn from a recipe, or what a house loosened (the engine).

Nothing here is legal advice. Law changes and differs from town to town; every row defers to it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from string import Formatter
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law import conditions, places
from anthocard.facts.law.conditions import Test

#: The papers a caution may stand on; the back of a card and the book follow card and spec page.
PAPERS: Final = ("card", "label", "menu", "prep", "batch", "spec")

#: stop: it may not be served so, and proofreading says it; firm: no house may loosen it.
Weight: TypeAlias = Literal["stop", "firm", "note"]


#: What a wording can ask for: a number, words, or names.
Figure: TypeAlias = str | float | tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One thing that goes into a recipe, however deep inside a house-made part.

    `role` is pour, part, base, plant, reveal, garnish or rim. `substance` and `hazards` are those
    of a weighed thing (facts.substances); `for_drinks` is False for what must never go into one.
    `measured` names what it holds of quinine and caffeine in known amounts; `known_food` says of
    free words that the hazard tables know all they name as plain food.
    """

    name: str
    kind: str
    role: str
    plant: str = ""
    latin: str = ""
    form: str = ""
    food_grade: bool | None = None
    traits: frozenset[str] = frozenset()
    substance: str = ""
    hazards: frozenset[str] = frozenset()
    for_drinks: bool = True
    measured: frozenset[str] = frozenset()
    known_food: bool = False


@dataclass(frozen=True, slots=True)
class Profile:
    """All that a rule can ask of one computed recipe.

    Where a drink has a reveal, numbers are the worse of before and after for whoever drinks it:
    the highest, except `ph_low`, and `served_abv_percent` as it is drunk. `places` is the house's
    place and all it lies in. `plants` are the pigments dissolved in it (liquid.PLANTS). `drinks`
    counts `drink_label`s. `liquids` counts what is poured; `off_measure` says that a spirit sold
    by fixed measures is not poured in them; `table_a` and `table_b` are the verdicts of
    facts.keeping. `words` is what bartenders read and do: garnish, rim, vessel, how it is served,
    and the method. `processes` are keys of processes.yaml that its steps do; the last four name
    what the hazard tables have a verdict on and no rule of its own speaks of.
    """

    kind: str
    places: frozenset[str] = frozenset()
    ph_low: float | None = None
    ph_high: float | None = None
    abv_percent: float = 0.0
    served_abv_percent: float = 0.0
    ml: float = 0.0
    ethanol_g: float = 0.0
    drinks: float = 0.0
    drink_label: str = ""
    sulphite_mg_per_l: float = 0.0
    caffeine_mg: float = 0.0
    caffeine_mg_per_l: float = 0.0
    quinine_mg: float = 0.0
    quinine_mg_per_l: float = 0.0
    sugar_percent: float = 0.0
    fizzy: bool = False
    plants: frozenset[str] = frozenset()
    ingredients: tuple[Ingredient, ...] = ()
    contains: frozenset[str] = frozenset()
    contains_words: str = ""
    unsure_words: str = ""
    vessel: str = ""
    words: str = ""
    liquids: int = 0
    specified_spirits: bool = False
    off_measure: bool = False
    measures: str = ""
    table_a: str = ""
    table_b: str = ""
    processes: frozenset[str] = frozenset()
    limited: tuple[str, ...] = ()
    without_paper: tuple[str, ...] = ()
    meets_medicines: tuple[str, ...] = ()
    allergen_kin: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """One caution of the table.

    `guest`, `staff` and `label` are wordings with fields of Profile in braces, empty where it has
    nothing to say to them. `places` empty means everywhere. A `firm` rule cannot be loosened; one
    `permitted` yields to a dated permission of the house; one to `warn` of is told to the author
    when proofreading, too. `stands_on` are those of PAPERS and `absent` the reason for each other;
    `on_menu` and `on_label` say where on them. `days` and `store` bound how long and how warm
    anything it speaks of is kept. `leave_out` is what guests may leave out by it, as allergens.
    """

    key: str
    when: Test = field(hash=False)
    source: str
    how: str
    guest: str = ""
    staff: str = ""
    label: str = ""
    places: frozenset[str] = frozenset()
    firm: bool = False
    warn: bool = False
    permitted: bool = False
    defer: str = ""
    stands_on: tuple[str, ...] = ()
    absent: Mapping[str, str] = field(default_factory=dict, hash=False)
    on_menu: Literal["beside", "mark", "foot"] = "beside"
    on_label: Literal["line", "statement", "warning"] = "line"
    days: int | None = None
    store: str = ""
    leave_out: str = ""

    @property
    def weight(self) -> Weight:
        """How heavy it is: stop, firm or note."""
        return "stop" if self.warn else "firm" if self.firm else "note"

    @property
    def local(self) -> bool:
        """Whether it belongs to some places only."""
        return bool(self.places)

    def applies(self, profile: Profile, elsewhere: bool = False) -> bool:
        """Whether the rule speaks: place and condition fit. `elsewhere` waives the place."""
        at_home = elsewhere or not self.places or not self.places.isdisjoint(profile.places)
        return at_home and self.when(profile)


class _Figures(Formatter):
    """Formats as usual, but joins names, and never rounds to nothing: 0.3 mg is “< 1” mg."""

    def format_field(self, value: Any, spec: str) -> str:
        if isinstance(value, tuple):
            return ", ".join(value)
        text = str(super().format_field(value, spec))
        if isinstance(value, float) and value > 0.0 and float(text or 1) == 0.0:
            return f"< {text[:-1]}1"
        return text


def worded(text: str, profile: Profile) -> str:
    """A rule's wording with the profile's figures in it; what is there is never told as 0."""
    return _Figures().format(text, **{name: getattr(profile, name) for name in _figure_names(text)})


@dataclass(frozen=True, slots=True)
class PaperKind:
    """A kind of paper: whose words it takes, and for which kinds of recipe there is one."""

    words: Literal["staff", "guest", "label"]
    kinds: frozenset[str]


@cache
def papers() -> Mapping[str, PaperKind]:
    """Each of PAPERS."""
    rows = read_table("anthocard.facts.law", "rules.yaml")["papers"]
    return {key: PaperKind(row["words"], frozenset(row["kinds"])) for key, row in rows.items()}


def figures_of(rule: Rule, profile: Profile) -> tuple[tuple[str, Figure], ...]:
    """The figures that any wording of a rule asks for, by name."""
    names = sorted(
        _figure_names(rule.guest) | _figure_names(rule.staff) | _figure_names(rule.label)
    )
    return tuple((name, getattr(profile, name)) for name in names)


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule in the order of the table: universal, local, the last word. Raises TableError."""
    table = read_table("anthocard.facts.law", "rules.yaml")
    found = [
        _rule(key, row, table["_defer"])
        for section in ("universal", "local", "closing")
        for key, row in table[section].items()
    ]
    return tuple(found)


@cache
def rule_of(key: str) -> Rule | None:
    """The rule of a key, or None where there is none."""
    return next((rule for rule in rules() if rule.key == key), None)


def _rule(key: str, row: dict[str, Any], defer: str) -> Rule:
    where = f"rules.yaml: {key}"
    unknown = row.keys() - Rule.__dataclass_fields__.keys()
    if unknown:
        raise TableError(f"{where}: unknown columns {sorted(unknown)}")
    conditions.check(row.get("when"), Profile, where)
    made = {
        "when": conditions.asked(row["when"]), "places": _places(row, where),
        "stands_on": tuple(row.get("stands_on", ())),
    }  # fmt: skip
    rule = Rule(**{"key": key, "defer": defer, **row, **made})
    for text in (rule.guest, rule.staff, rule.label):
        strange = _figure_names(text) - Profile.__dataclass_fields__.keys()
        if strange:
            raise TableError(f"{where}: no such figures {sorted(strange)}")
    if not rule.guest + rule.staff + rule.label:
        raise TableError(f"{where}: it says nothing to anybody")
    _check_papers(rule, where)
    return rule


def _check_papers(rule: Rule, where: str) -> None:
    """Every paper once, with words to say there or a reason why not; no words without a paper."""
    if sorted((*rule.stands_on, *rule.absent)) != sorted(PAPERS) or not all(rule.absent.values()):
        raise TableError(f"{where}: stands_on and absent hold each of {PAPERS} once")
    worded = {papers()[paper].words for paper in rule.stands_on}
    if worded != {words for words in ("guest", "staff", "label") if getattr(rule, words)}:
        raise TableError(f"{where}: words and papers do not match: {sorted(worded)}")


def _places(row: dict[str, object], where: str) -> frozenset[str]:
    listed = row.get("places", [])
    if not isinstance(listed, list):
        raise TableError(f"{where}: places must be a list of codes")
    for code in listed:
        if not places.exists(code):
            raise TableError(f"{where}: {code} is not a place")
    return frozenset(listed)


@cache
def _figure_names(text: str) -> frozenset[str]:
    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name)
