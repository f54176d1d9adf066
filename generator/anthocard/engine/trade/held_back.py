"""What of a drink goes into its batch and what waits for service, each line weighed for so many.

Belongs here: why a pour waits, and scaling one. Does not belong here: the batch (batching.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.assemble import apart
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.results import Measure
from anthocard.house.collection import fold


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One thing to measure into a batch, by volume at 20 °C and by mass; `by_mass` says weigh it.

    `ml` and `g` are None for what is neither poured nor weighed; `count` is then how many. `text`
    is how the author wrote it for one.
    """

    name: str
    ml: float | None
    g: float | None
    count: float
    unit: str
    by_mass: bool
    role: str = "other"  # as of its Measure
    weighed: bool = True  # False where ml and g are the middle of what a dash usually is
    text: str = ""


#: Methods whose ice and foam are made at service, glass by glass.
SHAKEN: Final = frozenset({"shaken", "dry-shaken", "dry-shaken then shaken"})
#: Why a pour waits for service instead of going into the batch.
Why: TypeAlias = Literal["fizz", "foam", "dairy", "citrus", "drops", "glass"]


@dataclass(frozen=True, slots=True)
class Held:
    """One pour that waits: so much for each serve, so much for all, and why."""

    name: str
    one: BatchLine
    all: BatchLine
    why: Why


def held_for(bottle: Bottle, measure: Measure) -> Why | None:
    """Why a pour waits for service; None for what keeps in the batch.

    Fizz goes flat, foam falls, dairy curdles, fresh citrus is of its own day, and drops are
    set on each glass, as is what rinses, tops up, floats or sinks: common practice, no source.
    """
    if bottle.fizzy:
        return "fizz"
    rows = _rows()["waits"]
    if bottle.kind == "egg" or fold(bottle.name) in rows["foams"]:
        return "foam"
    if bottle.kind == "dairy":
        return "dairy"
    if bottle.kind == "juice" and fold(bottle.name) in rows["citrus"]:
        return "citrus"
    if bottle.kind == "bitters" and measure.unit == "drop":
        return "drops"
    glass = measure.unit in ("rinse", "spray") or apart(measure)
    return "glass" if glass else None


def scaled(measure: Measure, factor: float) -> BatchLine:
    """A measure times `factor`, for a scale where it is heavy or dry."""
    ml = None if measure.ml is None else measure.ml * factor
    g = None if measure.g is None else measure.g * factor
    heavy = ml is not None and ml > heavy_from_ml()
    dry = ml is None and g is not None
    count, unit = measure.count * factor, measure.unit
    weighed = not measure.unsure_share
    by_mass = weighed and g is not None and (heavy or dry)
    return BatchLine(measure.name, ml, g, count, unit, by_mass, measure.role, weighed, measure.text)


def heavy_from_ml() -> float:
    """From this volume on a thing is weighed into a batch, not measured."""
    return float(_rows()["weigh"]["from_ml"])


@cache
def _rows() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "batching.yaml")["batch"]
    return rows
