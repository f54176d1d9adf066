"""YAML read into plain values, with the line and column of every key and value.

Belongs here: YAML itself, the parts of it that are refused, and places. Does not belong here: what
the keys mean, nor how front-matter is cut from a file (recipe/source.py).

Refused, because a file of drinks needs none of it and each has bitten somebody: anchors and
aliases (a few lines can unfold into gigabytes), tags, several documents, the same key twice (YAML
keeps the last in silence), and plain words that YAML 1.1 reads as something else (`no` as false,
`12:30` as 750, `011` as 9).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from sys import intern
from typing import Any, Final, TypeAlias

import yaml

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.plain_scalars import WORDS, doubtful, plain_value
from anthocard.diagnostics.yaml_trouble import LINE_ENDS, Trouble, odd_character, syntax

Location: TypeAlias = tuple[int | str, ...]

DEEPEST: Final = 20  # chosen: no recipe nests further than five
MOST_NODES: Final = 5000  # chosen: a house of 200 stock lines of 20 keys fits
LARGEST: Final = 1_000_000  # characters, chosen

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_COUNTED: Final = re.compile(r"[0-9]+\s*[^\W\d]")  # in a list of figures a comma parts


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something starts, lines and columns from 0, and how many characters it takes."""

    line: int
    column: int
    length: int


@dataclass(frozen=True, slots=True)
class Document:
    """Plain values and their places.

    `data` holds dict, tuple, str, int, float, bool and date only; it is None when the text could
    not be read at all. `faulty` are the locations already complained of.
    """

    data: Any
    path: str
    text: str
    first_line: int
    values: dict[Location, Spot]
    keys: dict[Location, Spot]
    faulty: frozenset[Location]

    @property
    def lines(self) -> tuple[str, ...]:
        """The text line by line: parted when asked, as of thousands of files few ever are."""
        return _lines(self.text)

    def at(self, loc: Location = (), *, key: bool = False) -> Place:
        """The place of a value (or of its key); of the nearest thing around it if there is none."""
        spots = self.keys if key else self.values
        spot = spots.get(loc)
        while spot is None and loc:
            loc = loc[:-1]
            spot = self.values.get(loc)
        return self.place(spot or Spot(0, 0, 1))

    def place(self, spot: Spot) -> Place:
        """The spot in the author's file; its end for what YAML sees behind it, as after a “?”."""
        lines = self.lines
        if spot.line >= len(lines):
            spot = Spot(len(lines) - 1, len(lines[-1]), 1)
        text = lines[spot.line]
        length = max(1, min(spot.length, len(text.rstrip()) - spot.column))
        return Place(self.path, self.first_line + spot.line, spot.column + 1, length, text)


def read_yaml(text: str, path: str, log: MistakeLog, first_line: int = 1) -> Document:
    """Read one YAML document; `first_line` is the line of the file that `text` starts on.

    Every mistake found is put in `log`; nothing is raised.
    """
    empty = Document(None, path, text, first_line, {}, {}, frozenset())
    if len(text) > LARGEST:
        log.add("too-big", "there is too much here to be a recipe", empty.at(), "split the file")
        return empty
    reading = _Reading(empty, log)
    try:
        data = reading.document(yaml.parse(text, Loader=_LOADER))
    except _TooMuchError as trouble:
        reading.tell()
        log.add("too-big", str(trouble), empty.place(trouble.spot), "write it flatter, or split it")
        return empty
    except yaml.MarkedYAMLError as trouble:
        found = syntax(trouble, empty.lines)
        reading.tell((found.line, found.column))  # what stands behind it is of the same cause
        return _unread(found, empty, log)
    except yaml.reader.ReaderError as trouble:
        reading.tell()
        return _unread(odd_character(trouble, text), empty, log)
    reading.tell()
    return Document(
        data, path, text, first_line, reading.values, reading.keys, frozenset(reading.faulty)
    )


def _unread(trouble: Trouble, page: Document, log: MistakeLog) -> Document:
    spot = Spot(trouble.line, trouble.column, trouble.length)
    log.add(trouble.kind, trouble.message, page.place(spot), trouble.mend)
    return page


class _TooMuchError(Exception):
    def __init__(self, message: str, spot: Spot) -> None:
        super().__init__(message)
        self.spot = spot


