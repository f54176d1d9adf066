"""Places: which exist, what they lie in, and what a bar there counts, lists and measures by.

Belongs here: codes and the few facts of law that other tables hang on. Does not belong here: the
cautions of a place (rules.yaml) or its allergens (allergens.yaml).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from anthocard.diagnostics.tables import read_table

_SHAPE: Final = re.compile(r"[A-Z]{2}(?:-[A-Z0-9]{1,3})?")
#: What countries are called by those who live there, where their code is another.
_AT_HOME: Final = {"UK": "GB", "ENGLAND": "GB", "SCOTLAND": "GB", "WALES": "GB", "USA": "US"}


@dataclass(frozen=True, slots=True)
class Jurisdiction:
    """A place and what holds there.

    `within` is its own code and those of all it lies in; `known` says whether any of them has a row
    of ours. `drinks` is a key of facts.alcohol.standard_drinks and `allergens` one of
    facts.allergens.keys_on.
    """

    code: str
    label: str
    within: frozenset[str]
    known: bool
    drinks: str
    allergens: str
    spirit_measures_ml: tuple[float, ...]
    specified_spirits: tuple[str, ...]
    exempt_from_liquids: int
    source: str


def exists(code: str) -> bool:
    """Whether a code is written right (GB, US-CA, EU) and there is such a place.

    Subdivisions are checked where we hold their list, and taken on trust elsewhere.
    """
    if _SHAPE.fullmatch(code) is None:
        return False
    country, _, part = code.partition("-")
    if country in _table()["unions"]:
        return not part
    if country not in _keys_of("countries", "iso"):
        return False
    if not part or country not in _table()["subdivisions"]:
        return True
    return part in _keys_of("subdivisions", country)


def meant_by(code: str) -> str | None:
    """The place that a code in small letters, or what a country is called at home, may mean."""
    large = code.upper()
    return large if exists(large) else _AT_HOME.get(large)


def nearest(by_place: Mapping[str, Any], where: frozenset[str]) -> Any:
    """Of values by place that of the house's own, else of what it lies in, else of `else`.

    None where there is none. `where` are the codes of the place and of all it lies in.
    """
    unions = _table()["unions"]
    named = sorted(where & by_place.keys(), key=lambda place: (place in unions, -len(place)))
    return by_place[named[0]] if named else by_place.get("else")


@cache
def jurisdiction(code: str) -> Jurisdiction:
    """What we know of a place: its own row, or its country's, or its union's, or nobody's.

    Raises KeyError for a place that does not exist.
    """
    if not exists(code):
        raise KeyError(code)
    country = code.partition("-")[0]
    unions = [union for union in _table()["unions"] if country in _keys_of("unions", union)]
    around = [code, country, *unions]
    rows = _table()["places"]
    nearest = next((one for one in around if one in rows), None)
    row: dict[str, Any] = rows[nearest] if nearest else _table()["unknown"]["anywhere"]
    return Jurisdiction(
        code=code,
        label=row["label"],
        within=frozenset(around),
        known=nearest is not None,
        drinks=row["drinks"],
        allergens=row["allergens"],
        spirit_measures_ml=tuple(row.get("spirit_measures_ml", ())),
        specified_spirits=tuple(row.get("specified_spirits", ())),
        exempt_from_liquids=row.get("exempt_from_liquids", 0),
        source=row["source"],
    )


def known_places() -> tuple[str, ...]:
    """Codes of the places with rows of their own, in the table's order."""
    return tuple(_table()["places"])


def in_fixed_measures(
    spirits_ml: Iterable[float], liquids: int, where: Jurisdiction, house_ml: float | None = None
) -> bool:
    """Whether pours of specified spirits are multiples of the house's one fixed measure.

    `liquids` counts everything poured: from `exempt_from_liquids` on, and where a place fixes
    nothing, any amount will do. `house_ml` is the measure the house has chosen; without it one of
    the place's must fit every pour. Tolerance 0.1 ml.
    """
    measures = where.spirit_measures_ml
    if not measures or liquids >= where.exempt_from_liquids:
        return True
    poured = [ml for ml in spirits_ml if ml > 0.0]
    allowed = [one for one in measures if house_ml in (None, one)]
    return any(
        all(math.isclose(ml, max(1, round(ml / one)) * one, abs_tol=0.1) for ml in poured)
        for one in allowed
    )


@cache
def _keys_of(section: str, key: str) -> frozenset[str]:
    return frozenset(_table()[section][key]["codes"].split())


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.law", "places.yaml")
