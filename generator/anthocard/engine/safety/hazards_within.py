"""Rows of the hazard tables that things with a name, a Latin name and a form speak of.

Belongs here: the hits of one thing, and those of all that goes into a recipe, as the rules of care
ask for them. Does not belong here: what an author is told (hazard_check.py), nor the tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Final

from anthocard.facts.law.hazards import Hit, named
from anthocard.facts.law.rules import Ingredient

#: Verdicts that a caution of its own speaks of.
_SPOKEN: Final = ("limited", "paper", "medicine", "kin")


@lru_cache(2048)
def hits_of(names: tuple[str, ...], latin: str, form: str) -> tuple[Hit, ...]:
    """Hits of some names and a Latin one, each with its form beside it.

    Where the Latin name is that of a food, a name alone no longer convicts: it becomes a slip.
    """
    by_latin = named(f"{latin}; {form}")
    food = any(hit.latin and hit.hazard.verdict == "food" for hit in by_latin)
    hits = [hit for name in names for hit in named(f"{name}; {form}")]
    if food:
        hits = [Hit(hit.hazard, hit.words, slip=True) for hit in hits]
    return tuple({hit.hazard.key: hit for hit in (*hits, *by_latin)}.values())


def hazards_within(ingredients: Iterable[Ingredient]) -> dict[str, tuple[str, ...]]:
    """By verdict, what the ingredients hold that no rule of its own speaks of, each name once.

    Things to tell guests of go by the name of their row, others by the author's own words.
    """
    found: dict[str, dict[str, None]] = {verdict: {} for verdict in _SPOKEN}
    for hit in _hits(ingredients):
        row = hit.hazard
        if row.verdict in found and not row.rule and not hit.slip:
            found[row.verdict][row.called or hit.words] = None
    return {verdict: tuple(names) for verdict, names in found.items()}


def _hits(ingredients: Iterable[Ingredient]) -> Iterator[Hit]:
    for one in ingredients:
        yield from hits_of((one.name,), one.latin, one.form)
