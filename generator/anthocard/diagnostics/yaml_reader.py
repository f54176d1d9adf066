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
from typing import Any, Final, TypeAlias

import yaml

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.plain_scalars import WORDS, doubtful, plain_value

Location: TypeAlias = tuple[int | str, ...]

DEEPEST: Final = 20  # chosen: no recipe nests further than five
MOST_NODES: Final = 5000  # chosen: a house of 200 stock lines of 20 keys fits
LARGEST: Final = 1_000_000  # characters, chosen

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_LINE_ENDS: Final = re.compile("\r\n|[\r\n\x85\u2028\u2029]")  # what YAML 1.1 counts as one


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
    lines: tuple[str, ...]
    first_line: int
    values: dict[Location, Spot]
    keys: dict[Location, Spot]
    faulty: frozenset[Location]

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
        if spot.line >= len(self.lines):
            spot = Spot(len(self.lines) - 1, len(self.lines[-1]), 1)
        text = self.lines[spot.line]
        length = max(1, min(spot.length, len(text.rstrip()) - spot.column))
        return Place(self.path, self.first_line + spot.line, spot.column + 1, length, text)


def read_yaml(text: str, path: str, log: MistakeLog, first_line: int = 1) -> Document:
    """Read one YAML document; `first_line` is the line of the file that `text` starts on.

    Every mistake found is put in `log`; nothing is raised.
    """
    lines = tuple(_LINE_ENDS.split(text))
    empty = Document(None, path, lines, first_line, {}, {}, frozenset())
    if len(text) > LARGEST:
        log.add("too-big", "there is too much here to be a recipe", empty.at(), "split the file")
        return empty
    reading = _Reading(empty, log)
    try:
        data = reading.document(yaml.parse(text, Loader=_LOADER))
    except _TooMuchError as trouble:
        log.add("too-big", str(trouble), empty.place(trouble.spot), "write it flatter, or split it")
        return empty
    except yaml.MarkedYAMLError as trouble:
        _syntax(trouble, empty, log)
        return empty
    except yaml.reader.ReaderError as trouble:
        _odd_character(trouble, text, empty, log)
        return empty
    return Document(
        data, path, lines, first_line, reading.values, reading.keys, frozenset(reading.faulty)
    )


class _TooMuchError(Exception):
    def __init__(self, message: str, spot: Spot) -> None:
        super().__init__(message)
        self.spot = spot


