"""Units met once a year: gallons, quarts, stones, in the sizes pint knows; pint's only door.

Belongs here: which of pint's units an author may name, and what one comes to in millilitres or
grams. Does not belong here: the units of every day (units.py), the grammar of an amount
(measures.py). Free text never reaches pint: its own parser reads “fl. oz.” as femtolitre × ounce
and “pinch” as a pico-inch (seen with pint 0.25.3), so it is handed names of our table alone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from anthocard.diagnostics.tables import read_table
from anthocard.facts.units.units import Dimension, folded, one_of

if TYPE_CHECKING:
    from pint import UnitRegistry


@dataclass(frozen=True, slots=True)
class RarerUnit:
    """One such unit as it was written: `size` in `base` (ml or g), `end` of it in the text.

    `readings` are the units it could mean where it is of two sizes; then it has no size.
    """

    size: float
    base: str
    end: int
    written: str
    readings: tuple[str, ...] = ()


def find_rarer_unit(text: str, start: int, dimensions: frozenset[Dimension]) -> RarerUnit | None:
    """The rarer unit of one of `dimensions` that stands at `start`; None if none does."""
    found = _pattern().match(text, start)
    if found is None:
        return None
    row = _spelt()[folded(found["unit"])]
    if row["dimension"] not in dimensions:
        return None
    base = "ml" if row["dimension"] == "volume" else "g"
    if "readings" in row:
        return RarerUnit(0.0, base, found.end(), found["unit"], tuple(row["readings"]))
    size = float(_registry().Quantity(1.0, row["pint"]).to(base).magnitude)
    return RarerUnit(size, base, found.end(), found["unit"])


@cache
def _registry() -> UnitRegistry[Any]:
    from pint import UnitRegistry

    return UnitRegistry()


@cache
def _spelt() -> dict[str, dict[str, Any]]:
    rows = read_table("anthocard.facts.units", "measures.yaml")["rarer"].values()
    return {spelling: row for row in rows for spelling in row["spellings"]}


@cache
def _pattern() -> re.Pattern[str]:
    return one_of(_spelt())
