"""What words for guests claim: health, slimness, no alcohol, and to whom they speak.

Belongs here: the checks with their laws, and finding claims in a sentence. Does not belong here:
what a drink really holds, and what an author is told (engine/safety/claims.py).

Which words fall under a law is a reading of ours, not a court's: ask where it matters.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law import places
from anthocard.facts.law.prose import denies


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


@dataclass(frozen=True, slots=True)
class _Wording:
    check: Check
    alone: re.Pattern[str] | None
    pairs: tuple[re.Pattern[str], ...]
    unless: re.Pattern[str] | None
    denied: bool  # meant also where the sentence denies

    def found(self, sentence: str) -> re.Match[str] | None:
        if self.unless is not None and self.unless.search(sentence):
            return None
        if self.alone is not None and (found := self.alone.search(sentence)):
            return found
        both = [pattern.search(sentence) for pattern in self.pairs]
        return both[-1] if both and all(both) else None


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


def claims_in(sentence: str) -> tuple[Claim, ...]:
    """Every claim in a sentence, each check once, with the words that called for it."""
    folded = _folded(sentence)
    denied = denies(sentence)
    found: dict[str, Claim] = {}
    for wording in _wordings():
        check = wording.check
        if check.key in found or (denied and check.denials and not wording.denied):
            continue
        match = wording.found(folded)
        if match is not None:
            words = sentence[match.start() : match.end()] if len(folded) == len(sentence) else ""
            found[check.key] = Claim(check, words or match[0])
    return tuple(found.values())


def nearest(by_place: Mapping[str, Any], where: frozenset[str]) -> Any:
    """The value for the house's own place, else for what that lies in, else for everywhere."""
    named = sorted((place for place in by_place if place in where), key=_nearness)
    return by_place[named[0]] if named else by_place.get("else")


def _nearness(place: str) -> tuple[bool, int]:
    return places.is_union(place), -len(place)


@cache
def _wordings() -> tuple[_Wording, ...]:
    rows = read_table("anthocard.facts.law", "claims.yaml")["words"]
    return tuple(_wording(key, row) for key, row in rows.items())


def _wording(key: str, row: Mapping[str, Any]) -> _Wording:
    if row["check"] not in checks():
        raise TableError(f"claims.yaml: {key}: no check is called {row['check']}")
    alone, unless = row.get("alone", []), row.get("unless", [])
    return _Wording(
        checks()[row["check"]],
        _pattern(alone) if alone else None,
        tuple(_pattern(words) for words in row.get("pairs", [])),
        _pattern(unless) if unless else None,
        denied=row.get("denied", False),
    )


def _pattern(words: Sequence[object]) -> re.Pattern[str]:
    each = sorted((_folded(str(word)) for word in words), key=len, reverse=True)
    either = "|".join(re.escape(word).replace(r"\*", r"[\w-]*") for word in each)
    return re.compile(rf"(?<![\w-])(?:{either})(?![\w-])")


@cache
def _folded(text: str) -> str:
    """Text without case and accents, one apostrophe and one hyphen for all sorts of them."""
    plain = text.casefold().replace("’", "'").replace("‘", "'").replace("‑", "-").replace("‐", "-")
    letters = unicodedata.normalize("NFKD", plain)
    return "".join(letter for letter in letters if not unicodedata.combining(letter))
