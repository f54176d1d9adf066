"""Allergens in words: the same sentences on card, back, label, menu, spec page and book.

Belongs here: wording the states of a recipe's allergens. Does not belong here: working the states
out (inherited_allergens.py), or the phrases of another language (base/languages.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from anthocard.facts.law.allergens import AllergenState, State
from anthocard.press.base.languages import ENGLISH, Language, language

#: What staff read.
OWN: Final = language(ENGLISH)

#: More unchecked allergens than this are not listed one by one: they would hide what is known.
MANY: Final = 5


@dataclass(frozen=True, slots=True)
class ByState:
    """The allergens of one recipe by what is known of them, as labels or as keys."""

    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    unchecked: tuple[str, ...]


def by_state(states: Iterable[AllergenState], by: str = "label") -> ByState:
    """Labels (or keys) of the three states that are told, each in the order of the place's list."""
    listed = tuple(states)

    def those(state: State) -> tuple[str, ...]:
        return tuple(getattr(one, by) for one in listed if one.state == state)

    return ByState(those("contains"), those("may contain"), those("unchecked"))


def called(one: AllergenState, tongue: Language) -> str:
    """What an allergen is called in a language, with the kinds of it that are known."""
    if not one.kinds:
        return tongue.word("allergen", one.label)
    kinds = ", ".join(tongue.word("allergen", kind) for kind in one.kinds)
    return f"{tongue.word('allergen', one.name)} ({kinds})"


def line(states: Iterable[AllergenState], tongue: Language = OWN, *, dated: bool = True) -> str:
    """All that is known in one line, never empty: what it contains, may contain, was not checked.

    Many that nobody checked are told in one phrase; that nothing is known of is said as well, and
    if `dated` since when.
    """
    listed = tuple(states)
    found = by_state([replace(one, label=called(one, tongue)) for one in listed])

    parts = []
    if found.contains:
        parts.append(tongue.gettext("Contains %(allergens)s.", allergens=", ".join(found.contains)))
    if found.may_contain:
        may = ", ".join(found.may_contain)
        parts.append(tongue.gettext("May contain %(allergens)s.", allergens=may))
    if len(found.unchecked) > MANY or not listed:
        parts.append(
            tongue.gettext("Other allergens: not all checked, ask.")
            if parts
            else tongue.gettext("Allergens: not all checked, ask.")
        )
    elif found.unchecked:
        rest = ", ".join(found.unchecked)
        parts.append(tongue.gettext("Not checked for %(allergens)s.", allergens=rest))
    if not parts and not dated:
        return tongue.gettext("No listed allergen known.")
    return " ".join(parts or [_none(listed, tongue)])


def checked(states: Iterable[AllergenState], tongue: Language = OWN) -> str:
    """The day since when it is known that none of the listed ones is in it; "" where one may be."""
    listed = tuple(states)
    days = [one.checked for one in listed if one.checked is not None]
    known = by_state(listed)
    if not days or known.contains or known.may_contain or known.unchecked:
        return ""
    return tongue.day(min(days))


def _none(states: Sequence[AllergenState], tongue: Language) -> str:
    """None of how many that the place lists, and since when that is known."""
    days = [one.checked for one in states if one.checked is not None]
    if not days:
        return tongue.gettext("None of the listed allergens known.")
    return tongue.gettext(
        "None of the %(count)d listed allergens known, checked %(day)s.",
        count=len(states),
        day=tongue.day(min(days)),
    )
