"""What is filled: dropper and squeeze bottles, bottles, jars, freezer tubs and kegs, and how many.

Belongs here: which vessels suit what is made, in the house's own sizes, and the label each bears.
Does not belong here: how much is made (batching.py), label sheets (press), what a pot is cooked in.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.diagnostics.tables import read_table
from anthocard.facts.units.quantities import parse_ml
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.model import Preparation, Recipe
from anthocard.house.settings import House
from anthocard.house.steps import Bottled, Keg

#: Sizes of one kind or several, the smallest first: what may be filled.
Vessels = tuple["Vessel", ...]


@dataclass(frozen=True, slots=True)
class Vessel:
    """A vessel by its kind and the size it is sold as, ml (> 0)."""

    kind: str
    ml: float

    @property
    def holds_ml(self) -> float:
        """What goes into it, the room that must stay empty left out."""
        return self.ml * (1.0 - float(_rows("kinds")[self.kind]["empty"]))

    @property
    def label_mm(self) -> tuple[float, float]:
        """How wide and how high a label it bears, mm: that of the next smaller usual size."""
        rows = sorted(_of_kind(self.kind), key=lambda row: float(row["ml"]))
        row = next((row for row in reversed(rows) if row["ml"] <= self.ml), rows[0])
        return float(row["wide"]), float(row["high"])


def kinds() -> tuple[str, ...]:
    """Every kind of vessel there is a name for."""
    return tuple(_rows("kinds"))


def keg_care() -> Mapping[str, Any]:
    """From which size a vessel is a keg, how it is chilled and cleaned."""
    row: Mapping[str, Any] = _rows("keg")["care"]
    return row


def usual(recipe: Recipe, house: House, frozen: bool = False) -> Vessels:
    """What a recipe is filled into: what its own last steps say, else what suits its kind.

    `frozen` is for what goes solid where it is stored. Where the house has no size of what would
    suit, its bottles stand in, and the trade's own where it has none of those.
    """
    for step in reversed(recipe.steps if isinstance(recipe, Preparation) else ()):
        if isinstance(step, Bottled):
            return (Vessel("bottle", step.bottle),)
        if isinstance(step, Keg):
            return _sizes(("keg",), house) or _sizes(("keg",), None)
    wanted = "frozen" if frozen else recipe.kind
    suited = tuple(kind for kind, row in _rows("kinds").items() if wanted in row["holds"])
    return _sizes(suited, house) or _sizes(("bottle",), house) or _sizes(("bottle",), None)


def goes_solid(store: str, freezer_safe: bool) -> bool:
    """Whether something is stored in a freezer, by the words of its storing, and freezes there."""
    words = _rows("frozen")["words"]["of"]
    return not freezer_safe and any(word in store.casefold() for word in words)


def called(text: str, house: House) -> Vessels:
    """“squeeze bottle”, “50 ml”, “19 l keg”: the sizes of a kind, or the one that is named.

    A size alone is a bottle, from `keg_care()` on a keg. Raises MeasureError.
    """
    words = " ".join(text.casefold().split())
    kind = next((one for one in _longest_first() if re.search(rf"\b{one}s?$", words)), None)
    size = words if kind is None else words[: words.rindex(kind)].strip()
    if kind is None and not re.match(r"[\d.,½¼¾]", size):
        raise MeasureError(
            "no-vessel", f"“{text}” is no vessel", did_you_mean(words, kinds()) or _names()
        )
    if not size:
        found = str(kind)
        return _sizes((found,), house) or _sizes((found,), None)
    ml = parse_ml(size)
    if ml <= 0.0:
        raise MeasureError("no-vessel", f"“{text}” is not more than nothing", "write “50 ml”")
    return (Vessel(kind or ("keg" if ml >= float(keg_care()["from_ml"]) else "bottle"), ml),)


def filled(total_ml: float, vessels: Vessels) -> tuple[Vessel, int]:
    """The smallest vessel that holds all of it, else as many of the largest as it takes.

    Raises ValueError where nothing is to be filled.
    """
    if not vessels or any(one.holds_ml <= 0.0 for one in vessels):
        raise ValueError("a bottle holds more than 0 ml")
    one = next((one for one in vessels if total_ml <= one.holds_ml * (1.0 + 1e-9)), vessels[-1])
    return one, bottles_for(total_ml, one.holds_ml)


def bottles_for(total_ml: float, bottle_ml: float) -> int:
    """Bottles to hold a volume, the last one perhaps not full. Raises ValueError for no bottle."""
    if bottle_ml <= 0.0:
        raise ValueError("a bottle holds more than 0 ml")
    return math.ceil(total_ml / bottle_ml - 1e-9)


def _sizes(suited: tuple[str, ...], house: House | None) -> Vessels:
    """Every size of some kinds, the smallest first, of two alike that of the earlier kind."""
    own: Mapping[Any, tuple[float, ...]] = {} if house is None else house.vessels
    found = {
        ml: Vessel(kind, ml)
        for kind in reversed(suited)
        for ml in own.get(kind, _without_asking(kind))
    }
    return tuple(found[ml] for ml in sorted(found))


def _without_asking(kind: str) -> tuple[float, ...]:
    return tuple(float(row["ml"]) for row in _of_kind(kind) if not row.get("asked"))


def _longest_first() -> list[str]:
    return sorted(kinds(), key=len, reverse=True)


def _names() -> str:
    return f"write {', '.join(kinds())}, or a size such as “50 ml”"


def _of_kind(kind: str) -> list[dict[str, Any]]:
    return [row for row in _rows("sizes").values() if row["kind"] == kind]


@cache
def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "vessels.yaml")[section]
    return rows
