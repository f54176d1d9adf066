"""What can be read of house.yaml, stock.yaml and lots.yaml although rows of them cannot.

Belongs here: leaving such rows out, and what each of them was about, so that what rests on it can
be left out too. Does not belong here: the mistakes (diagnostics, messages.py), what falls
(sound.py).

A row is an entry of a list or a line of a mapping. One that is no YAML by itself (a brace or a
quote left open) is found by reading each by itself; all else by where a mistake stands.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import yaml

from anthocard.diagnostics.diagnostic import nearest
from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.house.settings import House

#: Sections of house.yaml whose rows each concern one thing alone.
ROWS: Final = ("calibrations", "glasses", "measures", "methods", "ices")
#: Keys of house.yaml that no figure rests on: words, addresses, languages beside the first, plans.
APART: Final = frozenset(
    {
        "voice", "web", "staff_web", "press", "tables", "languages", "translations", "guest_words",
        "par", "week",
    }
)  # fmt: skip

_HEAD: Final = re.compile(r"([^\s:#][^:#]*?)\s*:\s*(?:#.*)?")
_KEY: Final = re.compile(r"""\s*(?:-\s+)?["']?([^:"'\n]+?)["']?\s*:""")
_OF: Final = re.compile(r"""\bof\s*:\s*["']?([^,}"'\n#]*[^,}"'\n#\s])""")
_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class LostRow:
    """A row that cannot be read: its section (“lots”, or “” at the margin of a file), and what it
    is about, None where nobody can tell.
    """

    section: str
    about: str | None


def without_broken_rows(
    text: str, sections: Container[str] = ()
) -> tuple[str, tuple[LostRow, ...]]:
    """A YAML text with every row blank that is no YAML by itself, line for line, and these rows.

    Of `sections` it is their own rows that are left out.
    """
    lines = text.split("\n")
    lost: list[LostRow] = []
    for start, end in _rows(lines, 0, len(lines)):
        if _is_yaml(lines[start:end]):
            continue
        head = _HEAD.fullmatch(lines[start])
        section = head[1] if head is not None and head[1] in sections else ""
        whole = [(start, end)]
        inside = _rows(lines, start + 1, end) if section else whole
        broken = [row for row in inside if not _is_yaml(lines[slice(*row)])]
        if not broken:
            section, inside, broken = "", whole, whole
        lost += [LostRow(section, _about(section, lines[slice(*row)])) for row in broken]
        for row in whole if broken == inside else broken:  # a key with nothing left below it goes
            lines[slice(*row)] = [""] * (row[1] - row[0])
    return "\n".join(lines), tuple(lost)


def readable(
    document: Document, wrong: Iterable[Location]
) -> tuple[Document, tuple[LostRow, ...]] | None:
    """house.yaml without the rows in which something is `wrong`; None where it is in what all
    figures rest on.
    """
    rows = {_row_of(loc) for loc in wrong}
    if None in rows:
        return None
    found = sorted((row for row in rows if row is not None), key=repr)
    lost = [LostRow(str(row[0]), _named(document.data, row)) for row in found if len(row) > 1]
    return _without(document, found), tuple(lost)


def lost_lots(document: Document, found: Container[int]) -> tuple[LostRow, ...]:
    """The entries of lots.yaml that are not among those that were `found` whole."""
    rows = enumerate(document.data if isinstance(document.data, tuple) else ())
    faulty = {loc[0] for loc in document.faulty if loc}
    gone = [row for number, row in rows if number not in found or number in faulty]
    return tuple(LostRow("lots", _of(row)) for row in gone)


def _row_of(loc: Location) -> Location | None:
    """The row of house.yaml that falls with a mistake at a location."""
    if not loc or loc[0] == "?":
        return None
    key = str(loc[0])
    if key in ROWS:
        return loc[:2] if loc[1:2] not in ((), ("?",)) else None
    known = nearest(key, House.model_fields)
    return loc[:1] if key in APART or known in {None, *APART} else None


def _named(data: Any, row: Location) -> str | None:
    """What a row of house.yaml is about."""
    return _of(data[row[0]][row[1]]) if row[0] == "calibrations" else str(row[1])


def _of(row: Any) -> str | None:
    of = row.get("of") if isinstance(row, dict) else None
    return of if isinstance(of, str) else None


def _about(section: str, lines: Sequence[str]) -> str | None:
    text = "\n".join(lines)
    listed = section == "calibrations" or text.lstrip().startswith("-")
    found = (_OF.search if listed else _KEY.match)(text)
    return None if found is None else found[1]


def _rows(lines: Sequence[str], start: int, end: int) -> list[tuple[int, int]]:
    """From where to where each row goes: those at the margin of the first."""
    said = [n for n in range(start, end) if lines[n].strip() and lines[n].lstrip()[0] != "#"]
    if not said:
        return []
    margin = min(_indent(lines[n]) for n in said)
    heads: list[int] = []
    for n in said:
        # A list may stand at the margin of its own key.
        listed = heads and lines[n].lstrip().startswith("-") and _HEAD.fullmatch(lines[heads[-1]])
        if _indent(lines[n]) == margin and not listed:
            heads.append(n)
    return [*zip(heads, [*heads[1:], end], strict=True)]


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def _is_yaml(lines: Sequence[str]) -> bool:
    try:
        for _ in yaml.parse("\n".join(lines), Loader=_LOADER):
            pass
    except yaml.YAMLError:
        return False
    return True


def _without(document: Document, rows: Sequence[Location]) -> Document:
    """The document without some rows; those behind one in a list move up, and keep their places."""

    def moved(loc: Location) -> Location | None:
        if any(loc[: len(row)] == row for row in rows):
            return None
        if len(loc) > 1 and isinstance(loc[1], int):
            before = sum(1 for row in rows if row[:1] == loc[:1] and _before(row, loc[1]))
            return (loc[0], loc[1] - before, *loc[2:])
        return loc

    def remaining(places: Mapping[Location, Any]) -> dict[Location, Any]:
        return {new: spot for loc, spot in places.items() if (new := moved(loc)) is not None}

    data: dict[str, Any] = {}
    for key, value in document.data.items():
        gone = {row[1] for row in rows if row[:1] == (key,) and len(row) > 1}
        if (key,) in rows:
            continue
        if isinstance(value, dict):
            value = {name: one for name, one in value.items() if name not in gone}
        elif isinstance(value, tuple):
            value = tuple(one for n, one in enumerate(value) if n not in gone)
        data[key] = value
    return replace(
        document,
        data=data,
        values=remaining(document.values),
        keys=remaining(document.keys),
        faulty=frozenset(new for loc in document.faulty if (new := moved(loc)) is not None),
    )


def _before(row: Location, number: int) -> bool:
    return len(row) > 1 and isinstance(row[1], int) and row[1] < number
