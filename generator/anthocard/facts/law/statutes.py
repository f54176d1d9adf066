"""Law by place with a clock: what holds where, since when, how we know, and when we last looked.

Belongs here: the rows, which of them hold in a place on a day, which want looking at again, and
whom to ask. Does not belong here: cautions that a recipe's figures call for (rules.py).

Nothing here is legal advice. Law changes and differs from town to town; every row defers to it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.law import places
from anthocard.facts.law.places import nearest


@dataclass(frozen=True, slots=True)
class Statute:
    """One rule of one or more places, in our own words.

    `starts` and `until` are its first and last day, None where that is unknown or open. `checked`
    is the day somebody last looked, `how` whether that was at the text itself.
    """

    key: str
    topic: str
    places: frozenset[str]
    text: str
    source: str
    how: str
    checked: date
    starts: date | None = None
    until: date | None = None

    def holds(self, where: frozenset[str], day: date) -> bool:
        """Whether it is the law on a day in a place, given by the codes of all it lies in."""
        begun = self.starts is None or self.starts <= day
        return not self.places.isdisjoint(where) and begun and (self.until or day) >= day


@cache
def statutes() -> tuple[Statute, ...]:
    """Every row in the order of the table. Raises TableError for one that is not."""
    return tuple(
        _statute(topic, key, row)
        for topic, rows in _table().items()
        if not topic.startswith("_")
        for key, row in rows.items()
    )


def topics() -> frozenset[str]:
    """What the rows are about: infusing, allergens, distilling …"""
    return frozenset(one.topic for one in statutes())


def law_of(where: frozenset[str], day: date, topic: str = "") -> tuple[Statute, ...]:
    """What holds on a day in a place, of one topic or all."""
    return tuple(
        one for one in statutes() if one.holds(where, day) and (not topic or one.topic == topic)
    )


def unchecked(rows: Iterable[Statute], day: date) -> tuple[Statute, ...]:
    """Those at which nobody has looked for a year before a day."""
    limit = int(_table()["_clock_days"])
    return tuple(one for one in rows if (day - one.checked).days > limit)


def whom_to_ask(where: frozenset[str]) -> str:
    """The offices of a place, of the nearest it lies in that we know: the end of every list."""
    return str(nearest(_table()["_ask"], where))


def _statute(topic: str, key: str, row: dict[str, Any]) -> Statute:
    where = f"statutes.yaml: {key}"
    strange = [code for code in row["places"] if not places.exists(code)]
    if strange or not row["places"]:
        raise TableError(f"{where}: no places are called {strange}")
    if not isinstance(row.get("checked"), date):
        raise TableError(f"{where}: nobody says when it was checked")
    return Statute(
        key=key,
        topic=topic,
        places=frozenset(row["places"]),
        text=row["text"],
        source=row["source"],
        how=row["how"],
        checked=row["checked"],
        starts=row.get("from"),
        until=row.get("until"),
    )


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.law", "statutes.yaml")
