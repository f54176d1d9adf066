"""Allergens: their names, their families, the lists places keep, and the three states.

Belongs here: what the words mean and when sulphites must be told. Does not belong here: working out
what a recipe holds (inherited_allergens.py). A supplier's label decides over every default here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table
from anthocard.facts.law.conditions import says

#: unchecked: nobody read the label of some part; none known: every part has a dated record.
State: TypeAlias = Literal["contains", "may contain", "unchecked", "none known"]


@dataclass(frozen=True, slots=True)
class AllergenState:
    """What is known of one allergen in one recipe.

    `because` says why in words for staff: which parts hold it, or were never checked. It is never
    empty. Where `kinds` of it are known (almond), `label` is its `name` with them.
    `checked` is the day of the oldest record that says so, where every part has one.
    """

    key: str
    label: str
    state: State
    because: str
    name: str = ""
    kinds: tuple[str, ...] = ()
    checked: date | None = None


@cache
def allergen_key(word: str) -> str:
    """The allergen a word stands for, case and blanks aside. Raises KeyError."""
    return _by_word()[" ".join(word.casefold().split())]


def label(key: str) -> str:
    """What the allergen is called in print. Raises KeyError."""
    return str(_rows()[key]["label"])


@cache
def known_words() -> tuple[str, ...]:
    """Every word `allergen_key` understands, sorted."""
    return tuple(sorted(_by_word()))


@cache
def named_in(text: str) -> frozenset[str]:
    """Allergens that a free text names outright (“rim of celery salt”): keys, broader ones too."""
    found = {key for word, key in _by_word().items() if says(text, word)}
    return broadened(found)


def broadened(keys: Iterable[str]) -> frozenset[str]:
    """The keys and every broader allergen they count as (almond: tree nuts)."""
    found = set(keys)
    for key in tuple(found):
        found.update(_rows()[key].get("counts_as", ()))
    return frozenset(found)


def possibly(keys: Iterable[str]) -> frozenset[str]:
    """Allergens that these could hold without saying so (gluten: wheat)."""
    return frozenset(one for key in keys for one in _rows()[key].get("may_be", ()))


def keys_on(allergen_list: str) -> tuple[str, ...]:
    """The keys of one list (EU, GB, US, ANZ, CA, all), in its order. Raises KeyError."""
    return tuple(_lists()[allergen_list]["allergens"])


def declare_sulphites(mg_per_l: float, allergen_list: str) -> bool:
    """Whether that much total SO2 in the drink as consumed must be told in a place.

    More than 10 mg/l in the EU and GB (Annex II 12), 10 or more in the US (27 CFR 5.63(c)(7)).
    """
    row = _lists()[allergen_list]
    limit = float(row["sulphite_mg_per_l"])
    if math.isclose(mg_per_l, limit, rel_tol=1e-9):  # a sum of floats that means ten is ten
        return bool(row["sulphite_line"] == "from")
    return mg_per_l > limit


@cache
def _by_word() -> dict[str, str]:
    words = {key.casefold(): key for key in _rows()}
    words |= {word.casefold(): key for key, row in _rows().items() for word in row["synonyms"]}
    return words


def _rows() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.law", "allergens.yaml")["allergens"]
    return rows


def _lists() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.law", "allergens.yaml")["lists"]
    return rows
