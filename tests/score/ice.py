"""Water that ice adds to a drink, in % of the start, beside weighings and one published curve.

Belongs here: a bench that chills one liquid, and its values. Does not belong here: what the tests ask
of them (tests/engine/test_ice.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from anthocard.engine.mix import chill
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.house.ice import Worked
from anthocard.house.model import Drink
from anthocard.house.serving.pours import Pour
from anthocard.house.settings import Glass, House

from tests.score.outside import Area, Scored

SUGAR, ACID = {"shaken": 11.0, "stirred": 6.0}, {"shaken": 1.3, "stirred": 0.1}
CURVE_ML = 95.0  # the middle of the drinks of that table


@cache
def tables() -> dict[str, Any]:
    text = (Path(__file__).parent / "ice.yaml").read_text(encoding="utf-8")
    whole: dict[str, Any] = yaml.safe_load(text)
    return whole


def house_of(**rest: Any) -> House:
    """A bench at 20 °C with drained ice at 0 °C and one glass."""
    glass = Glass.model_construct(width=60.0, holds=293.0, outline=None, stem=0.0)
    return House(name="Bench", place="GB", currency="GBP", glasses={"glass": glass}, **rest)


def drink_of(method: str, **rest: Any) -> Drink:
    """Some drink made so; what is in it is given to the ice apart."""
    ice = "cubed" if method == "built" else "none"
    pours = (Pour.model_validate("50 ml gin"),)
    return Drink.model_validate(
        {"name": "d", "glass": "glass", "method": method, "ice": ice, "pours": pours, **rest}
    )


def liquid_of(abv: float, ml: float, sugar: float = 0.0, acid: float = 0.0) -> Liquid:
    """So many ml at a strength, with grams of sugar and citric acid in 100 ml."""
    low, high = 0.0, 1.2 * ml
    for _ in range(60):
        water = 0.5 * (low + high)
        made = Liquid.of(
            water_g=water, ethanol_g=abv / 100.0 * ml * 0.78924, sugar_g=sugar * ml / 100.0,
            citric_mmol=acid * ml / 19.212, solutes_g=acid * ml / 100.0,
            solutes_ml=0.6 * acid * ml / 100.0,
        )  # fmt: skip
        low, high = (water, high) if float(volume_ml(made)) < ml else (low, water)
    return made


def iced(method: str, abv: float, ml: float, bare: bool = False) -> chill.Chilled:
    """A drink of that method at room temperature on drained ice at 0 °C."""
    solids = (0.0, 0.0) if bare else (SUGAR[method], ACID[method])
    return chill.chill(liquid_of(abv, ml, *solids), 20.0, drink_of(method), house_of())


def trial(key: str) -> tuple[dict[str, Any], Liquid, chill.Chilled]:
    """A row of the trials, what it began with, and what we make of it."""
    row = tables()["trials"][key]
    solids = (SUGAR["shaken"], ACID["shaken"]) if row.get("sour") else (0.0, 0.0)
    start = liquid_of(row["start_abv"], row.get("start_ml", 100.0), *solids)
    if "start_g" in row:
        start = start * (row["start_g"] / float(start.mass_g))
    drink = drink_of(row["method"], worked=Worked.model_validate(row["worked"]))
    return row, start, chill.chill(start, row["start_c"], drink, house_of())


def curve_percent(method: str, abv: float) -> float:
    """What the refitted curve says of a starting strength, % of the start."""
    coefficients = tables()["curves"][method]["coefficients"]
    return 100.0 * float(np.polyval(coefficients[::-1], abv / 100.0))


def _scored() -> Iterator[Scored]:
    def one(key: str, published: float, found: chill.Chilled, ml: float, fitted: bool) -> Scored:
        low, high = found.band(found.melt_g)
        ours, p5, p95 = (100.0 * grams / ml for grams in (found.melt_g, low, high))
        return Scored(key, published, ours, p5, p95, fitted)

    for key, row in tables()["trials"].items():
        if "low" in row:
            _, start, found = trial(key)
            ml = float(volume_ml(start))
            yield one(key, 50.0 * (row["low"] + row["high"]) / ml, found, ml, fitted=False)
    # The rows of the table follow its curve: they count as its two ends, not as so many weighings.
    for method, row in tables()["curves"].items():
        for end in ("from_abv", "to_abv"):
            found = iced(method, row[end], CURVE_ML)
            key = f"{method} curve at {row[end]} % vol"
            yield one(key, curve_percent(method, row[end]), found, CURVE_ML, fitted=True)


def areas() -> tuple[Area, ...]:
    """One area: water of the start, weighed or from the one curve."""
    return (Area("water from the ice, of the start", "points", tuple(_scored())),)
