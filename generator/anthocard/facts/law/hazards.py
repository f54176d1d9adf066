"""Poisons and limits by name: which row of the hazard tables a few words of an author speak of.

Belongs here: the rows, and finding whole names of plants and goods in words, by Latin species,
longest name, and slips of the pen. Does not belong here: what is told to whom
(engine/safety/hazard_check.py), nor figures of a drink.

The tables are no licence: what is not in them may still harm. Nothing here is medical advice.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any, Final, Literal, get_args

from anthocard.diagnostics.tables import TableError, read_table

Verdict = Literal["forbidden", "no-food", "limited", "paper", "medicine", "kin", "food"]

_TABLES: Final = ("hazards_plants.yaml", "hazards_limits.yaml", "hazards_foods.yaml")
_WORD: Final = re.compile(r"[^\W_]+(?:['’‘´\-‐‑][^\W_]+)*")
_INITIAL: Final = re.compile(r"\b([A-Z])\.\s*")
_UMLAUTS: Final = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "æ": "ae", "œ": "oe", "ø": "oe"})
_PLURALS: Final = ("s", "es", "n", "en", "e", "er")
_LONGEST: Final = 6  # words in a name: “lily of the valley bush”
_SHORTEST_STEM: Final = 4  # letters left of a word when an ending is taken off; chosen
_SHORTEST_SLIP: Final = 7  # letters of a name in which one slip is forgiven; chosen
_BREAKS: Final = frozenset(',;:()[]/+&|\n\t.!?–—“”"')


@dataclass(frozen=True, slots=True)
class Hazard:
    """One row: a kin of plants or goods, under every name we know, and what to make of it.

    `latin` are whole genera or single species. `beside` and `unless` are words of which one must,
    or none may, stand anywhere with the name. `limit` says how much on what base; `rule` is the key
    of a caution in rules.yaml that speaks of the same thing.
    """

    key: str
    verdict: Verdict
    latin: tuple[str, ...]
    names: tuple[str, ...]
    source: str
    how: str
    checked: date
    why: str = ""
    limit: str = ""
    rule: str = ""
    beside: frozenset[str] = frozenset()
    unless: frozenset[str] = frozenset()

    @property
    def forbidden(self) -> bool:
        """Whether no drink may hold it: a poison, or no food at all."""
        return self.verdict in ("forbidden", "no-food")


@dataclass(frozen=True, slots=True)
class Hit:
    """A row that some words name: the words as written, and whether by Latin or by a slip."""

    hazard: Hazard
    words: str
    latin: bool = False
    slip: bool = False


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    start: int
    end: int
    breaks: bool  # whether a comma, full stop or bracket stands before it


@cache
def hazards() -> tuple[Hazard, ...]:
    """Every row of the three tables. Raises TableError for a row that is not one."""
    found = tuple(
        _hazard(f"{name}: {key}", key, row)
        for name in _TABLES
        for section, rows in _table(name).items()
        if not section.startswith("_")
        for key, row in rows.items()
    )
    if len({one.key for one in found}) < len(found):
        raise TableError("hazards: two rows have one key")
    return found


def named(text: str) -> tuple[Hit, ...]:
    """Every row that words name, food among them, in the order of the words.

    The longest name wins and takes its words with it: “grape hyacinth” is no hyacinth. A name is
    found whole, also in the plural, with its words joined or apart, with a part or a making
    written on to it, or with one slip in seven letters and more where it is no name of the tables.
    """
    words = _split(text)
    around = _around(words)
    taken: set[int] = set()
    hits: list[tuple[int, Hit]] = []
    for first, last, hit in sorted(_candidates(words, text), key=_best):
        span = range(first, last)
        if taken.isdisjoint(span):
            row = hit.hazard
            if row.beside and row.beside.isdisjoint(around):
                continue
            if not row.unless.isdisjoint(around):
                continue
            taken.update(span)
            hits.append((first, hit))
    return tuple(hit for _, hit in sorted(hits, key=lambda pair: pair[0]))


def _candidates(words: list[_Word], text: str) -> Iterator[tuple[int, int, Hit]]:
    index, slips = _index(), _slips()
    for first in range(len(words)):
        joined = ""
        for last in range(first + 1, min(first + _LONGEST, len(words)) + 1):
            if last > first + 1 and words[last - 1].breaks:
                break
            joined += words[last - 1].text
            written = text[words[first].start : words[last - 1].end]
            found = next((form for form in _forms(joined) if form in index), None)
            if found is not None:
                for row, latin in index[found]:
                    yield first, last, Hit(row, written, latin)
            elif last - first <= 2:
                for form in _cut(joined):
                    for name in slips.get(form, ()):
                        if name[0] == joined[0] and _one_slip(name, joined):
                            for row, latin in index[name]:
                                yield first, last, Hit(row, written, latin, slip=True)


def _best(candidate: tuple[int, int, Hit]) -> tuple[bool, int, bool]:
    """Sort key: names before slips, longer ones first, and of one length those bound to a word."""
    _, _, hit = candidate
    return hit.slip, -len(hit.words), not (hit.hazard.beside or hit.hazard.unless)


def _split(text: str) -> list[_Word]:
    spread = _INITIAL.sub(lambda found: found[1] + " " * (len(found[0]) - 1), text)
    words: list[_Word] = []
    end = 0
    for found in _WORD.finditer(spread):
        between = spread[end : found.start()]
        words.append(
            _Word(_plain(found[0]), found.start(), found.end(), not _BREAKS.isdisjoint(between))
        )
        end = found.end()
    return words


def _around(words: list[_Word]) -> frozenset[str]:
    """Every word, singular, pair of words and written-on ending: what stands beside a name."""
    found: set[str] = set()
    for number, word in enumerate(words):
        found.update((word.text, *_singular(word.text)))
        found.update(ending for ending in _endings() if word.text.endswith(ending))
        for more in (2, 3):
            found.add("".join(one.text for one in words[number : number + more]))
    return frozenset(found)


def _plain(word: str) -> str:
    """A word without case, accents, hyphens and apostrophes, umlauts written out."""
    spelt = word.casefold().translate(_UMLAUTS)
    letters = unicodedata.normalize("NFKD", spelt)
    return "".join(letter for letter in letters if letter.isalnum())


def _bare(word: str) -> str:
    """The same with umlauts dropped, as typed on a foreign keyboard."""
    letters = unicodedata.normalize("NFKD", word.casefold())
    return "".join(letter for letter in letters if letter.isalnum())


def _joined(name: str) -> tuple[str, ...]:
    parts = [part.strip(".") for part in name.split()]
    return tuple({"".join(map(_plain, parts)), "".join(map(_bare, parts))})


def _forms(word: str) -> Iterator[str]:
    """The word, its singulars, and both without up to two endings written on to it."""
    stems = [word]
    for _ in range(3):
        for stem in stems:
            yield stem
            yield from _singular(stem)
        stems = [
            stem[: -len(ending)]
            for stem in stems
            for ending in _endings()
            if stem.endswith(ending) and len(stem) - len(ending) >= _SHORTEST_STEM - 1
        ]


def _singular(word: str) -> Iterator[str]:
    if word.endswith("ies"):
        yield word[:-3] + "y"
    for ending in _PLURALS:
        if word.endswith(ending) and len(word) - len(ending) >= _SHORTEST_STEM - 1:
            yield word[: -len(ending)]


def _cut(word: str) -> Iterator[str]:
    """A word, and it with each one of its letters left out."""
    if len(word) >= _SHORTEST_SLIP - 1:
        yield word
        for number in range(len(word)):
            yield word[:number] + word[number + 1 :]


def _one_slip(name: str, word: str) -> bool:
    """Whether one letter is missing, too many or wrong, or two neighbours changed places."""
    start = 0
    while start < min(len(name), len(word)) and name[start] == word[start]:
        start += 1
    first, second = name[start:], word[start:]
    while first and second and first[-1] == second[-1]:
        first, second = first[:-1], second[:-1]
    return max(len(first), len(second)) <= 1 or (len(first) == 2 and first == second[::-1])


@cache
def _index() -> Mapping[str, tuple[tuple[Hazard, bool], ...]]:
    """Rows by every folded name; a species also by the initial of its genus."""
    found: dict[str, list[tuple[Hazard, bool]]] = {}
    for row in hazards():
        plain = {form for name in row.names for form in _joined(name)}
        latin = {form for name in row.latin for form in _joined(name)}
        latin |= {_plain(name[0] + name.split()[-1]) for name in row.latin if " " in name}
        for form in plain | latin:
            found.setdefault(form, []).append((row, form in latin))
    return {form: tuple(rows) for form, rows in found.items()}


@cache
def _slips() -> Mapping[str, tuple[str, ...]]:
    """Names of some length by themselves and by what is left without one letter."""
    found: dict[str, list[str]] = {}
    for name in _index():
        if len(name) >= _SHORTEST_SLIP:
            for form in _cut(name):
                found.setdefault(form, []).append(name)
    return {form: tuple(names) for form, names in found.items()}


@cache
def _endings() -> tuple[str, ...]:
    return tuple(_table(_TABLES[0])["_endings"])


def _hazard(where: str, key: str, row: Mapping[str, Any]) -> Hazard:
    known = {*Hazard.__dataclass_fields__, "with"} - {"key", "beside"}
    if row.keys() - known:
        raise TableError(f"{where}: unknown columns {sorted(row.keys() - known)}")
    if row["verdict"] not in get_args(Verdict):
        raise TableError(f"{where}: {row['verdict']} is no verdict")
    if not isinstance(row.get("checked"), date):
        raise TableError(f"{where}: nobody says when it was checked")
    if row["verdict"] != "food" and not row.get("why"):
        raise TableError(f"{where}: it does not say why")
    if row["verdict"] == "limited" and not row.get("limit"):
        raise TableError(f"{where}: it does not say within which limit")
    words = {
        column: frozenset(form for word in row.get(name, ()) for form in _joined(word))
        for column, name in (("beside", "with"), ("unless", "unless"))
    }
    plain = {name: value for name, value in row.items() if name not in ("with", "unless")}
    listed = {name: tuple(row.get(name, ())) for name in ("latin", "names")}
    return Hazard(key=key, **{**plain, **listed, **words})


def _table(name: str) -> dict[str, Any]:
    return read_table("anthocard.facts.law", name)
