"""How far apart two colours look: to nobody, side by side, to anyone, across a room.

Belongs here: the steps. Does not belong here: the difference itself (colours.py), sentences.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Literal, TypeAlias

from anthocard.diagnostics.tables import read_table

Seen: TypeAlias = Literal["the same", "side by side", "by anyone", "across a room"]


def seen_apart(delta_e00: float) -> Seen:
    """From where a difference (CIEDE2000, ≥ 0) is seen."""
    for seen, row in _steps().items():
        if delta_e00 <= row["most"]:
            return seen
    return "across a room"


@cache
def _steps() -> dict[Seen, dict[str, Any]]:
    rows: dict[Seen, dict[str, Any]] = read_table("anthocard.facts.colour", "apart.yaml")["steps"]
    return rows
