"""Readings an author should look at again: backdated, at odds with the one before, or far off.

Belongs here: telling readings that do not count or cannot both be true. Does not belong here: which
of them counts and what it changes (mix/calibration.py), how old one may be (check_ages).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Fit
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.calibration import counting, written_of
from anthocard.engine.mix.fitting import fit
from anthocard.engine.mix.shelf import Shelf
from anthocard.house.collection import Collection, fold
from anthocard.house.readings import SORTS, Calibration, Sort

AGAIN = "read a second aliquot and write it down too: the last reading counts"


def check_readings(collection: Collection, shelf: Shelf, log: MistakeLog) -> None:
    """Warn of every reading of the house that does not count or should be taken again."""
    for name in dict.fromkeys(fold(row.of) for row in collection.house.calibrations):
        check_readings_of(name, collection, shelf, log)


def check_readings_of(name: str, collection: Collection, shelf: Shelf, log: MistakeLog) -> None:
    """The same of one thing; what a drink is worked out at is told beside its other doubts."""
    found = collection.find(name)
    bottle = None if found is None else shelf[found.name]
    rows = written_of(collection, name)
    for kind, message, row in _doubtful(rows, bottle):
        number = next(n for n, one in enumerate(collection.house.calibrations) if one is row)
        place = collection.at(collection.house, ("calibrations", number))
        log.add(kind, message, place, _MENDS[kind], "warning")


_MENDS = {
    "backdated-reading": "take it away, or put the day right",
    "readings-at-odds": AGAIN,
    "far-reading": "check the meter, the dilution and the name, then " + AGAIN,
}


def _doubtful(
    rows: Sequence[Calibration], bottle: Bottle | None
) -> Iterator[tuple[str, str, Calibration]]:
    """Kind, words and reading."""
    for sort in SORTS:
        counted = counting(rows, sort)
        for n, row in enumerate(rows):
            later = next((c for c in rows[:n] if _replaces(c, row, sort, counted)), None)
            if later is not None:
                yield (
                    "backdated-reading",
                    f"this reading of {row.of} of {row.measured} is not heeded: a later one, of "
                    f"{later.measured}, stands above it",
                    row,
                )
    for row in counting(rows, "ph"):
        before = _still_valid(rows, row)
        if before and not any(_agree(row, one) for one in before):
            yield (
                "readings-at-odds",
                f"{row.of} was read at pH {before[-1].ph:.2f} on {before[-1].measured} and at pH "
                f"{row.ph:.2f} on {row.measured}; the last one counts",
                row,
            )
    if bottle is not None:
        yield from _colours_at_odds(rows, bottle)
        yield from _far(rows, bottle)


def _replaces(
    one: Calibration, row: Calibration, sort: Sort, counted: Sequence[Calibration]
) -> bool:
    """Whether `one`, written above `row`, is of the same sort and of a later day, and counts."""
    return (
        sort in row.sorts
        and any(one is other for other in counted)
        and one.measured > row.measured
        and (sort != "ph" or one.when == row.when)
    )


def _still_valid(rows: Sequence[Calibration], row: Calibration) -> list[Calibration]:
    """The readings of pH that `row` replaced and that would still stand, the latest last."""
    days = _table()["ages"]["ph"]["days"]
    older = [
        one
        for one in rows
        if one is not row and "ph" in one.sorts and one.when == row.when
        if 0 <= (row.measured - one.measured).days <= days
    ]
    return sorted(older, key=lambda one: one.measured)


def _agree(one: Calibration, other: Calibration) -> bool:
    assert one.ph is not None
    assert other.ph is not None
    return abs(one.ph - other.ph) <= float(_table()["agree"]["ph"]["most"]) + 1e-9


def _colours_at_odds(
    rows: Sequence[Calibration], bottle: Bottle
) -> Iterator[tuple[str, str, Calibration]]:
    """A series of colours that makes the bottle much stronger or weaker than the one before it."""
    counted = counting(rows, "colour")
    older = [row for row in rows if not any(row is one for one in counted)]
    replaced = counting(older, "colour")
    if not counted or not replaced or "strength" not in bottle.measured:
        return
    last, first = counted[-1], replaced[-1]
    if (last.measured - first.measured).days > _table()["ages"]["colour"]["days"]:
        return
    times = 1.0 / fit(bottle.per_ml, replaced).strength
    limit = _table()["agree"]["strength"]
    if not limit["low"] <= times <= limit["high"]:
        yield (
            "readings-at-odds",
            f"{last.of} comes out {times:.2g} times as strong by its colour of {last.measured} as "
            f"by that of {first.measured}; the last one counts",
            last,
        )


def _far(rows: Sequence[Calibration], bottle: Bottle) -> Iterator[tuple[str, str, Calibration]]:
    limits = _table()["far"]
    for one in bottle.fits:
        if one.unit == "pH" and abs(one.measured - one.table) > limits["ph"]["most"]:
            sentence = (
                f"{bottle.name} was read at pH {one.measured:.2f}, and {one.table:.2f} is usual"
            )
            yield "far-reading", sentence, counting(rows, "ph")[-1]
        elif one.unit == "times" and not _usual(one, limits["strength"]):
            sentence = (
                f"{bottle.name} comes out {one.fitted:.2g} times as strong as dose and time would "
                "make it"
            )
            yield "far-reading", sentence, counting(rows, "colour")[-1]


def _usual(one: Fit, limit: dict[str, float]) -> bool:
    return limit["low"] <= one.fitted <= limit["high"]


def _table() -> dict[str, Any]:
    return read_table("anthocard.engine.mix", "calibration.yaml")
