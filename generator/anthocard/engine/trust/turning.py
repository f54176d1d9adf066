"""Whether a drink turns at all: what the pour changes, held against what is seen.

Belongs here: the one answer that papers and pages go by, and the warning where it is no. Does not
belong here: other eyes (colour_vision.py), the colours themselves (compute.py).
"""

from __future__ import annotations

from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Computed
from anthocard.house.collection import Collection
from anthocard.house.model import Drink

NO_TURN: Final = "no-turn"  # the kind of the warning, told before all others of a recipe


def turns(figures: Computed) -> bool:
    """Whether normal sight sees the pour change the colour; False where nothing is poured."""
    return figures.delta_e00 is not None and figures.delta_e00 >= least_delta_e00()


def least_delta_e00() -> float:
    """The CIEDE2000 from which on a pour is a turn."""
    row = read_table("anthocard.engine.trust", "turning.yaml")["turning"]["seen"]
    return float(row["least_delta_e00"])


def tell(figures: Computed, recipe: Drink, collection: Collection, log: MistakeLog) -> None:
    """Warn of a pour that turns nothing, unless the recipe says that it is meant to."""
    if figures.delta_e00 is None or turns(figures) or recipe.steady:
        return
    log.add(
        NO_TURN,
        f"nothing is seen to turn: the pour changes {figures.before.colour.name} by ΔE00 "
        f"{figures.delta_e00:.1f}, and below {least_delta_e00():.0f} it is the same colour",
        collection.at(recipe, ("reveal",)),
        "pour more or something sharper, or hold the first colour with a buffer; where nothing is "
        "meant to happen, write steady: true",
        "warning",
    )
