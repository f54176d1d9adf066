"""How far the pH and the acids of one bottle may be out: measured, weighed, told or guessed.

Belongs here: one standard deviation for each bottle. Does not belong here: drawing from it
(uncertainty.py), the doubt of the model (model_doubt.py).
"""

from __future__ import annotations

from functools import cache
from math import hypot
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.bottle import Bottle
from anthocard.facts.chemistry.liquid import ACID_COLUMNS


def surety(bottle: Bottle) -> str:
    """How its pH is known: measured, weighed or memory."""
    if "ph" in bottle.measured or (bottle.item is not None and bottle.item.how == "measured"):
        return "measured"
    weighed = bottle.kind == "substance" or (
        bottle.kind == "solution" and all(surety(part) == "weighed" for part, _ in bottle.parts)
    )
    return "weighed" if weighed or bottle.kind == "water" else "memory"


def ph_sd(bottle: Bottle) -> float:
    """How far its pH may be out: as its row says, where nobody measured it."""
    told = bottle.item.ph_spread if bottle.item is not None else None
    sure = surety(bottle)
    return float(_table("ph")[sure]["sd"]) if told is None or sure == "measured" else told


def acid_sd(bottle: Bottle) -> float:
    """How far the acids of a bottle may be out, as a share; of a mixture, by its acids' shares."""
    rows = _table("acid_share")
    if bottle.parts and bottle.item is None:
        weights = [
            float(part.per_g.amounts[ACID_COLUMNS].sum()) * (measure.g or 0.0)
            for part, measure in bottle.parts
        ]
        total = sum(weights)
        if total > 0.0:
            parts = zip(weights, bottle.parts, strict=True)
            return sum(w * hypot(acid_sd(b), m.unsure_share) for w, (b, m) in parts) / total
    if bottle.item is not None and bottle.item.acid_spread is not None:
        return bottle.item.acid_spread
    if bottle.kind in ("substance", "water"):
        return float(rows["weighed"]["sd"])
    how = bottle.item.how if bottle.item is not None else "memory"
    return float(rows[how if how in rows else "memory"]["sd"])


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trust", "uncertainty.yaml")[section]
    return rows
