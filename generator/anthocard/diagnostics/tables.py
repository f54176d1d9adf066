"""Read the project's own fact tables and refuse a row that does not say where it comes from.

Belongs here: finding a YAML table inside the package and the rule "no row without a source".
Does not belong here: what the rows mean.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import yaml


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
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    table = yaml.load(text, Loader=loader)
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
