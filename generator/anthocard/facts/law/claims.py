"""What words for guests claim: health, slimness, no alcohol, and to whom they speak.

Belongs here: the checks with their laws, and finding claims in a sentence. Does not belong here:
what a drink really holds, and what an author is told (engine/safety/claim_check.py).

Which words fall under a law is a reading of ours, not a court's: ask where it matters.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Literal

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law import places
from anthocard.facts.law.prose import Wording, denies, wording


@dataclass(frozen=True, slots=True)
class Check:
    """One sort of claim.

    `above_percent` is the strength in % vol above which it is wrong, by place; empty where strength
    does not matter. `law` says by place what is broken; in both, `else` stands for everywhere.
    `below` is what is said at or under the strength, where something is.
    """

    key: str
    says: str
    mend: str
    severity: Literal["error", "warning"]
    denials: bool
    source: str
    how: str
    above_percent: Mapping[str, float] = field(hash=False)
    law: Mapping[str, str] = field(hash=False)
    below: str = ""


@dataclass(frozen=True, slots=True)
class Claim:
    """A check and the words of a sentence that called for it."""

    check: Check
    words: str


@cache
def checks() -> Mapping[str, Check]:
    """Every check by its key. Raises TableError."""
    rows = read_table("anthocard.facts.law", "claims.yaml")["checks"]
    found = {key: Check(key=key, **row) for key, row in rows.items()}
    for one in found.values():
        known = {place for place in (*one.law, *one.above_percent) if place != "else"}
        if not all(places.exists(place) for place in known) or "else" not in one.law:
            raise TableError(f"claims.yaml: {one.key}: a place is unknown, or nothing is said else")
    return found


@lru_cache(maxsize=1024)
def claims_in(sentence: str) -> tuple[Claim, ...]:
    """Every claim in a sentence, each check once, with the words that called for it."""
    found: dict[str, Claim] = {}
    for check, words in _wordings():
        said = "" if check.key in found else words.words(sentence)
        if said and not (check.denials and not words.denied and denies(sentence)):
            found[check.key] = Claim(check, said)
    return tuple(found.values())


@cache
def _wordings() -> tuple[tuple[Check, Wording], ...]:
    rows = read_table("anthocard.facts.law", "claims.yaml")["words"]
    strange = {row["check"] for row in rows.values()} - set(checks())
    if strange:
        raise TableError(f"claims.yaml: no checks are called {sorted(strange)}")
    return tuple((checks()[row["check"]], wording(row)) for row in rows.values())
