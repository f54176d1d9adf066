"""The rules of care: what a recipe is asked, and the rows that speak when it answers.

Belongs here: the facts a rule may ask about (`Profile`), the rules themselves, read and checked.
Does not belong here: how a profile is drawn from a recipe, or what a house loosened (the engine).

Nothing here is legal advice. Law changes and differs from town to town; every row defers to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from string import Formatter

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law import conditions, places
from anthocard.facts.law.conditions import Condition


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One thing that goes into a recipe, however deep inside a house-made part.

    `role` is pour, part, base, plant, reveal, garnish or rim. `substance` and `hazards` are those
    of a weighed thing (facts.substances); `for_drinks` is False for what must never go into one.
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


@dataclass(frozen=True, slots=True)
class Profile:
    """All that a rule can ask of one computed recipe.

    Where a drink has a reveal, numbers are the worse of before and after for whoever drinks it:
    the highest, except `ph_low`, and `served_abv_percent` as it is drunk. `places` is the house's
    place and all it lies in. `plants` are the pigments dissolved in it (liquid.PLANTS). `drinks`
    counts `drink_label`s. `liquids` counts what is poured; `off_measure` says that a spirit sold
    by fixed measures is not poured in them; `table_a` and `table_b` are the verdicts of
    facts.keeping. `words` is what bartenders read and do: garnish, rim, vessel, how it is served,
    and the method; `claims` is what guests read.
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
    may_contain_words: str = ""
    vessel: str = ""
    words: str = ""
    claims: str = ""
    liquids: int = 0
    specified_spirits: bool = False
    off_measure: bool = False
    measures: str = ""
    table_a: str = ""
    table_b: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """One caution of the table.

    `guest`, `staff` and `label` are wordings with fields of Profile in braces, empty where it has
    nothing to say to them. `places` empty means everywhere. A `firm` rule cannot be loosened; one
    to `warn` of is told to the author when proofreading, too.
    """

    key: str
    when: Condition = field(hash=False)
    source: str
    how: str
    guest: str = ""
    staff: str = ""
    label: str = ""
    places: frozenset[str] = frozenset()
    firm: bool = False
    warn: bool = False
    defer: str = ""

    @property
    def local(self) -> bool:
        """Whether it belongs to some places only."""
        return bool(self.places)

    def applies(self, profile: Profile, elsewhere: bool = False) -> bool:
        """Whether the rule speaks: place and condition fit. `elsewhere` waives the place."""
        at_home = elsewhere or not self.places or not self.places.isdisjoint(profile.places)
        return at_home and conditions.holds(self.when, profile)


def worded(text: str, profile: Profile) -> str:
    """A rule's wording with the profile's figures in it."""
    return text.format(**{name: getattr(profile, name) for name in _asked(text)})


def asked(rule: Rule, profile: Profile) -> tuple[tuple[str, str | float], ...]:
    """The figures that any wording of a rule asks for, by name."""
    names = sorted(_asked(rule.guest) | _asked(rule.staff) | _asked(rule.label))
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


def _rule(key: str, row: dict[str, object], defer: str) -> Rule:
    where = f"rules.yaml: {key}"
    unknown = row.keys() - Rule.__dataclass_fields__.keys()
    if unknown:
        raise TableError(f"{where}: unknown columns {sorted(unknown)}")
    rule = Rule(**{"key": key, "defer": defer, **row, "places": _places(row, where)})  # type: ignore[arg-type]  # the columns are checked above and below
    conditions.check(rule.when, Profile, where)
    for text in (rule.guest, rule.staff, rule.label):
        strange = _asked(text) - Profile.__dataclass_fields__.keys()
        if strange:
            raise TableError(f"{where}: no such figures {sorted(strange)}")
    if not rule.guest + rule.staff + rule.label:
        raise TableError(f"{where}: it says nothing to anybody")
    return rule


def _places(row: dict[str, object], where: str) -> frozenset[str]:
    listed = row.get("places", [])
    if not isinstance(listed, list):
        raise TableError(f"{where}: places must be a list of codes")
    for code in listed:
        if not places.exists(code):
            raise TableError(f"{where}: {code} is not a place")
    return frozenset(listed)


def _asked(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}
