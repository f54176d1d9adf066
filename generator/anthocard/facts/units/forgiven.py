"""What was written nearly right, put into the form that the types read: keys and choices in
capitals, in German or in the plural, “8,50”, days as people write them, bottles of the stock,
percent of a mark.

Belongs here: what has one meaning only, whoever reads it. Does not belong here: what has two (it is
asked back, where it is read), units (measures.yaml), and names (house/references.py).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from itertools import zip_longest
from typing import Any, Final, Literal, get_args, get_origin

from pydantic import BaseModel, PlainValidator

from anthocard.diagnostics.tables import read_table
from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.facts.units.fields import Part
from anthocard.facts.units.quantities import parse_ml
from anthocard.facts.units.written_numbers import MeasureError, number

_DAY: Final = re.compile(r"([0-9]{1,2})([./])([0-9]{1,2})\2([0-9]{4})")
_DECIMAL: Final = re.compile(r"[-+]?[0-9]{1,9},(?:[0-9]{1,2}|[0-9]{4,9})")
_PACKS: Final = re.compile(
    r"\s*(?:bottles?|cans?|packs?|flaschen?|dosen?|packung(?:en)?)\s+(?:of\s+)?(?P<name>\S.*)",
    re.IGNORECASE,
)
_PERCENT: Final = re.compile(r"\s*(?:%|per ?cent)\s*(?:of\s+)?(?P<name>\S.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Habits:
    """How a house writes: whether “5/3” is the fifth of March (None: nobody can tell), and the size
    of one pack of a thing by any of its names, as text, or None.
    """

    day_first: bool | None = True
    pack: Callable[[str], str | None] = lambda name: None


PLAIN_HABITS: Final = Habits()


def habits_of(place: object) -> Habits:
    """Of a place: the United States write the month first; Canada writes both."""
    code = str(place).upper()
    return Habits(None if code.startswith("CA") else not code.startswith("US"))


def forgiven(
    document: Document, model: type[BaseModel], within: Location, habits: Habits
) -> Document:
    """The document with the row at `within` as the types of `model` read it; places stay."""
    row = document.data
    for step in within:
        row = row[step]
    walk = _RowWalk(habits)
    fresh = walk.row(model, row, within)
    if fresh == row and not walk.renamed:
        return document
    return _renamed(replace(document, data=_put(document.data, within, fresh)), walk.renamed)


def choice(word: str, choices: tuple[Any, ...]) -> Any:
    """The choice that a word means; the word itself where it means none."""
    known = {_plain(one): one for one in choices if isinstance(one, str)}
    said = _plain(word)
    for form in (said, said.removesuffix("s"), _words().get(said, "")):
        if _plain(form) in known:
            return known[_plain(form)]
    return word


@dataclass(slots=True)
class _RowWalk:
    """One pass over a row; `renamed` holds the new word of each key by where it was written."""

    habits: Habits
    renamed: dict[Location, str] = field(default_factory=dict)

    def row(self, model: type[BaseModel], row: Any, loc: Location) -> Any:
        if not isinstance(row, dict):
            return row
        keys = {_key(info.alias or name): info.alias or name
                for name, info in model.model_fields.items()}  # fmt: skip
        infos = {info.alias or name: info for name, info in model.model_fields.items()}
        fresh: dict[str, Any] = {}
        for written, value in row.items():
            key = written
            if key not in infos and (meant := keys.get(_key(written))) and meant not in row:
                key = self.renamed[(*loc, written)] = meant
            info = infos.get(key)
            if info is not None and not any(isinstance(m, PlainValidator) for m in info.metadata):
                value = self.value(info.annotation, value, (*loc, written))
            fresh[key] = value
        return _marked(fresh) if "made_up_to" in infos else fresh

    def value(self, kind: Any, value: Any, loc: Location) -> Any:
        if isinstance(value, dict | tuple):
            return self._inside(kind, value, loc)
        if not isinstance(value, str):
            return value
        if get_origin(kind) is Literal:
            return choice(value, get_args(kind))
        if isinstance(kind, type):
            if issubclass(kind, Part):
                return self._pack(value)
            if kind is date:
                return _day(value, self.habits.day_first) or value
            if kind in (float, int) and _DECIMAL.fullmatch(value):
                return float(value.replace(",", "."))
            return value
        if any(isinstance(one, PlainValidator) for one in get_args(kind)[1:]):
            return value
        for one in get_args(kind):
            fresh = self.value(one, value, loc) if one is not type(None) else value
            if fresh != value:
                return fresh
        return value

    def _inside(self, kind: Any, value: Any, loc: Location) -> Any:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return self.row(kind, value, loc)
        origin, args = get_origin(kind), get_args(kind)
        if isinstance(value, tuple):
            if origin is tuple and args:
                each = [args[0]] * len(value) if args[-1] is Ellipsis else [*args]
                pairs = zip_longest(each[: len(value)], value)  # one too many is told, not dropped
                return tuple(self.value(k, v, (*loc, n)) for n, (k, v) in enumerate(pairs))
        elif origin is dict:
            fresh = {}
            for written, one in value.items():
                key = choice(written, get_args(args[0])) if get_origin(args[0]) is Literal else None
                if key is not None and key != written and key not in value:
                    self.renamed[(*loc, written)] = key
                fresh[self.renamed.get((*loc, written), written)] = self.value(
                    args[1], one, (*loc, written)
                )
            return fresh
        models = [one for one in _models(kind) if isinstance(value, dict)]
        if models:
            said = {_key(str(key)) for key in value}
            return self.row(max(models, key=lambda m: len(said & _keys(m))), value, loc)
        for one in args:
            if get_origin(one) in (tuple, dict) or get_args(one):
                return self._inside(one, value, loc)
        return value

    def _pack(self, line: str) -> str:
        """“2 bottles of gin” by what a bottle of it is in the stock."""
        try:
            count, end = number(line)
        except MeasureError:
            return line
        found = _PACKS.fullmatch(line, end)
        size = None if found is None else self.habits.pack(found["name"])
        if found is None or size is None:
            return line
        value, end = number(size)
        return f"{value * count:g}{size[end:]} {found['name']}"


def _marked(row: dict[str, Any]) -> dict[str, Any]:
    """“6 % citric acid” of what is made up to a mark: so many grams in a hundred millilitres."""
    try:
        ml = parse_ml(str(row.get("made_up_to", "")))
    except MeasureError:
        return row
    parts = row.get("parts")
    if not isinstance(parts, tuple):
        return row
    return {**row, "parts": tuple(_of_mark(line, ml) for line in parts)}


def _of_mark(line: Any, ml: float) -> Any:
    if not isinstance(line, str):
        return line
    try:
        percent, end = number(line)
    except MeasureError:
        return line
    found = _PERCENT.fullmatch(line, end)
    return line if found is None else f"{percent * ml / 100.0:g} g {found['name']}"


def _day(text: str, day_first: bool | None) -> date | None:
    """A day as people write it; None where it is none, or two."""
    found = _DAY.fullmatch(text.strip())
    if found is None:
        return None
    first, second, year = int(found[1]), int(found[3]), int(found[4])
    if found[2] == ".":
        day_first = True
    if first > 12 or second > 12:
        day_first = first > 12
    if day_first is None:
        return None
    day, month = (first, second) if day_first else (second, first)
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _models(kind: Any) -> list[type[BaseModel]]:
    if isinstance(kind, type):
        return [kind] if issubclass(kind, BaseModel) else []
    return [model for one in get_args(kind) for model in _models(one)]


@cache
def _keys(model: type[BaseModel]) -> frozenset[str]:
    return frozenset(_key(info.alias or name) for name, info in model.model_fields.items())


def _put(data: Any, within: Location, row: Any) -> Any:
    if not within:
        return row
    first, rest = within[0], within[1:]
    if isinstance(data, dict):
        return {key: _put(v, rest, row) if key == first else v for key, v in data.items()}
    return tuple(_put(v, rest, row) if n == first else v for n, v in enumerate(data))


def _renamed(document: Document, renamed: Mapping[Location, str]) -> Document:
    if not renamed:
        return document

    def moved(loc: Location) -> Location:
        return tuple(renamed.get(loc[: n + 1], step) for n, step in enumerate(loc))

    return replace(
        document,
        values={moved(loc): spot for loc, spot in document.values.items()},
        keys={moved(loc): spot for loc, spot in document.keys.items()},
        faulty=frozenset(map(moved, document.faulty)),
    )


def _key(word: str) -> str:
    return "_".join(word.casefold().replace("-", " ").replace("_", " ").split())


@cache
def _plain(word: str) -> str:
    return " ".join(word.casefold().replace("-", " ").split())


@cache
def _words() -> dict[str, str]:
    rows = read_table("anthocard.facts.units", "words.yaml")["words"]
    return {_plain(word): key for key, row in rows.items() for word in row["also"]}
