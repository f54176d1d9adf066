"""Allergens of a recipe in their states, inherited through everything in it.

Belongs here: the roll-up over ingredients, and sulphites worked out through dilution. Does not
belong here: names and lists (facts.allergens) or wording for a page (the press).

“None known” is said only where every part has a dated record. A part without one may hold
anything; a garnish that is not in stock is covered by the drink's own record.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from anthocard.engine.results import Computed
from anthocard.engine.safety.ingredients import Found, walk
from anthocard.facts.law import allergens as facts
from anthocard.facts.law.allergens import AllergenState
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.stock import AllergenRecord
from anthocard.house.collection import Collection

SULPHITES = "sulphites"


@dataclass(frozen=True, slots=True)
class _Allergen:
    """One allergen of one part: which (almond), what it counts as, where it stands."""

    key: str
    part: str


def roll_up(figures: Computed, collection: Collection) -> tuple[AllergenState, ...]:
    """The state of every allergen on the list of the house's place, in the list's order."""
    found = walk(figures.recipe, collection)
    where = jurisdiction(collection.house.place)
    contains = [allergen for one in found for allergen in _recorded(one, "contains")]
    possible = [allergen for one in found for allergen in _recorded(one, "may_contain")]
    own = figures.recipe.allergens or AllergenRecord()
    contains += [_Allergen(key, "this recipe") for key in own.contains]
    possible += [_Allergen(key, "this recipe") for key in own.may_contain]
    unchecked = _parts(one.ingredient.name for one in found if one.whole and not _checked(one))
    days = [one.record.checked for one in found if one.whole and one.record is not None]
    oldest = min((day for day in days if day is not None), default=None)
    weighed = _sulphite(figures, found, where.allergens)
    if SULPHITES in own.contains:  # the author knows better than the sum
        weighed = None
    return tuple(
        weighed
        if key == SULPHITES and weighed is not None
        else _state(key, contains, possible, unchecked, oldest)
        for key in facts.keys_on(where.allergens)
    )


def contained(states: Iterable[AllergenState]) -> tuple[AllergenState, ...]:
    """Those that are in it."""
    return tuple(one for one in states if one.state == "contains")


def _state(
    key: str,
    contains: list[_Allergen],
    possible: list[_Allergen],
    unchecked: str,
    oldest: date | None,
) -> AllergenState:
    name = facts.label(key)
    inside = [allergen for allergen in contains if key in facts.broadened([allergen.key])]
    perhaps = [
        allergen
        for allergen in possible
        if key in facts.broadened([allergen.key]) | facts.possibly([allergen.key])
    ] + [allergen for allergen in contains if key in facts.possibly([allergen.key])]
    if inside:
        kinds = tuple(dict.fromkeys(facts.label(one.key) for one in inside if one.key != key))
        label = f"{name} ({', '.join(kinds)})" if kinds else name
        because = _parts(allergen.part for allergen in inside)
        return AllergenState(key, label, "contains", because, name, kinds)
    label = name
    if perhaps:
        return AllergenState(
            key, label, "may contain", _parts(allergen.part for allergen in perhaps)
        )
    if unchecked:
        return AllergenState(key, label, "unchecked", f"no dated record: {unchecked}")
    because = "every part has a dated record"
    return AllergenState(key, label, "none known", because, checked=oldest)


def _recorded(one: Found, state: str) -> list[_Allergen]:
    """What the record says; and what an unrecorded part's own name says, as a doubt at least."""
    keys = set(getattr(one.record, state)) if one.record is not None else set()
    if not _checked(one) and one.whole:
        named = facts.named_in(one.ingredient.name)
        certain = one.ingredient.role in {"garnish", "rim"} and one.item is None
        if certain == (state == "contains"):
            keys |= named
    return [_Allergen(key, one.ingredient.name) for key in sorted(keys)]


def _checked(one: Found) -> bool:
    return one.record is not None and one.record.checked is not None


def _sulphite(
    figures: Computed, found: tuple[Found, ...], allergen_list: str
) -> AllergenState | None:
    """Sulphites by the milligram, where every part that holds them says how much; else None."""
    carriers = [
        one
        for one in found
        if one.record is not None and SULPHITES in one.record.contains + one.record.may_contain
    ]
    if any(one.item is None or one.item.sulphite_mg_per_l == 0.0 for one in carriers):
        return None
    mg_per_l = sulphite_mg_per_l(figures)
    if mg_per_l <= 0.0:
        return None
    label, held = facts.label(SULPHITES), _parts(one.ingredient.name for one in carriers)
    because = f"about {mg_per_l:.0f} mg/l" + (f", from {held}" if held else "")
    if facts.declare_sulphites(mg_per_l, allergen_list):
        return AllergenState(SULPHITES, label, "contains", because)
    return AllergenState(SULPHITES, label, "may contain", f"{because}: too little to declare")


def sulphite_mg_per_l(figures: Computed) -> float:
    """Total SO2 in mg per litre, the highest of all its states and of a layer by itself."""
    layers = () if figures.glassful is None else figures.glassful.layers
    found = [
        float(one.liquid["sulphite_mg"]) / one.volume_ml * 1000.0 if one.volume_ml else 0.0
        for one in figures.states
    ]
    return max(*found, *(one.sulphite_mg_per_l for one in layers), 0.0)


def _parts(names: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(names))
