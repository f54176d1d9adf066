"""Running text as the tables of care read it: its sentences, and what turns one round.

Belongs here: cutting text into sentences, denials, names that mean something else in a sentence.
Does not belong here: what a sentence is about (hazards.py, processes.py, claims.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from typing import Final

from anthocard.diagnostics.tables import read_table
from anthocard.facts.law.conditions import says

_END: Final = re.compile(r"(?<=[.!?…])[\"”“»«’]*\s+|\n+")
_WORD: Final = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


def sentences(text: str) -> Iterator[str]:
    """The sentences of a text in order, bare of blanks; a line end ends one, too."""
    yield from (part.strip() for part in _END.split(text) if part.strip())


def denies(sentence: str) -> bool:
    """Whether a sentence forbids, warns or does without, in English, German or French."""
    return not _denials().isdisjoint(_words(sentence))


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
    words = [found.casefold().replace("’", "'") for found in _WORD.findall(sentence)]
    return {*words, *(" ".join(pair) for pair in pairwise(words))}


@cache
def _denials() -> frozenset[str]:
    rows = read_table("anthocard.facts.law", "prose.yaml")["denials"]
    return frozenset(word for row in rows.values() for word in row["words"])
