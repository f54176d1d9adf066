"""Density and sugar of what a bar buys, beside what others weighed and read.

Belongs here: a line of stock as a house pours it. Does not belong here: values (bottles.yaml).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.trust.input_uncertainty import density_half
from anthocard.facts.chemistry.volume import density_g_per_ml, sugar_g_per_l

from tests.score.juices import shelf
from tests.score.outside import Area, Scored, held


def areas() -> tuple[Area, ...]:
    """Two areas: densities, which order layers, and sugar."""
    return (
        Area("density of bottles and juices", "g/ml", tuple(scored("density", _density))),
        Area("sugar of bottles and juices", "g/l", tuple(scored("sugar", _sugar))),
    )


def scored(quantity: str, told: Callable[[Bottle], tuple[float, float, float]]) -> Iterator[Scored]:
    """Every value of one quantity; those not held apart made the ± and some of the rows."""
    for key, row in values().items():
        if quantity in row:
            ours, p5, p95 = told(shelf()[key.split(", ")[0]])
            yield Scored(key, row[quantity], ours, p5, p95, not held(key))


def _density(bottle: Bottle) -> tuple[float, float, float]:
    ours, half = float(density_g_per_ml(bottle.per_g)), density_half(bottle)
    return ours, ours - half, ours + half


def bought_sugar_factor() -> float:
    """× or ÷ from the middle to p5 and p95 of the sugar of what is bought without a label read."""
    return float(
        read_table("anthocard.engine.trust", "uncertainty.yaml")["sugar"]["bought"]["factor"]
    )


def _sugar(bottle: Bottle) -> tuple[float, float, float]:
    ours, factor = float(sugar_g_per_l(bottle.per_g)), bought_sugar_factor()
    return ours, ours / factor, ours * factor


@cache
def values() -> dict[str, dict[str, Any]]:
    """The table's rows by key."""
    text = (Path(__file__).parent / "bottles.yaml").read_text(encoding="utf-8")
    found: dict[str, dict[str, Any]] = yaml.safe_load(text)["values"]
    return found
