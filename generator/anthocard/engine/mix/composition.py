"""Alcohol and sugar as an instrument reads them, put into a liquid in the place of water.

Belongs here: % vol and °Brix of a liquid, and the same liquid at another reading. Does not belong
here: pH (acidity.py), colour (fitting.py), which readings count (calibration.py).
"""

from __future__ import annotations

from typing import Final

from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent

#: Beyond this % vol a refractometer reads ethanol as sugar. Chosen.
DRY_ABV: Final = 0.5
WORDS: Final = {"strength": "{:.1f} % vol", "brix": "{:.1f} °Bx"}
#: A reading further off than this is of another liquid, or of another instrument. Chosen.
FARTHEST: Final = {"strength": 15.0, "brix": 25.0}


def brix(liquid: Liquid) -> float:
    """Dissolved solids in % of weight: sugar and what else is no water, as °Brix counts them."""
    dry = float(liquid.mass_g) - float(liquid["water_g"]) - float(liquid["ethanol_g"])
    return 100.0 * dry / float(liquid.mass_g)


def abv_or_brix(liquid: Liquid, sort: str) -> float:
    """What an instrument of that sort should show."""
    return float(abv_percent(liquid)) if sort == "strength" else brix(liquid)


def with_reading(gram: Liquid, sort: str, read: float) -> Liquid | None:
    """One gram of the liquid that reads so; None where that cannot be.

    Alcohol or sugar takes the place of as much water: nothing else of it changes.
    """
    key = "ethanol_g" if sort == "strength" else "sugar_g"
    here = abv_or_brix(gram, sort)
    if abs(read - here) > FARTHEST[sort] or (sort == "brix" and float(abv_percent(gram)) > DRY_ABV):
        return None
    liquid = gram
    for _ in range(30):  # the share of one in the reading is nearly constant: each round is closer
        off = (read - abv_or_brix(liquid, sort)) / 100.0
        moved = off * (0.8 if sort == "strength" else 1.0) * float(gram.mass_g)
        liquid = liquid.having(
            **{key: float(liquid[key]) + moved, "water_g": float(liquid["water_g"]) - moved}
        )
        if float(liquid[key]) < 0.0 or float(liquid["water_g"]) < 0.0:
            return None
    return liquid
