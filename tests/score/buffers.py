"""Buffers weighed and made up as handbooks say, worked out as solutions of a house: their pH.

Belongs here: turning a row of buffers.yaml into recipes. Does not belong here: the values themselves.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import yaml
from anthocard.facts.chemistry.substances import substance

from tests.score.outside import Area, Scored, computed, held


class Flask(NamedTuple):
    """One buffer: what is weighed in, in what, at which temperature, and the pH published for it."""

    key: str
    grams: dict[str, float]
    per: str
    at_c: float
    published: float


def flasks(section: str) -> Iterator[Flask]:
    """Every buffer of a section of the table."""
    text = (Path(__file__).parent / "buffers.yaml").read_text(encoding="utf-8")
    for name, row in yaml.safe_load(text)[section].items():
        for at_c, ph in row.get("ph_at", {}).items():
            grams = row.get("grams") or _weighed(row, 0.0)
            yield Flask(f"{name} at {at_c} °C", grams, row["per"], at_c, ph)
        for ph, ml in row.get("ml_of_ph", {}).items():
            published = ph + row.get("shift", 0.0)
            yield Flask(f"{name} {ph}", _weighed(row, ml), row["per"], row["at_c"], published)


def _weighed(row: dict[str, Any], ml: float) -> dict[str, float]:
    """Grams of each substance once `ml` of the second solution are in."""
    mmol = defaultdict(float, row["parts"])
    for name, each in row.get("added", {}).items():
        mmol[name] += each * ml
    return {name: amount * _g_per_mmol(name) for name, amount in mmol.items() if amount > 0.0}


def _g_per_mmol(name: str) -> float:
    one = substance(name)
    return one.molar_mass_g_per_mol / one.assay / 1000.0


def written(flask: Flask) -> str:
    """The buffer as a solution of a house, so named as its key."""
    water = ["1000 g still water"] if flask.per == "kg" else []
    parts = [f"{grams:.5g} g {name}" for name, grams in flask.grams.items()] + water
    made = "made_up_to: 1 l\n" if flask.per == "litre" else ""
    lines = "".join(f"  - {part!r}\n" for part in parts)
    return f"kind: solution\nname: {flask.key}\nparts:\n{lines}{made}"


def scored(section: str, fitted: bool) -> Iterator[Scored]:
    """Every buffer of a section beside the house's own figures; `fitted` where two thirds were."""
    by_heat: dict[float, list[Flask]] = defaultdict(list)
    for flask in flasks(section):
        by_heat[flask.at_c].append(flask)
    for at_c, some in by_heat.items():
        files = {f"solutions/{n}.md": written(flask) for n, flask in enumerate(some)}
        figures = computed(files, at_c)
        for n, flask in enumerate(some):
            one = figures[str(n)]
            assert one.uncertainty_before is not None
            used = fitted and not held(flask.key)
            yield Scored.of(
                flask.key, flask.published, one.before.ph, one.uncertainty_before.ph, used
            )


def areas() -> tuple[Area, ...]:
    """Simple buffers, two thirds of which fitted the size of ions; strong or mixed ones, the ± of the model."""
    return (
        Area("pH, simple buffers", "", tuple(scored("simple", fitted=True))),
        Area("pH, strong and mixed buffers", "", tuple(scored("strong", fitted=True))),
    )
