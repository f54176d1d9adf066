"""What a guest may not or will not have: the table of it, and the need a guest's words mean.

Belongs here: the words, and what to look for. Does not belong here: what a drink holds
(engine/safety/for_guest.py). Nothing here is medical advice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table
from anthocard.facts.law import allergens

#: What a drink is told to be where everything in it is known.
Diet: TypeAlias = Literal["vegan", "vegetarian", "honey"]

_DROPPED: Final = ("no ", "without ", "free of ", "allergic to ", "kein ", "keine ", "ohne ")


@dataclass(frozen=True, slots=True)
class Need:
    """One need: `key` in the table (or the guest's own words), and what speaks against a drink.

    `names` are words of ingredients; `unsure_kinds` and `unsure_names` those of which nobody can
    tell. A need that is not `known` can be refused by a name, and never be called met; one that
    `is_row` has a row of its own, and is no allergen or word of a guest.
    """

    key: str
    label: str
    known: bool = True
    is_row: bool = True
    allergens: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    traits: frozenset[str] = frozenset()
    names: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    alcohol: bool = False
    caffeine: bool = False
    sugar: bool = False
    unsure_kinds: frozenset[str] = frozenset()
    unsure_names: tuple[str, ...] = ()
    unsure_caffeine: bool = False


def need_of(words: str) -> Need:
    """The need that a guest's words mean: a row, an allergen, or just a word to look for."""
    said = " ".join(words.casefold().replace("-", " ").split())
    bare = next((said.removeprefix(drop) for drop in _DROPPED if said.startswith(drop)), said)
    bare = bare.removesuffix(" allergy").removesuffix(" free").removesuffix(" intolerance")
    for one in (said, bare):
        if one in _by_word():
            return needs()[_by_word()[one]]
    for one in (said, bare):
        try:
            return _allergen(allergens.allergen_key(one))
        except KeyError:
            continue
    return Need(bare, bare, known=False, is_row=False, names=(bare,))


@cache
def needs() -> Mapping[str, Need]:
    """Every row of the table by key."""
    return {key: _read(key, row) for key, row in _table()["needs"].items()}


def all_needs(allergen_list: str) -> tuple[Need, ...]:
    """What a staff page offers: every row, then each allergen of a place's list."""
    allergen_needs = (_allergen(key) for key in allergens.keys_on(allergen_list))
    return (*needs().values(), *allergen_needs)


def bound(name: str) -> float:
    """The most of alcohol_percent, caffeine_mg or sugar_g_per_l that counts as none."""
    return float(_table()["bounds"][name]["most"])


@cache
def known_words() -> tuple[str, ...]:
    """Every word `need_of` knows a row for, sorted."""
    return tuple(sorted({*_by_word(), *allergens.known_words()}))


def _allergen(key: str) -> Need:
    return Need(key, allergens.label(key), is_row=False, allergens=frozenset({key}))


def _read(key: str, row: Mapping[str, Any]) -> Need:
    unsure = row.get("unsure", {})
    return Need(
        key,
        row["label"],
        allergens=frozenset(row.get("allergens", ())),
        kinds=frozenset(row.get("kinds", ())),
        traits=frozenset(row.get("traits", ())),
        names=tuple(row.get("names", ())),
        cautions=tuple(row.get("cautions", ())),
        alcohol=row.get("alcohol", False),
        caffeine=row.get("caffeine", False),
        sugar=row.get("sugar", False),
        unsure_kinds=frozenset(unsure.get("kinds", ())),
        unsure_names=tuple(unsure.get("names", ())),
        unsure_caffeine=unsure.get("caffeine", False),
    )


@cache
def _by_word() -> dict[str, str]:
    """Keys of rows by word, hyphens and case aside."""
    return {
        " ".join(word.casefold().replace("-", " ").split()): key
        for key, row in _table()["needs"].items()
        for word in (key, *row["words"])
    }


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.law", "needs.yaml")