@dataclass(slots=True)
class _Reading:
    """One pass over the parser's events, building values and places as it goes; `told` are the
    mistakes, each with its kind, what is wrong, and how to mend it.
    """

    page: Document
    log: MistakeLog
    values: dict[Location, Spot] = field(default_factory=dict)
    keys: dict[Location, Spot] = field(default_factory=dict)
    faulty: set[Location] = field(default_factory=set)
    mistakes: list[tuple[Spot, str, str, str]] = field(default_factory=list)
    nodes: int = 0

    def tell(self, until: tuple[int, int] = (LARGEST, 0)) -> None:
        """Put the mistakes in the log that stand before a line and column."""
        for spot, kind, message, mend in self.mistakes:
            if (spot.line, spot.column) < until:
                self.log.add(kind, message, self.page.place(spot), mend)

    def document(self, events: Iterator[Any]) -> Any:
        data = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._note(
                        (), _spot(event), "many-documents", "a second document starts here",
                        "keep one: take the line “---” away",
                    )  # fmt: skip
            elif isinstance(event, yaml.NodeEvent):
                value = self.node(event, events, ())
                data = value if documents == 1 else data
        return data

    def node(self, event: Any, events: Iterator[Any], loc: Location) -> Any:
        spot = _spot(event)
        self.nodes += 1
        if self.nodes > MOST_NODES or len(loc) > DEEPEST:
            what = "too many values" if self.nodes > MOST_NODES else "too many levels"
            raise _TooMuchError(f"{what} for one file", spot)
        self.values.setdefault(loc, spot)
        if isinstance(event, yaml.AliasEvent):
            self._note(
                loc, spot, "alias", "“*” at the start points at another place in the file",
                "write the value out; put quotes around it if the star belongs to it",
            )  # fmt: skip
            return None
        if event.anchor is not None:
            self._note(
                loc, spot, "alias", "“&” at the start gives the value a handle",
                "take it away; put quotes around the value if the sign belongs to it",
            )  # fmt: skip
        if event.tag is not None:
            self._note(
                loc, spot, "tag", "“!” at the start gives the value a type",
                "take it away; put quotes around the value if the sign belongs to it",
            )  # fmt: skip
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, loc, spot)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(events, loc)
        return self._mapping(events, loc)

    def _sequence(self, events: Iterator[Any], loc: Location) -> tuple[Any, ...]:
        items: list[Any] = []
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            last = (*loc, len(items) - 1)
            if items and self._goes_on(items[-1], last, event) and _COUNTED.match(event.value):
                items[-1] = self._joined(items[-1], last, event)
                continue
            items.append(self.node(event, events, _shared((*loc, len(items)))))
        return tuple(items)

    def _mapping(self, events: Iterator[Any], loc: Location) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            spot = _spot(event)
            if not isinstance(event, yaml.ScalarEvent) or event.value in ("", "<<"):
                self._note(
                    loc, spot, "bad-key", "a key must be a word", "write the key as “word: value”"
                )
                if not isinstance(event, yaml.ScalarEvent):
                    self.node(event, events, (*loc, "?"))
                self.node(next(events), events, (*loc, "?"))
                continue
            key, value = intern(event.value), next(events)
            if found and _is_nothing(value):
                name, before = next(reversed(found.items()))
                if self._goes_on(before, (*loc, name), event):
                    found[name] = self._joined(before, (*loc, name), event)
                    continue
            here = _shared((*loc, key))
            if key in found:
                first = self.page.first_line + self.keys[here].line
                self._note(
                    (*loc, key, "?"), spot, "duplicate-key",
                    f"“{key}” is written twice (first on line {first})",
                    "take this line away, or the first",
                )  # fmt: skip
                self.node(value, events, (*loc, key, "?"))
                continue
            self.keys[here] = spot
            if not event.style and key.lower() in WORDS:
                self._note(here, spot, *doubtful(key))
            found[key] = self.node(value, events, here)
        return found

    def _goes_on(self, before: Any, loc: Location, event: Any) -> bool:
        """Whether a word stands right behind the comma of a whole number: within braces YAML parts
        “price: 8,50” there, which leaves a key 50 with nothing behind it.
        """
        spot = self.values.get(loc)
        if type(before) is not int or spot is None or not isinstance(event, yaml.ScalarEvent):
            return False
        here = _spot(event)
        beside = (here.line, here.column) == (spot.line, spot.column + spot.length + 1)
        return beside and not event.style and event.value[:1].isdigit()

    def _joined(self, before: int, loc: Location, event: Any) -> str:
        """The number as its author wrote it, decimal comma and all."""
        spot = self.values[loc]
        self.values[loc] = Spot(spot.line, spot.column, spot.length + 1 + _spot(event).length)
        return f"{before},{event.value}"

    def _scalar(self, event: Any, loc: Location, spot: Spot) -> Any:
        text: str = event.value
        if event.style:
            return text
        value, trouble = plain_value(text)
        if not text:
            spot = self.keys.get(loc, spot)
        if trouble is not None:
            self._note(loc, spot, *trouble)
        return value

    def _note(self, loc: Location, spot: Spot, kind: str, message: str, mend: str) -> None:
        self.faulty.add(loc)
        self.mistakes.append((spot, kind, message, mend))


@lru_cache(maxsize=8)
def _lines(text: str) -> tuple[str, ...]:
    return tuple(LINE_ENDS.split(text))


@lru_cache(maxsize=4096)
def _shared(loc: Location) -> Location:
    """The same way for all files that have it: thousands of recipes have the same keys."""
    return loc


def _is_nothing(event: Any) -> bool:
    return isinstance(event, yaml.ScalarEvent) and not event.value and not event.style


def _spot(event: Any) -> Spot:
    start, end = event.start_mark, event.end_mark
    within = isinstance(event, yaml.ScalarEvent | yaml.AliasEvent) and end.line == start.line
    return _place(start.line, start.column, end.column - start.column if within else LARGEST)


@lru_cache(maxsize=16384)
def _place(line: int, column: int, length: int) -> Spot:
    """The same spot for all files that have something there."""
    return Spot(line, column, length)
