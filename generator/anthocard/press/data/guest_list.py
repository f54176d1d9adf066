"""Which drinks are for a guest, as it stands on a page and on paper, in the language of the house.

Belongs here: the answers put in order for people to read. Does not belong here: the answers
themselves (engine/safety/for_guest.py), what they look like (html/, paper/).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from anthocard.engine.results import Computed
from anthocard.engine.safety.for_guest import ANSWERS, Answer, Served, answer_for
from anthocard.engine.safety.ingredients import by_line
from anthocard.facts.law.needs import Need, all_needs
from anthocard.facts.law.places import jurisdiction
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language


@dataclass(frozen=True, slots=True)
class GuestList:
    """The list for one guest: of whom, and by answer each drink with what goes with it: the lines
    to leave out, or those that speak against it or that nobody can tell of.
    """

    house: str
    language: str
    who: tuple[str, ...]
    groups: tuple[tuple[Answer, tuple[tuple[str, tuple[str, ...]], ...]], ...]


@dataclass(frozen=True, slots=True)
class GuestRow:
    """A drink on the page: by the key of each need its answer, and the lines that go with it."""

    name: str
    slug: str
    answers: Mapping[str, tuple[Answer, tuple[str, ...]]]


def make_guest_list(needs: Sequence[Need], drinks: Sequence[Served], house: House) -> GuestList:
    """The list of one guest."""
    tongue = language(house.language)
    groups = (
        (answer, tuple((one.name, lines_of(one)) for one in drinks if one.answer == answer))
        for answer in ANSWERS
    )
    return GuestList(
        house.name,
        house.language,
        tuple(need_word(need, tongue) for need in needs),
        tuple(group for group in groups if group[1]),
    )


def needs_of(house: House) -> tuple[Need, ...]:
    """What staff may choose from: the table's rows, then the allergens of the house's place."""
    return all_needs(jurisdiction(house.place).allergens)


def make_rows(
    computed: Mapping[str, Computed], slugs: Iterable[str], collection: Collection
) -> tuple[GuestRow, ...]:
    """Every drink by its slug, with its answer to every need."""
    needs = needs_of(collection.house)
    return tuple(_row(computed[slug], needs, collection) for slug in slugs)


def _row(one: Computed, needs: Sequence[Need], collection: Collection) -> GuestRow:
    assert isinstance(one.recipe, Drink)
    lines = by_line(one.recipe, collection)
    served = {need.key: answer_for(one, (need,), lines) for need in needs}
    answers = {key: (answer.answer, lines_of(answer)) for key, answer in served.items()}
    return GuestRow(one.name, one.slug, answers)


def lines_of(one: Served) -> tuple[str, ...]:
    """What is to be left out of a drink, or what speaks against it or is unknown of it."""
    if one.answer == "safe without":
        return one.without
    return tuple(dict.fromkeys(reason.line for reason in one.because if reason.line))


def need_word(need: Need, tongue: Language) -> str:
    """What a need is called; a guest's own words stay as they are."""
    return tongue.word("need" if need.is_row else "allergen", need.label)
