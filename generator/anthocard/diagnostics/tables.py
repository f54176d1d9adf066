"""Read the project's own fact tables and refuse a row that does not say where it comes from.

Belongs here: finding a YAML table inside the package and the rule "no row without a source".
Does not belong here: what the rows mean.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any, Final

import yaml

from anthocard.diagnostics.plain_scalars import plain_value

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class TableError(Exception):
    """A table shipped with the package is broken: a fault of ours, not of an author."""


@cache
def read_table(package: str, name: str) -> dict[str, Any]:
    """Load `name` (a YAML file beside a module of `package`), sections of rows by key.

    Every row (a mapping inside a section) needs a non-empty `source` and a `how` saying how the
    value was got: read, second-hand (as another quotes it), computed, memory, fitted, chosen or
    practice. Sections whose key starts
    with `_` are free text and not checked. Raises TableError.
    """
    text = (files(package) / name).read_text(encoding="utf-8")
    table = plain_values(name, text)
    if not isinstance(table, dict):
        raise TableError(f"{name}: expected sections of rows")
    for section, rows in table.items():
        if section.startswith("_"):
            continue
        if not isinstance(rows, dict):
            raise TableError(f"{name}: section {section} must map keys to rows")
        for key, row in rows.items():
            _check_row(f"{name}: {section}.{key}", row)
    return table


HOW = frozenset({"read", "second-hand", "computed", "memory", "fitted", "chosen", "practice"})


def _check_row(where: str, row: object) -> None:
    if not isinstance(row, dict):
        raise TableError(f"{where}: a row must be a mapping with its source")
    if not str(row.get("source") or "").strip():
        raise TableError(f"{where}: no source")
    if row.get("how") not in HOW:
        raise TableError(f"{where}: how must be one of {sorted(HOW)}")


def plain_values(name: str, text: str) -> Any:
    """A table as plain values, straight from the parser's events: half of what PyYAML takes to make
    nodes of them first. As for authors, no key stands twice and no word has two readings.
    """
    following: Callable[[], Any] = _LOADER(text).get_event
    named: dict[str, Any] = {}

    def value(event: Any) -> Any:
        kind, found = type(event), None
        if kind is yaml.ScalarEvent:
            found = event.value if event.style else _scalar(name, event.value)
        elif kind is yaml.AliasEvent:
            return named[event.anchor]
        elif kind is yaml.MappingStartEvent:
            found = mapping()
        else:
            found = []
            while type(item := following()) is not yaml.SequenceEndEvent:
                found.append(value(item))
        if event.anchor is not None:
            named[event.anchor] = found
        return found

    def mapping() -> dict[Any, Any]:
        merged: dict[Any, Any] = {}
        own: dict[Any, Any] = {}
        while type(event := following()) is not yaml.MappingEndEvent:
            key = value(event)
            if key in own:
                raise TableError(f"{name}: line {event.start_mark.line + 1}: “{key}” stands twice")
            if key == "<<":
                merged.update(value(following()))
            else:
                own[key] = value(following())
        return merged | own

    while not isinstance(first := following(), yaml.NodeEvent):
        pass
    return value(first)


@cache
def _scalar(name: str, text: str) -> Any:
    found, trouble = plain_value(text)
    if trouble is None or found is None:
        return found
    number = yaml.load(text, Loader=_LOADER)  # with an exponent or many digits: rarer than those
    if isinstance(number, bool):
        raise TableError(f"{name}: {trouble[1]}")
    return number