@dataclass(slots=True)
class _Reading:
    """One pass over the parser's events, building values and places as it goes."""

    page: Document
    log: MistakeLog
    values: dict[Location, Spot] = field(default_factory=dict)
    keys: dict[Location, Spot] = field(default_factory=dict)
    faulty: set[Location] = field(default_factory=set)
    nodes: int = 0

    def document(self, events: Iterator[Any]) -> Any:
        data = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._fault(
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
            self._fault(
                loc, spot, "alias", "“*” at the start points at another place in the file",
                "write the value out; put quotes around it if the star belongs to it",
            )  # fmt: skip
            return None
        if event.anchor is not None:
            self._fault(
                loc, spot, "alias", "“&” at the start gives the value a handle",
                "take it away; put quotes around the value if the sign belongs to it",
            )  # fmt: skip
        if event.tag is not None:
            self._fault(
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
            items.append(self.node(event, events, (*loc, len(items))))
        return tuple(items)

    def _mapping(self, events: Iterator[Any], loc: Location) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            spot = _spot(event)
            if not isinstance(event, yaml.ScalarEvent) or event.value in ("", "<<"):
                self._fault(
                    loc, spot, "bad-key", "a key must be a word", "write the key as “word: value”"
                )
                if not isinstance(event, yaml.ScalarEvent):
                    self.node(event, events, (*loc, "?"))
                self.node(next(events), events, (*loc, "?"))
                continue
            key = event.value
            here = (*loc, key)
            if key in found:
                first = self.page.first_line + self.keys[here].line
                self._fault(
                    (*loc, key, "?"), spot, "duplicate-key",
                    f"“{key}” is written twice (first on line {first})",
                    "take this line away, or the first",
                )  # fmt: skip
                self.node(next(events), events, (*loc, key, "?"))
                continue
            self.keys[here] = spot
            if not event.style and key.lower() in WORDS:
                self._fault(here, spot, *doubtful(key))
            found[key] = self.node(next(events), events, here)
        return found

    def _scalar(self, event: Any, loc: Location, spot: Spot) -> Any:
        text: str = event.value
        if event.style:
            return text
        value, trouble = plain_value(text)
        if not text:
            spot = self.keys.get(loc, spot)
        if trouble is not None:
            self._fault(loc, spot, *trouble)
        return value

    def _fault(self, loc: Location, spot: Spot, kind: str, message: str, mend: str) -> None:
        self.faulty.add(loc)
        self.log.add(kind, message, self.page.place(spot), mend)


def _spot(event: Any) -> Spot:
    start, end = event.start_mark, event.end_mark
    within = isinstance(event, yaml.ScalarEvent | yaml.AliasEvent) and end.line == start.line
    return Spot(start.line, start.column, end.column - start.column if within else LARGEST)


#: What libyaml says (part of it), what that means to an author, and how to mend it.
_SYNTAX: Final = (
    (
        "mapping values are not allowed",
        "a colon stands where no key can be",
        "put quotes around a value that holds a colon, and line keys up with each other",
    ),
    (
        "cannot start any token",
        "a value cannot start with this sign",
        "put quotes around the whole value",
    ),
    ("could not find expected ':'", "this line has no colon", "write it as “key: value”"),
    (
        "did not find expected key",
        "this line does not line up with those above it, or text follows a closing quote",
        "indent every key of a group alike; put quotes around the whole value",
    ),
    (
        "did not find expected '-'",
        "this line does not line up with the list above it",
        "start every entry with “- ” in the same column",
    ),
    ("did not find expected ',' or", "a bracket is not closed", "close it, or quote the value"),
    ("quoted scalar", "a quotation mark is not closed", "close it at the end of the value"),
    ("unexpected end of stream", "a quotation mark is not closed", "close it"),
    ("escape", "a backslash cannot be read", "use single quotes around the value"),
    ("tag", "“!” at the start gives the value a type", "put quotes around the whole value"),
    (
        "alphabetic or numeric character",
        "a value cannot start with “*” or “&”",
        "put quotes around the whole value",
    ),
    (
        "block sequence entries",
        "a list cannot start on this line",
        "start it on a line of its own, with “- ”",
    ),
)


def _syntax(trouble: yaml.MarkedYAMLError, page: Document, log: MistakeLog) -> None:
    started = ("quoted scalar", "parsing a flow", "simple key")
    opened = any(word in str(trouble.context) for word in started)
    mark = trouble.context_mark if opened else trouble.problem_mark or trouble.context_mark
    spot = Spot(mark.line, mark.column, 1) if mark else Spot(0, 0, 1)
    if spot.line >= len(page.lines) or not page.lines[spot.line :][0].strip():
        written = [i for i, text in enumerate(page.lines[: spot.line + 1]) if text.strip()]
        spot = Spot(written[-1] if written else 0, 0, LARGEST)
    text = page.lines[spot.line]
    problem = str(trouble.problem or "")
    indent = text[: len(text) - len(text.lstrip())]
    if "\t" in indent:
        spot = Spot(spot.line, indent.index("\t"), 1)
        message, mend = "a tab is used to indent", "use spaces"
    else:
        known = (row for row in _SYNTAX if row[0] in problem)
        fallback = (problem, f"this cannot be read: {problem}", "put quotes around the value")
        _, message, mend = next(known, fallback)
    log.add("yaml-syntax", message, page.place(spot), mend)


def _odd_character(
    trouble: yaml.reader.ReaderError, text: str, page: Document, log: MistakeLog
) -> None:
    before = text.encode()[: trouble.position].decode(errors="ignore")
    head = _LINE_ENDS.split(before)
    log.add(
        "odd-character",
        "a character that no editor shows stands here",
        page.place(Spot(len(head) - 1, len(head[-1]), 1)),
        "delete it and type the line again",
    )
