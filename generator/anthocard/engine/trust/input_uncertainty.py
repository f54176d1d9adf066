"""How far pH, acids, density and sugar of one bottle may be out: measured, weighed, told, guessed.

Belongs here: one doubt of each kind for each bottle. Does not belong here: drawing from it
(uncertainty.py), the uncertainty of the model (model_uncertainty.py).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import hypot
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.results import Measure
from anthocard.facts.chemistry import extraction
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, PLANTS
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.house.model import Infusion


def surety(bottle: Bottle) -> str:
    """How its pH is known: measured, weighed or memory."""
    if "ph" in bottle.measured or (bottle.item is not None and bottle.item.how == "measured"):
        return "measured"
    weighed = bottle.kind == "substance" or (
        bottle.kind == "solution" and all(surety(part) == "weighed" for part, _ in bottle.parts)
    )
    return "weighed" if weighed or bottle.kind == "water" else "memory"


def ph_sd(bottle: Bottle) -> float:
    """How far its pH may be out: as its row says, where none was measured; else by its parts."""
    how = surety(bottle)
    if how != "measured":
        plants = _steeped(bottle)
        if plants:
            (base, _), share = bottle.parts[0], _of_the_plant(bottle)
            return share * max(map(extraction.ph_spread, plants)) + (1.0 - share) * ph_sd(base)
        shared = _by_acids(bottle, lambda part, _: ph_sd(part))
        if shared is not None:
            return shared
        if bottle.item is not None and bottle.item.ph_spread is not None:
            return bottle.item.ph_spread
    return float(_table("ph")[how]["sd"])


def acid_sd(bottle: Bottle) -> float:
    """How far the acids of a bottle may be out, as a share; of a mixture, by parts."""
    plants = _steeped(bottle)
    if plants:
        (base, _), share = bottle.parts[0], _of_the_plant(bottle)
        return share * max(map(extraction.acid_spread, plants)) + (1.0 - share) * acid_sd(base)
    shared = _by_acids(bottle, lambda part, measure: hypot(acid_sd(part), measure.unsure_share))
    if shared is not None:
        return shared
    rows = _table("acid_share")
    if bottle.item is not None and bottle.item.acid_spread is not None:
        return bottle.item.acid_spread
    if bottle.kind in ("substance", "water"):
        return float(rows["weighed"]["sd"])
    how = bottle.item.how if bottle.item is not None else "memory"
    return float(rows[how if how in rows else "memory"]["sd"])


def _by_acids(bottle: Bottle, of: Callable[[Bottle, Measure], float]) -> float | None:
    """The mean of `of` over what it was made from, by the acid each part brought; None for none."""
    if not bottle.parts or bottle.item is not None:
        return None
    weights = [
        float(part.per_g.amounts[ACID_COLUMNS].sum()) * (measure.g or 0.0)
        for part, measure in bottle.parts
    ]
    total = sum(weights)
    if total <= 0.0:
        return None
    weighted = zip(weights, bottle.parts, strict=True)
    return sum(weight * of(part, measure) for weight, (part, measure) in weighted) / total


def density_half(bottle: Bottle) -> float:
    """How far its density may be out, g/ml from the middle to p5 and p95: by its kind."""
    item = bottle.item
    if item is None or item.how == "measured" or item.kind in ("water", "substance"):
        kind = "sure"
    elif item.kind in ("liqueur", "spirit"):
        kind = "liqueur" if item.sugar_g_per_l else "sure"
    else:
        kind = "usual"
    return float(_table("density")[kind]["half"])


def strength_sd(bottle: Bottle) -> float:
    """One s.d. of the natural logarithm of the colour in a bottle: measured, or as its plant's."""
    if "strength" in bottle.measured:
        return max(float(_table("pigment")["measured_log_dose"]["sd"]), bottle.strength_sd)
    return max(map(extraction.strength_spread, _colours(bottle)))


def _colours(bottle: Bottle) -> list[str]:
    """The plants that colour it, by key."""
    return [key for key in PLANTS if float(bottle.per_g[f"{key}_au_ml"])]


def _steeped(bottle: Bottle) -> list[str]:
    """The plants of an infusion, those it was steeped on included; none of anything else."""
    return _colours(bottle) if isinstance(bottle.recipe, Infusion) and bottle.parts else []


def _of_the_plant(bottle: Bottle) -> float:
    """The share of an infusion's acids that its plant brought, 0-1."""
    base, measure = bottle.parts[0]
    assert bottle.batch is not None
    total = float(bottle.batch.amounts[ACID_COLUMNS].sum()) / float(volume_ml(bottle.batch))
    brought = float(base.per_g.amounts[ACID_COLUMNS].sum()) * (measure.g or 0.0)
    if total <= 0.0 or not measure.ml:
        return 0.0
    return max(0.0, 1.0 - brought / measure.ml / total)


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trust", "uncertainty.yaml")[section]
    return rows
