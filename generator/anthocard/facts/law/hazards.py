"""Poisons and limits by name: which row of the hazard tables a few words of an author speak of.

Belongs here: the rows, and finding whole names of plants and goods in words, by Latin species,
and longest name. Does not belong here: spelling (spelling.py), what is told to whom
(engine/safety/hazard_check.py), nor figures of a drink.

The tables are no licence: what is not in them may still harm. Nothing here is medical advice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from typing import Any, Final, Literal, get_args

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law.spelling import (
    LONGEST,
    SHORTEST_SLIP,
    Word,
    around,
    forms,
    heard,
    joined,
    one_slip,
    plain,
    split,
)

Verdict = Literal["forbidden", "no-food", "limited", "paper", "medicine", "kin", "food"]

_BEGUN: Final = 6  # letters by which a long name is told; chosen
_TABLES: Final = ("hazards_plants.yaml", "hazards_limits.yaml", "hazards_foods.yaml")


@dataclass(frozen=True, slots=True)
class Hazard:
    """One row: a kin of plants or goods, under every name we know, and what to make of it.

    `latin` are whole genera or single species. `beside` and `unless` are words of which one must,
    or none may, stand anywhere with the name. `limit` says how much on what base; `rule` is the key
    of a caution in rules.yaml that speaks of the same thing; `called` what guests are told it is.
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
    called: str = ""
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
    words = split(text)
    found = sorted(_candidates(words, text), key=_best)
    beside = around(words) if found else frozenset()
    taken: set[int] = set()
    hits: list[tuple[int, Hit]] = []
    for first, last, hit in found:
        span = range(first, last)
        if taken.isdisjoint(span):
            row = hit.hazard
            if row.beside and row.beside.isdisjoint(beside):
                continue
            if not row.unless.isdisjoint(beside):
                continue
            taken.update(span)
            hits.append((first, hit))
    return tuple(hit for _, hit in sorted(hits, key=lambda pair: pair[0]))


def _candidates(words: list[Word], text: str) -> Iterator[tuple[int, int, Hit]]:
    index = _index()
    for first in range(len(words)):
        one = ""
        for last in range(first + 1, min(first + LONGEST, len(words)) + 1):
            if last > first + 1 and words[last - 1].breaks:
                break
            one += words[last - 1].text
            written = text[words[first].start : words[last - 1].end]
            names, slip = _names_of(one, last - first <= 2 or one[:_BEGUN] in _begun())
            for name in names:
                for row, latin in index[name]:
                    yield first, last, Hit(row, written, latin, slip=slip)


@lru_cache(1 << 15)
def _names_of(word: str, slips: bool) -> tuple[tuple[str, ...], bool]:
    """The name of the tables that a folded word is, or those it is a slip of; whether a slip."""
    found = next((form for form in forms(word) if form in _index()), None)
    return ((found,), False) if found is not None else (_slipped(word) if slips else (), True)


def _slipped(word: str) -> tuple[str, ...]:
    """The names that a word is one slip away from, or that sound like it."""
    near = (len(word) - 1, len(word), len(word) + 1)
    known = (name for length in near for name in _long().get((word[0], length), ()))
    slipped = {name for name in known if one_slip(name, word)}
    return tuple(sorted(slipped | set(_sounds().get(heard(word), ()))))


def _best(candidate: tuple[int, int, Hit]) -> tuple[bool, int, bool]:
    """Sort key: names before slips, longer ones first, and of one length those bound to a word.

    A slip in three words and more is no accident: it goes before a name that is one of them.
    """
    first, last, hit = candidate
    bound = bool(hit.hazard.beside or hit.hazard.unless)
    return hit.slip and last - first < 3, -len(hit.words), not bound


@cache
def _index() -> Mapping[str, tuple[tuple[Hazard, bool], ...]]:
    """Rows by every folded name; a species also by the initial of its genus."""
    found: dict[str, list[tuple[Hazard, bool]]] = {}
    for row in hazards():
        common = {form for name in row.names for form in joined(name)}
        latin = {form for name in row.latin for form in joined(name)}
        latin |= {plain(name[0] + name.split()[-1]) for name in row.latin if " " in name}
        for form in common | latin:
            found.setdefault(form, []).append((row, form in latin))
    return {form: tuple(rows) for form, rows in found.items()}


@cache
def _long() -> Mapping[tuple[str, int], tuple[str, ...]]:
    """Names long enough for a slip by their first letter, which nobody misses, and their length."""
    found: dict[tuple[str, int], list[str]] = {}
    for name in _index():
        if len(name) >= SHORTEST_SLIP:
            found.setdefault((name[0], len(name)), []).append(name)
    return {place: tuple(names) for place, names in found.items()}


@cache
def _begun() -> frozenset[str]:
    """How names of three words and more begin: a slip is looked for in those alone."""
    long = (name for row in hazards() for name in row.names if len(name.split()) > 2)
    return frozenset(form[:_BEGUN] for name in long for form in joined(name))


@cache
def _sounds() -> Mapping[str, tuple[str, ...]]:
    """Names by their sound, but for those too short to tell."""
    found: dict[str, list[str]] = {}
    for name in _index():
        found.setdefault(heard(name), []).append(name)
    return {sound: tuple(names) for sound, names in found.items() if sound}


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
        column: frozenset(form for word in row.get(name, ()) for form in joined(word))
        for column, name in (("beside", "with"), ("unless", "unless"))
    }
    columns = {name: value for name, value in row.items() if name not in ("with", "unless")}
    listed = {name: tuple(row.get(name, ())) for name in ("latin", "names")}
    return Hazard(key=key, **{**columns, **listed, **words})


def _table(name: str) -> dict[str, Any]:
    return read_table("anthocard.facts.law", name)
