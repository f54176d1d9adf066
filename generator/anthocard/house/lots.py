"""Lots: what was made on a day, as weighed and as read, and which of it is poured.

Belongs here: the frozen type of one entry of lots.yaml, and which lot of a recipe is in use. Does
not belong here: whether a lot is good (engine/trade), or how an entry is written (terminal).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Annotated, Any, Final, TypeAlias

from pydantic import Field

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.yaml_reader import Document
from anthocard.facts.units.fields import Millilitres, Part, Row
from anthocard.house.readings import Calibration, Reading

LOTS_FILE: Final = "lots.yaml"

#: As on the label: two digits of the year, the day of the year, a letter (26064A), or the house's
#: own.
Mark: TypeAlias = Annotated[
    str, Field(pattern=r"^[0-9A-Za-z][0-9A-Za-z./-]{0,19}$", examples=["26064A"])
]


class LotReading(Reading):
    """A reading of a lot, or what was done to correct it: what was read before no longer counts."""

    corrected: Annotated[str, Field(min_length=1, max_length=200)] | None = None

    def _says_something(self) -> bool:
        return self.corrected is not None or super()._says_something()


class Lot(Row):
    """One batch that was made: of which recipe, when, by whom, of what, and what was read of it.

    `volume` is what there was of it in the end; `in_use` the day it was chosen to be poured, and
    `discarded` the day it was poured away.
    """

    of: Annotated[str, Field(min_length=1, max_length=80)]
    lot: Mark
    made: date
    by: Annotated[str, Field(min_length=1, max_length=80)] | None = None
    weighed: tuple[Part, ...] = ()
    volume: Millilitres | None = None
    readings: tuple[LotReading, ...] = ()
    in_use: date | None = None
    discarded: date | None = None
    note: Annotated[str, Field(min_length=1, max_length=200)] | None = None

    @property
    def corrections(self) -> tuple[str, ...]:
        """What was done to it since it was made."""
        return tuple(row.corrected for row in self.readings if row.corrected is not None)

    @property
    def current_readings(self) -> tuple[Calibration, ...]:
        """Its readings since it was last corrected, as readings of its recipe."""
        rows: list[Calibration] = []
        for row in self.readings:
            if row.corrected is not None:
                rows = []
            if row.sorts:
                read = {key: getattr(row, key) for key in Reading.model_fields}
                rows.append(Calibration(of=self.of, **read))
        return tuple(rows)


def in_use(lots: Sequence[Lot]) -> Lot | None:
    """Of one recipe's lots the one chosen last, unless it was poured away."""
    chosen = [lot for lot in lots if lot.in_use is not None and lot.discarded is None]
    # the last one written where two were chosen on one day
    return max(reversed(chosen), key=lambda lot: lot.in_use or date.min, default=None)


def lots_in(
    document: Document, valid: Callable[[int, Any], Lot | None], log: MistakeLog
) -> tuple[tuple[int, Lot], ...]:
    """Every lot of a file and its place in the list; what is no list, and a mark that is written
    twice, goes to `log`. `valid` reads one entry by its place.
    """
    if not isinstance(document.data, tuple):
        if document.data is not None:
            mend = "start each with a line such as “- of: blue gin”"
            log.add("wrong-type", "a list of lots is wanted here", document.at(()), mend)
        return ()
    found: list[tuple[int, Lot]] = []
    for number, row in enumerate(document.data):
        lot = valid(number, row)
        if lot is None:
            continue
        same = (one for _, one in found if one.of.casefold() == lot.of.casefold())
        if any(one.lot == lot.lot for one in same):
            message = f"there is a lot {lot.lot} of {lot.of} above"
            log.add(
                "duplicate-lot", message, document.at((number, "lot")), "give it the next letter"
            )
            continue
        found.append((number, lot))
    return tuple(found)
