"""What is typed after an option, read into values that make sense; all else is an error of usage.

Belongs here: days, whole numbers, figures, shares, measures and serves by drink, with their ranges
and a mend. Does not belong here: the grammar of measures with a unit (facts.units).
"""

from __future__ import annotations

import argparse
import math
import re
from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from anthocard.house.collection import Collection

#: Days that a bar can mean: whatever is added to one (365 days of keeping) is still a day.
FIRST_YEAR: Final = 2000
LAST_YEAR: Final = 2100


def day(text: str) -> date:
    """“2026-03-05”, from 2000 to 2100. Raises ArgumentTypeError."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"“{text}” is no day: write it as year-month-day, such as 2026-03-05"
        ) from None
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise argparse.ArgumentTypeError(
            f"“{text}” is no day of a bar: write a year from {FIRST_YEAR} to {LAST_YEAR}"
        )
    return found


def celsius(text: str) -> float:
    """“10C”, “50F”, in °C. Raises ArgumentTypeError."""
    from anthocard.facts.units.quantities import parse_celsius

    return _measure(text, parse_celsius)


def dilution(text: str) -> float:
    """A share of the start or the end, in % of the start. Raises ArgumentTypeError."""
    from anthocard.facts.units.quantities import parse_dilution

    return _measure(text, parse_dilution)


def _measure(text: str, parse: Callable[[str], float]) -> float:
    from anthocard.facts.units.written_numbers import MeasureError

    try:
        return parse(text)
    except MeasureError as error:
        raise argparse.ArgumentTypeError(f"{error.message}; {error.mend}") from None


def whole(low: int, high: int) -> Callable[[str], int]:
    """A reader of whole numbers from `low` to `high`, which raises ArgumentTypeError."""

    def read(text: str) -> int:
        if not text.isascii() or not text.isdecimal() or not low <= int(text[:12]) <= high:
            raise argparse.ArgumentTypeError(
                f"“{text}” is out of range: write a whole number from {low} to {high}"
            )
        return int(text)

    return read


def share_of(text: str) -> tuple[int, int]:
    """“2/5”: which of how many parts, from 1. Raises AuthorError."""
    read = re.fullmatch(r"\s*(\d{1,6})\s*/\s*(\d{1,6})\s*", text)
    if read is not None and 1 <= int(read[1]) <= int(read[2]):
        return int(read[1]), int(read[2])
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place

    mend = "write which of how many, such as 2/5"
    raise AuthorError([Mistake("no-share", f"“{text}” is no share", Place("--share"), mend)])


def figure(low: float, high: float) -> Callable[[str], float]:
    """A reader of figures from `low` to `high`, which raises ArgumentTypeError."""

    def read(text: str) -> float:
        try:
            value = float(text.strip().removesuffix("%").replace(",", "."))
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(
                f"“{text}” is out of range: write a figure from {low:g} to {high:g}"
            )
        return value

    return read


def serves_of(text: str, collection: Collection) -> dict[str, int]:
    """ "Squall Line=40, Low Cloud=12" as serves by drink name.

    Raises AuthorError for an unknown drink, a count that is not a whole number from 1 on, or none.
    """
    from anthocard.diagnostics.diagnostic import MistakeLog, Place, did_you_mean
    from anthocard.house.collection import fold

    names = {fold(name): name for name in collection.drinks}
    serves: dict[str, int] = {}
    log = MistakeLog()
    for part in filter(None, (piece.strip() for piece in text.replace(";", ",").split(","))):
        name, _, count = part.partition("=")
        place = Place("--serves", text=text)
        if fold(name) not in names:
            mend = did_you_mean(name.strip(), collection.drinks)
            log.add("unknown-drink", f"no drink is called “{name.strip()}”", place, mend)
        elif not count.strip().isdecimal() or not 1 <= int(count) <= 100_000:
            log.add("serves", f"“{part}” needs a whole number of serves", place, "write NAME=40")
        else:
            drink = names[fold(name)]
            serves[drink] = serves.get(drink, 0) + int(count)
    if not serves and not log.errors:
        log.add("serves", "nothing is to be served", Place("--serves"), "write --serves NAME=40")
    log.raise_if_errors()
    return serves
