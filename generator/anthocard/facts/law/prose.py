"""Running text as the tables of care read it: its sentences, and what turns one round.

Belongs here: cutting text into sentences, denials, names that mean something else in a sentence,
and the wordings by which a row of a table knows a sentence.
Does not belong here: what a sentence is about (hazards.py, processes.py, claims.py).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any, Final

from anthocard.diagnostics.tables import read_table
from anthocard.facts.law.conditions import says

_END: Final = re.compile(r"(?<=[.!?…])[\"”“»«’]*\s+|\n+")
_START: Final = re.compile(r"(?<![\w-])(?=.)", re.DOTALL)
_WORD: Final = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


@dataclass(frozen=True, slots=True)
class Words:
    """Words of which one is looked for, in folded text; “*” is any ending.

    No pattern is made before a text holds what one of them must: of hundreds few are ever needed.
    `begun` are how they begin, by up to six letters.
    """

    each: tuple[str, ...]
    begun: frozenset[str]

    @classmethod
    def of(cls, words: Sequence[object]) -> Words:
        """Words as a row of a table lists them; the longest is found first."""
        each = tuple(sorted((_folded(str(word)) for word in words), key=len, reverse=True))
        return cls(each, frozenset(word.partition("*")[0][:6] for word in each))

    def search(self, folded: str) -> re.Match[str] | None:
        """The first of the words that stands whole in a text."""
        if self.begun.isdisjoint(_beginnings(folded)):
            return None
        return _pattern(self.each).search(folded)


@dataclass(frozen=True, slots=True)
class Wording:
    """By which words a row knows a sentence: one of `alone`, or one of each of `pairs`.

    With one of `unless` the sentence means something else; `denied` says that a denial is no bar.
    """

    alone: Words
    pairs: tuple[Words, ...]
    unless: Words
    denied: bool = False

    def words(self, sentence: str) -> str:
        """The words of the sentence that it is known by, as written; empty where it is not."""
        folded = _folded(sentence)
        found = self.alone.search(folded)
        if found is None:
            both = [words.search(folded) for words in self.pairs]
            found = both[-1] if both and all(both) else None
        if found is None or self.unless.search(folded):
            return ""
        same = len(folded) == len(sentence)  # not where “ß” was spelt out
        return sentence[found.start() : found.end()] if same else found[0]


def wording(row: Mapping[str, Any]) -> Wording:
    """The wording of a row with columns alone, pairs, unless and denied."""
    return Wording(
        Words.of(row.get("alone", ())),
        tuple(Words.of(words) for words in row.get("pairs", ())),
        Words.of(row.get("unless", ())),
        bool(row.get("denied")),
    )


def sentences(text: str) -> Iterator[str]:
    """The sentences of a text in order, bare of blanks; a line end ends one, too."""
    yield from (part.strip() for part in _END.split(text) if part.strip())


def denies(sentence: str) -> bool:
    """Whether a sentence forbids, warns or does without, in English, German or French.

    Letting a jar be (“don't open it for a week”) denies nothing.
    """
    return not _denials().isdisjoint(_words(_left_alone().sub(" ", _plain(sentence))))


def everyday(name: str) -> bool:
    """Whether a name of the hazard tables means something else in running text."""
    row = read_table("anthocard.facts.law", "prose.yaml")["everyday"]["names"]
    return name.casefold() in {word.casefold() for word in row["words"]}


def names_a_part(line: str) -> bool:
    """Whether a line names a piece of a plant: a flower, a leaf, a root …"""
    rows = read_table("anthocard.facts.law", "prose.yaml")["parts"]
    return any(says(line, word) for row in rows.values() for word in row["words"])


def _words(sentence: str) -> set[str]:
    """Single words and pairs of them."""
    words = _WORD.findall(_plain(sentence))
    return {*words, *(" ".join(pair) for pair in pairwise(words))}


@cache
def _denials() -> frozenset[str]:
    rows = read_table("anthocard.facts.law", "prose.yaml")["denials"]
    return frozenset(word for row in rows.values() for word in row["words"])


@cache
def _left_alone() -> re.Pattern[str]:
    rows = read_table("anthocard.facts.law", "prose.yaml")["left_alone"]
    words = "|".join(re.escape(word) for row in rows.values() for word in row["words"])
    return re.compile(rf"\b(?:{words})\b")


def _plain(text: str) -> str:
    return text.casefold().replace("’", "'")


@cache
def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    either = "|".join(re.escape(word).replace(r"\*", r"[\w-]*") for word in words)
    return re.compile(rf"(?<![\w-])(?<!\d[.,])(?:{either})(?![\w-])")


@lru_cache(1024)
def _beginnings(folded: str) -> frozenset[str]:
    """None to six letters from everywhere in a text where a word may begin."""
    starts = (found.start() for found in _START.finditer(folded))
    return frozenset(folded[at : at + letters] for at in starts for letters in range(7))


@lru_cache(1024)
def _folded(text: str) -> str:
    """Text without case and accents, one apostrophe and one hyphen for all sorts of them."""
    plain = text.casefold().replace("’", "'").replace("‘", "'").replace("‑", "-").replace("‐", "-")
    letters = unicodedata.normalize("NFKD", plain)
    return "".join(letter for letter in letters if not unicodedata.combining(letter))
