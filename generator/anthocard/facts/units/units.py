"""Units: the table of every unit an author may write, how each is spelt, and what it comes to.

Belongs here: names, spellings and factors of units, and the limits of sense. Does not belong here:
the grammar of an amount (measures.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table

Dimension: TypeAlias = Literal[
    "volume", "own", "mass", "count", "unmeasured", "share", "time", "length"
]

#: Dimensions that can be poured, weighed, counted or pinched into a drink …
POURABLE: Final[frozenset[Dimension]] = frozenset({"volume", "own", "mass", "count", "unmeasured"})
#: … and those that things are sold in.
PACKABLE: Final[frozenset[Dimension]] = frozenset({"volume", "mass", "count"})


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit; `factor` in ml, g, h, mm or pieces, None where nobody has measured it.

    `low` and `high` are what one of a loose measure comes to, in ml, or in g of what is pinched.
    """

    key: str
    dimension: Dimension
    factor: float | None
    low: float = 0.0
    high: float = 0.0


@cache
def units() -> Mapping[str, Unit]:
    """Every unit by key, from measures.yaml."""
    rows = _table()["units"]
    return {
        key: Unit(
            key, row["dimension"], row.get("factor"), row.get("low", 0.0), row.get("high", 0.0)
        )
        for key, row in rows.items()
    }


@cache
def spellings() -> Mapping[str, str]:
    """Unit keys by folded spelling."""
    return {
        spelling: key
        for key, row in _table()["units"].items()
        for spelling in (*row["spellings"], *row.get("also", ()))
    }


@cache
def printed() -> Mapping[str, str]:
    """The same without what is only read: of these one is offered to who slipped."""
    rows = _table()["units"].items()
    return {spelling: key for key, row in rows for spelling in row["spellings"]}


@cache
def times_in_words() -> Mapping[str, float]:
    """Hours of a time that is one word (“overnight”), by folded spelling."""
    rows = _table()["times"].values()
    return {spelling: row["hours"] for row in rows for spelling in row["spellings"]}


def spelt(key: str, text: str, many: bool) -> str:
    """The word for one or for many of a unit: the author's own (“2 wheels”), else the usual one.

    Spellings stand in pairs, for one and for many.
    """
    known = _table()["units"][key]["spellings"]
    own = next((n for n, word in enumerate(known) if folded(text).endswith(word)), 0)
    pair: list[str] = known[own - own % 2 :][:2]
    return pair[-1] if many else pair[0]


@cache
def counted() -> Mapping[str, str]:
    """Things that are their own unit, by folded spelling: “egg whites” is “egg white”."""
    return {
        spelling: name for name, row in _table()["counted"].items() for spelling in row["spellings"]
    }


@cache
def limit(name: str) -> Mapping[str, Any]:
    """One row of the limits in measures.yaml."""
    row: Mapping[str, Any] = _table()["limits"][name]
    return row


def folded(spelling: str) -> str:
    """A spelling without full stops, case and spare blanks, as the tables above key it."""
    return " ".join(spelling.replace(".", " ").lower().split())


@cache
def unit_pattern(dimensions: frozenset[Dimension]) -> re.Pattern[str]:
    """Matches blanks and one `unit` of these dimensions, as a whole word."""
    return one_of(s for s, key in spellings().items() if units()[key].dimension in dimensions)


@cache
def any_unit_pattern() -> re.Pattern[str]:
    """Matches blanks and one `unit` of any kind."""
    return one_of(spellings())


@cache
def vague_pattern() -> re.Pattern[str]:
    """Matches blanks and one `unit` that leaves the amount open, such as “splash”."""
    return one_of(_table()["vague"]["words"]["spellings"])


def one_of(words: Iterable[str]) -> re.Pattern[str]:
    """Matches blanks and one `unit` of these spellings, the longest first, as a whole word."""
    longest_first = sorted(words, key=len, reverse=True)
    either = "|".join(r"(?:\.\s*|\s+)".join(map(re.escape, word.split())) for word in longest_first)
    return re.compile(rf"\s*(?P<unit>(?:{either})(?![^\W_])\.?)", re.IGNORECASE)


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.units", "measures.yaml")
