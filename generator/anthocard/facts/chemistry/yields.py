"""What a step gives, keeps back and takes: the constants behind the steps of a kitchen.

Belongs here: reading yields.yaml. Does not belong here: applying any of it to a liquid
(engine/steps), gas (carbonation.py), plants of colour (extraction.py).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.facts.pantry import Range


def given(step: str) -> Range:
    """The least, usual and most ml out of each ml in. Raises KeyError for an unknown step."""
    return _range(row("give", step))


def held_by_strainer_ml(cloth: str) -> Range:
    """Ml that stay in a strainer of that kind, whatever the batch. Raises KeyError."""
    return _range(row("strainer_ml", cloth))


def drawn(hours: float) -> Range:
    """Share of a fresh plant's own water that is in the liquid after so many hours."""
    rows = _table()["drawn"].values()
    return _range(next(one for one in rows if hours < float(one["below_h"])))


def alcohol_left(hours: float) -> float:
    """Share of the alcohol that is left after so many hours of open simmering, 0-1."""
    one = row("simmered", "alcohol")
    return float(np.interp(hours, one["hours"], one["left"]))


def saturated_brix(temperature_c: float) -> float:
    """Most sucrose in 100 g of syrup that stays dissolved at 0-40 °C; beyond, as at the end."""
    one = row("saturation", "sucrose")
    per_100 = float(np.interp(temperature_c, one["c"], one["g_per_100g"]))
    return 100.0 * per_100 / (100.0 + per_100)


def culture(name: str) -> dict[str, Any]:
    """A culture's own acid and what it usually grows. Raises KeyError."""
    return row("cultures", name)


def row(section: str, key: str) -> dict[str, Any]:
    """One row with its source. Raises KeyError."""
    found: dict[str, Any] = _table()[section][key]
    return found


def _range(one: dict[str, Any]) -> Range:
    return float(one["low"]), float(one["usual"]), float(one["high"])


def _table() -> dict[str, Any]:
    return read_table("anthocard.facts.chemistry", "yields.yaml")
