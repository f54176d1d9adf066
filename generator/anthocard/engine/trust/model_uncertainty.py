"""How far the pH model may be out, by kind of liquid, what traces do, and what is told of it.

Belongs here: the doubt that stays when every ingredient is known. Does not belong here: the doubt
of the ingredients (input_uncertainty.py), the model (facts/chemistry).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Uncertainty
from anthocard.engine.results import State
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, INDEX, Floats, Liquid

_CARBONIC = INDEX["carbonic_mmol"] - ACID_COLUMNS.start


def model_sd(liquid: Liquid, ionic_strength_mol_per_kg: Floats) -> Floats:
    """One standard deviation of the model's pH, shape of the liquid.

    Smallest for one acid and little salt; greater where several acids meet or much salt is in it,
    whichever says more (`_rows`). Dissolved gas is no second acid.
    """
    row = _rows()
    strong = np.interp(
        ionic_strength_mol_per_kg, row["strong"]["ionic_strength"], row["strong"]["sd"]
    )
    acids = np.delete(liquid.amounts[..., ACID_COLUMNS], _CARBONIC, axis=-1)
    total = acids.sum(axis=-1, keepdims=True)
    shares = np.divide(acids, total, out=np.zeros_like(acids), where=total > 0.0)
    alone = np.where(total[..., 0] > 0.0, (shares**2).sum(axis=-1), 1.0)
    mixed = row["mixed"]["sd"] * np.minimum(2.0 * (1.0 - alone), 1.0)  # 1 for two equal acids
    sd: Floats = np.maximum(strong, mixed)
    return sd


def with_traces(liquid: Liquid, deviations: Floats) -> Liquid:
    """The liquid with so many s.d. of the alkali (below nought: acid) that water and salts bring.

    Alkali left in anything has met the air, and counts as bicarbonate. Shapes broadcast.
    """
    row = _rows()["traces"]
    per_sd = (
        float(row["meq_per_kg"]) * liquid.solvent_kg
        + float(row["of_cations"]) * liquid["strong_cation_mmol"]
    )
    traces = deviations * per_sd
    return liquid.having(
        strong_cation_mmol=liquid["strong_cation_mmol"] + np.maximum(traces, 0.0),
        strong_anion_mmol=liquid["strong_anion_mmol"] + np.maximum(-traces, 0.0),
        carbonic_mmol=liquid["carbonic_mmol"] + np.maximum(traces, 0.0),
    )


def stated(state: State, uncertainty: Uncertainty | None) -> State:
    """The state with a range in the place of its pH, where one figure would say too much."""
    most = float(_rows()["one_figure"]["plus_minus"])
    if uncertainty is None or uncertainty.ph.plus_minus <= most:
        return state
    return replace(state, between=(uncertainty.ph.p5, uncertainty.ph.p95))


@cache
def _rows() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trust", "uncertainty.yaml")["model"]
    return rows
