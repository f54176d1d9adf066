"""Names as people write them: plurals, compounds, umlauts, initials, and slips of the pen.

Belongs here: folding words until two spellings of one name are equal, or one slip apart. Does not
belong here: which names mean what (hazards.py).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

from anthocard.diagnostics.tables import read_table

#: Words in a name: “lily of the valley bush”.
LONGEST: Final = 6
#: Letters of a name in which one slip is forgiven; chosen.
SHORTEST_SLIP: Final = 7

_SHORTEST_STEM: Final = 4  # letters left of a word when an ending is taken off; chosen
_SHORTEST_HEARD: Final = 6  # letters left of a name that is known by its sound; chosen
_WORD: Final = re.compile(r"[^\W_]+(?:['’‘´\-‐‑][^\W_]+)*")
_INITIAL: Final = re.compile(r"\b([A-Z]|[Ss]t|[Ss]te)\.\s*")  # of a genus, or a saint’s herb
_TWICE: Final = re.compile(r"(.)\1+")
_UMLAUTS: Final = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "æ": "ae", "œ": "oe", "ø": "oe"})
_PLURALS: Final = ("s", "es", "n", "en", "e", "er")
_BREAKS: Final = frozenset(',;:()[]/+&|\n\t.!?–—“”"')
_SOUNDS: Final = (
    ("ph", "f"), ("th", "t"), ("rh", "r"), ("ch", "k"), ("ck", "k"), ("qu", "k"), ("c", "k"),
    ("z", "s"), ("y", "i"), ("ae", "e"), ("oe", "e"), ("ie", "i"), ("ei", "i"), ("ea", "e"),
    ("v", "f"), ("w", "f"), ("dt", "t"), ("h", ""),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Word:
    """A folded word, where it stands, and whether a comma, full stop or bracket is before it."""

    text: str
    start: int
    end: int
    breaks: bool


def split(text: str) -> list[Word]:
    """The words of a text in order; “A. belladonna” and “St. John” are one name each."""
    spread = _INITIAL.sub(lambda found: found[1] + " " * (len(found[0]) - 1), text)
    words: list[Word] = []
    end = 0
    for found in _WORD.finditer(spread):
        between = spread[end : found.start()]
        words.append(
            Word(plain(found[0]), found.start(), found.end(), not _BREAKS.isdisjoint(between))
        )
        end = found.end()
    return words


def around(words: list[Word]) -> frozenset[str]:
    """Every word, singular, pair of words and written-on ending: what stands beside a name."""
    found: set[str] = set()
    for number, word in enumerate(words):
        found.update((word.text, *_singular(word.text)))
        found.update(ending for ending in _words_of("_endings") if word.text.endswith(ending))
        for more in (2, 3):
            found.add("".join(one.text for one in words[number : number + more]))
    return frozenset(found)


def plain(word: str) -> str:
    """A word without case, accents, hyphens and apostrophes, umlauts written out."""
    if word.isascii() and word.isalnum():
        return word.lower()  # as most are: thousands of names are folded before the first is told
    spelt = word.casefold().translate(_UMLAUTS)
    letters = unicodedata.normalize("NFKD", spelt)
    return "".join(letter for letter in letters if letter.isalnum())


def joined(name: str) -> tuple[str, ...]:
    """A name as one word, with umlauts written out and with umlauts dropped."""
    parts = [part.strip(".") for part in name.split()]
    if name.isascii():
        return ("".join(map(plain, parts)),)
    return tuple({"".join(map(plain, parts)), "".join(map(_bare, parts))})


def forms(word: str) -> Iterator[str]:
    """The word, its singulars, both without up to two endings, and all without a beginning."""
    yield from _ended(word)
    beginnings = _words_of("_beginnings")
    if not word.startswith(beginnings):
        return
    for start in beginnings:
        if word.startswith(start) and len(word) - len(start) >= _SHORTEST_STEM:
            yield from _ended(word[len(start) :])


def one_slip(name: str, word: str) -> bool:
    """Whether one letter is missing, too many or wrong, or two neighbours changed places."""
    start = 0
    while start < min(len(name), len(word)) and name[start] == word[start]:
        start += 1
    first, second = name[start:], word[start:]
    while first and second and first[-1] == second[-1]:
        first, second = first[:-1], second[:-1]
    return max(len(first), len(second)) <= 1 or (len(first) == 2 and first == second[::-1])


def heard(word: str) -> str:
    """A word by its sound, near enough: “rododendrum”. Empty for what is too short to tell."""
    for letters, sound in _SOUNDS:
        word = word.replace(letters, sound)
    once = _TWICE.sub(r"\1", word)
    return once if len(once) >= _SHORTEST_HEARD else ""


def _ended(word: str) -> Iterator[str]:
    stems, endings = [word], _words_of("_endings")
    for _ in range(3):
        for stem in stems:
            yield stem
            yield from _singular(stem)
        stems = [
            stem[: -len(ending)]
            for stem in stems
            if stem.endswith(endings)
            for ending in endings
            if stem.endswith(ending) and len(stem) - len(ending) >= _SHORTEST_STEM - 1
        ]


def _singular(word: str) -> Iterator[str]:
    if word.endswith("ies"):
        yield word[:-3] + "y"
    for ending in _PLURALS:
        if word.endswith(ending) and len(word) - len(ending) >= _SHORTEST_STEM - 1:
            yield word[: -len(ending)]


def _bare(word: str) -> str:
    """As `plain` with umlauts dropped, as typed on a foreign keyboard."""
    letters = unicodedata.normalize("NFKD", word.casefold())
    return "".join(letter for letter in letters if letter.isalnum())


@cache
def _words_of(key: str) -> tuple[str, ...]:
    return tuple(read_table("anthocard.facts.law", "hazards_plants.yaml")[key])
