"""What a kitchen brings to a bar: fruit, roots, herbs, leaves, peels and fats, as they are bought.

Belongs here: the rows of pantry.yaml, and finding one by the words an author has for it. Does not
belong here: what is poured (stock.py), nor what a step does with any of it (chemistry/yields.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table

#: The least, the usual and the most of something.
Range: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Produce:
    """One thing from the kitchen. Shares are of its own weight, 0 to 1.

    `juice` names the stock line that its juice is. `unknown` says what of its gift nobody
    published: colour, acidity. `fat` is what spirit is washed with, of which only water stays.
    """

    name: str
    words: tuple[str, ...]
    source: str
    how: str
    latin: str = ""
    form: str = ""
    juice: str = ""
    juice_share: Range | None = None
    piece_g: float | None = None
    peel_g: float | None = None
    peel: str = ""  # the line its own zest is
    water: float = 0.0
    sugar: float = 0.0
    acids: Mapping[str, float] = field(default_factory=dict)
    cations_meq_per_kg: float = 0.0  # potassium that holds some of them
    caffeine: Range = (0.0, 0.0, 0.0)
    given: Range = (0.0, 0.0, 0.0)
    oil: tuple[float, float] = (0.0, 0.0)
    held_ml_per_g: Range = (0.1, 0.4, 1.0)
    unknown: tuple[Literal["colour", "acidity"], ...] = ()
    fat: bool = False
    herb: bool = False  # sold as much for tisane and pot-pourri as for food: ask for its grade
    traits: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()


@cache
def pantry() -> Mapping[str, Produce]:
    """Everything of the kitchen that is steeped, pressed, zested or washed with, by name."""
    table = read_table("anthocard.facts", "pantry.yaml")
    peels = {fruit: row["peel"] for fruit, row in table["peels"].items()}
    rows = {name: _row(name, row, peels.get(name, "")) for name, row in table["produce"].items()}
    return rows | {name: _row(name, row, "", fat=True) for name, row in table["fats"].items()}


@cache
def aids() -> Mapping[str, Mapping[str, Any]]:
    """Working aids by name: the keys of a stock line each."""
    rows: dict[str, Any] = read_table("anthocard.facts", "pantry.yaml")["aids"]
    return rows


@cache
def _by_word() -> Mapping[str, Produce]:
    words = {word.casefold(): one for one in pantry().values() for word in one.words}
    return words | {name.casefold(): one for name, one in pantry().items()}


def produce(name: str) -> Produce | None:
    """The thing of the kitchen an author means, by its name or any of its words; None if none."""
    return _by_word().get(" ".join(name.casefold().replace("-", " ").split()))


def fruit_of(juice: str) -> Produce | None:
    """The fruit that a stock line of juice is pressed from; None where none is known."""
    return next((one for one in pantry().values() if one.juice == juice), None)


def peel_of(one: Produce) -> Produce | None:
    """What the zest of a fruit is; the peel itself where that is named already."""
    if one.oil[1] > 0.0:
        return one
    return pantry()[one.peel] if one.peel else None


def _row(name: str, row: Mapping[str, Any], peel: str, *, fat: bool = False) -> Produce:
    ranges = ("juice_share", "caffeine", "given", "oil", "held_ml_per_g")
    lists = ("words", "unknown", "traits", "contains")
    taken: dict[str, Any] = {
        key: tuple(row[key]) if key in (*ranges, *lists) else row[key]
        for key in row
        if key != "peel"
    }
    return Produce(name=name, peel=peel, fat=fat, **taken)
