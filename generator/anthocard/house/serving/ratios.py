"""A ratio is a short way to write so many lines: “2:1 gin, dry vermouth” is two pours in parts.

Belongs here: writing them out in a document, each at the author's own place. Does not belong here:
the grammar of a ratio (facts/units/shares.py).
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TypeVar

from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.facts.units.shares import ratio_lines
from anthocard.facts.units.written_numbers import MeasureError

T = TypeVar("T")


def spread_ratios(document: Document) -> Document:
    """The document with every ratio among its pours written out as lines of parts.

    A ratio that cannot be read stays as it is, for the type of a pour to say so.
    """
    data = document.data
    lines = data.get("pours") if isinstance(data, dict) else None
    if not isinstance(lines, tuple):
        return document
    spread = [_spread(line) for line in lines]
    if all(len(one) == 1 for one in spread):
        return document
    came = [n for n, one in enumerate(spread) for _ in one]
    return replace(
        document,
        data={**data, "pours": tuple(line for one in spread for line in one)},
        values=_moved(document.values, came),
        keys=_moved(document.keys, came),
        faulty=frozenset(_moved(dict.fromkeys(document.faulty), came)),
    )


def _spread(line: object) -> tuple[object, ...]:
    if isinstance(line, str):
        with suppress(MeasureError):
            return ratio_lines(line) or (line,)
    return (line,)


def _moved(spots: dict[Location, T], came: list[int]) -> dict[Location, T]:
    """The places again; `came` has for each line now the one that it came from."""
    found = {loc: spot for loc, spot in spots.items() if loc[:1] != ("pours",) or len(loc) < 2}
    for now, was in enumerate(came):
        for loc, spot in spots.items():
            if loc[:2] == ("pours", was):
                found["pours", now, *loc[2:]] = spot
    return found
