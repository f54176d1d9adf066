"""The turn: the straight line from before to before + pour, and what is seen along it.

Belongs here: one vectorised walk over doses. Does not belong here: finding a dose (search.py).
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity, appearance as look
from anthocard.engine.results import Turn
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour import colours, names


@cache
def _row() -> dict[str, Any]:
    row: dict[str, Any] = read_table("anthocard.engine.mix", "methods.yaml")["samples"]["turn"]
    return row


def walk(
    before: Liquid,
    per_ml: Liquid,
    dose_ml: float,
    temperatures_c: tuple[float, float],
    width_mm: float,
    ice: float,
    pk_shift: float = 0.0,
) -> Turn:
    """pH and colour from nothing poured to half as much again as the dose, in even steps.

    `temperatures_c` are those before and at the dose; between and beyond they follow a line.
    """
    poured = np.linspace(0.0, dose_ml * float(_row()["overshoot"]), int(_row()["points"]))
    liquids = before + per_ml * poured
    share = np.clip(poured / dose_ml, 0.0, 1.0) if dose_ml > 0.0 else np.zeros_like(poured)
    start_c, end_c = temperatures_c
    reading = acidity.read(liquids, start_c + (end_c - start_c) * share)
    light = look.transmittance(liquids, reading.ph, width_mm, ice, pk_shift)
    lab = colours.to_lab(light)
    screen = colours.to_srgb(light)
    return Turn(
        poured_ml=poured,
        ph=reading.ph,
        lab=lab,
        hexes=tuple(colours.hex_of(row) for row in screen),
        names=names.names_of(lab),
    )
