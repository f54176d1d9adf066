"""An amount rounded to what can really be measured: by jigger and spoons, by scale, by count.

Belongs here: steps, lattice and tolerance of both columns, metric and ounces. Does not belong here:
reading amounts (measures.py), working any out, or their words (the press). Arithmetic is exact; the
rules are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from itertools import combinations_with_replacement
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table
from anthocard.facts.units.units import units

Ounces: TypeAlias = Literal["US", "imperial"]
Rounding: TypeAlias = Literal["lattice", "exact"]
How: TypeAlias = Literal["poured", "graduated", "by scale", "weighed"]

LIGHT_G: Final = 0.1  # less is told in two figures; chosen
LITRES_FROM_ML: Final = 2000.0  # the largest jug behind most bars; chosen
MOST_FILLS: Final = 3  # of jiggers for one line, beyond which hands miscount; chosen
_MARK: Final = (
    0.02  # how far a mark may be from what it says, of it: 1 fl oz is sold as 30 ml; chosen
)
_NEAR: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Rounded:
    """A number of a unit (a key of measures.yaml), and `more` on top of it: ¾ oz and ½ tsp.

    `how` it is measured: poured by jigger, spoon or jug; read off a graduated measure; a volume
    that no jigger pours closely enough, by scale or syringe; weighed.
    """

    number: float
    unit: str
    how: How = "poured"
    more: Rounded | None = None

    @property
    def base(self) -> float:
        """The whole amount in ml, or in g."""
        rest = 0.0 if self.more is None else self.more.base
        return self.number * _factor(self.unit) + rest


def metric(ml: float, role: str = "other") -> Rounded:
    """A volume in millilitres, from two litres on in litres to 10 ml.

    Multiples of 2.5 ml from 5 ml up, of 0.5 ml from 1 ml, of 0.05 ml below. Where that would be off
    by more than the role allows (2 % for acid, buffer and pigment, 5 % for spirit and other), three
    figures “by scale”. Raises ValueError for what is not a finite amount above zero, KeyError for
    an unknown role.
    """
    if _amount(ml) >= LITRES_FROM_ML:
        return Rounded(to_places(ml / 1000.0, 2), "l")
    rounded = _stepped(ml)
    if _close_enough(rounded, ml, role):
        return Rounded(rounded, "ml")
    return Rounded(_exact(ml), "ml", "by scale")


def ounces(
    ml: float, role: str = "other", system: Ounces = "US", rounding: Rounding = "lattice"
) -> Rounded:
    """A volume in ounces: ¾ oz and ½ tsp.

    On the lattice an ounce is 30 ml (imperial: 28.41 ml) in quarters, a teaspoon 5 ml in
    halves, and less than 1 ml is drops of 0.05 ml; an amount off it stays in millilitres “by
    scale”. With `rounding="exact"` it is decimals of the legal fluid ounce. Raises ValueError.
    """
    _amount(ml)
    row = _table("ounces")[system]
    if rounding == "exact":
        return Rounded(_exact(ml / _factor(row["legal"])), row["legal"], "graduated")
    ladder = [_drops(ml)] if ml < 1.0 else [*_ounces(ml, row["printed"]), *_spoons()]
    nearest = min(ladder, key=lambda rung: (round(abs(rung.base - ml), 9), rung.more is not None))
    if _close_enough(nearest.base, ml, role):
        return nearest
    return replace(metric(ml, role), how="by scale")


def jiggered(ml: float, role: str, sizes: Iterable[float]) -> tuple[float, ...]:
    """Which of the jiggers a house has (their `sizes` and lines, ml) pour a volume, largest first.

    Of all ways with at most three fills the nearest, and of those the shortest; empty where none is
    as near as the role allows it. Raises ValueError, and KeyError for an unknown role.
    """
    _amount(ml)
    ways = (
        way
        for fills in range(1, MOST_FILLS + 1)
        for way in combinations_with_replacement(sorted(set(sizes), reverse=True), fills)
        if _close_enough(sum(way), ml, role)
    )
    return min(ways, key=lambda way: (round(abs(sum(way) - ml), 9), len(way)), default=())


def mass(grams: float) -> Rounded:
    """Grams as a scale shows them: 1 g steps from 50 g, 0.1 g from 1 g, 0.01 g from 0.1 g.

    Less has two figures. Halves go up, so that one weight is not told in two roundings where a sum
    was made in another order.
    """
    if _amount(grams) < LIGHT_G:
        return Rounded(significant(grams, 2), "g", "weighed")
    return Rounded(to_places(grams, _places("mass", grams)), "g", "weighed")


def rules() -> dict[str, Any]:
    """What `metric` and `mass` round by, as plain data: for a script that must agree.

    `steps`, `exact` and `mass` are pairs, the larger bound first: from how many ml or g on, and
    then the step in ml or the decimals. `shares` are the tolerances by role.
    """
    return {
        "litres_from_ml": LITRES_FROM_ML,
        "light_g": LIGHT_G,
        "steps": [[row["from_ml"], row["step_ml"]] for row in _table("steps").values()],
        "shares": {role: row["share"] for role, row in _table("tolerances").items()},
        "near": _NEAR,
        "exact": [[row["from"], row["places"]] for row in _table("exact").values()],
        "mass": [[row["from"], row["places"]] for row in _table("mass").values()],
    }


def to_places(value: float, places: int) -> float:
    """`value` to so many decimals, halves away from nought; beyond nine figures it is no half."""
    step = Decimal(1).scaleb(-places)
    return float(Decimal(f"{value:.9g}").quantize(step, ROUND_HALF_UP))


def significant(value: float, figures: int) -> float:
    """A `value` above nought to so many figures."""
    return to_places(value, figures - 1 - math.floor(math.log10(_amount(value))))


def in_ounces(ml: float, system: Ounces) -> Rounded | None:
    """A jigger in the quarter ounces that it holds exactly; None of one made to millilitres."""
    unit = _table("ounces")[system]["printed"]
    quarters = round(4.0 * ml / _factor(unit))
    exact = quarters > 0 and abs(quarters * _factor(unit) / 4.0 - ml) <= _MARK * ml
    return Rounded(quarters / 4.0, unit) if exact else None


def _ounces(ml: float, unit: str) -> list[Rounded]:
    most = int(4.0 * ml / _factor(unit)) + 1
    spoons = (None, Rounded(0.5, "tsp"), Rounded(1.0, "tsp"))
    return [
        Rounded(quarters / 4.0, unit, more=more)
        for quarters in range(max(1, most - 2), most + 1)
        for more in spoons
    ]


def _spoons() -> list[Rounded]:
    """Quarter teaspoons up to one, then whole ones up to two; beyond that come ounces."""
    return [Rounded(number, "tsp") for number in (0.25, 0.5, 0.75, 1.0, 2.0)]


def _drops(ml: float) -> Rounded:
    return Rounded(float(max(1, round(ml / _factor("drop")))), "drop")


def _stepped(ml: float) -> float:
    """The nearest step of the metric ladder, never zero."""
    rows = _table("steps").values()
    step = next(row["step_ml"] for row in rows if ml >= row["from_ml"])
    return to_places(max(1, round(ml / step)) * step, 2)


def _close_enough(rounded: float, ml: float, role: str) -> bool:
    return abs(rounded - ml) <= float(_table("tolerances")[role]["share"]) * ml + _NEAR


def _amount(value: float) -> float:
    if not 0.0 < value < 1e9:
        raise ValueError(f"{value} is not an amount that can be told")
    return value


def _factor(key: str) -> float:
    return units()[key].factor or 0.0


def _exact(value: float) -> float:
    """Three figures: 3.56, 13.6, 148."""
    return round(value, _places("exact", value))


def _places(section: str, value: float) -> int:
    return int(next(row["places"] for row in _table(section).values() if value >= row["from"]))


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.units", "rounding.yaml")[section]
    return rows
