"""Acids of the shipped juices, beside what others measured in theirs.

Belongs here: a juice as a house pours it, and its acids as they are told. Does not belong here: values.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from math import exp
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import yaml
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.trust.input_uncertainty import acid_sd
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import ACIDS, Liquid
from anthocard.facts.chemistry.titration import titratable_acidity_g_per_l
from anthocard.facts.chemistry.volume import density_g_per_ml, volume_ml
from anthocard.house.reader import read_house

from tests.engine.conftest import HOUSE, write_house
from tests.score.outside import Area, Scored, held

P95 = 1.645  # standard deviations from the median to p5 and p95 of a normal spread


def areas() -> tuple[Area, ...]:
    """One area: what the spread of a juice's acids is for."""
    return (Area("acids of juices", "g/l", tuple(scored())),)


def scored() -> Iterator[Scored]:
    """Every value of the table; those not held apart made the shipped figures and their spreads."""
    for key, row in _values().items():
        name, quantity, *_ = key.split(", ")
        bottle = shelf()[name]
        ours = _grams(bottle.per_g, quantity, row)
        published = row["g"]
        if row.get("per") == "kg":
            published *= float(density_g_per_ml(bottle.per_g))
        spread = exp(P95 * acid_sd(bottle))
        yield Scored(key, published, ours, ours / spread, ours * spread, not held(key))


def _grams(liquid: Liquid, quantity: str, row: dict[str, Any]) -> float:
    """Grams in a litre of what was measured."""
    if quantity == "titratable":
        return float(titratable_acidity_g_per_l(liquid, row["as"]))
    wanted = [key for key in ACIDS if key != "carbonic"] if quantity == "total" else [quantity]
    grams = sum(float(liquid[f"{key}_mmol"]) * acid(key).molar_mass_g_per_mol for key in wanted)
    return grams / float(volume_ml(liquid))


@cache
def _values() -> dict[str, dict[str, Any]]:
    text = (Path(__file__).parent / "juices.yaml").read_text(encoding="utf-8")
    found: dict[str, dict[str, Any]] = yaml.safe_load(text)["values"]
    return found


@cache
def shelf() -> Shelf:
    """A house with nothing of its own: what everybody may pour."""
    with TemporaryDirectory() as folder:
        return Shelf(read_house(write_house(Path(folder), {}, HOUSE)), MistakeLog())
