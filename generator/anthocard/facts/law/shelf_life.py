"""How long things keep: dates, water activity, the Food Code's tables, and the policy shipped.

Belongs here: what hygiene and law say of a pH, a sugar content and a strength. Does not belong
here: how colour fades (kinetics), or what one house decided for itself (use_by.py).

None of it is a safety assessment. A house that keeps anything longer needs its own recorded test
or its authority's word.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Any, Literal, TypeAlias

import numpy as np

from anthocard.diagnostics.tables import TableError, read_table
from anthocard.facts.chemistry.kinetics import NoRate
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, Floats, Liquid
from anthocard.facts.law import conditions
from anthocard.facts.law.rules import Profile

Verdict: TypeAlias = Literal["non-TCS", "product assessment"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One reason to set a date: days with the day of making as day 1, or None for no date.

    `part` is the house-made thing in it that sets it, `decided` day, state and reason of what the
    house decided of it.
    """

    key: str
    days: int | None
    words: str
    source: str
    how: str
    part: str = ""
    decision: tuple[date, str, str] | None = None


@dataclass(frozen=True, slots=True)
class Fading:
    """When the colour will have moved ΔE00 5 through the sample bottle, by published fading rates.

    `days` is None where that is beyond `beyond_days`, where a pigment (`rateless`, by the plant's
    label) has no rate, and where there is no colour that fades; `sources` are those of the rates.
    """

    days: float | None = None
    beyond_days: float | None = None
    rateless: tuple[tuple[str, NoRate], ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Keeping:
    """How long one thing keeps, and why: the shortest limit, None where none sets a date."""

    days: int | None
    store: str
    limits: tuple[Limit, ...]
    colour: Fading = Fading()


def last_day(made: date, days: int) -> date:
    """The last day of use, the day of making (or opening) being day 1.

    FDA Food Code 3-501.17. Raises ValueError for less than one day.
    """
    if days < 1:
        raise ValueError("what keeps at all keeps for the day it is made on")
    return made + timedelta(days=days - 1)


def water_activity(liquid: Liquid) -> Floats:
    """Water activity 0-1 of a liquid, shape of the liquid; 1 for pure water, 0 for no water.

    Norrish's equation for sugar, everything else dissolved counted as ideal; ethanol is left out,
    which errs on the wet side. Within 0.01 of published values to 67 % sugar.
    """
    rows = _table("water_activity")
    water = liquid["water_g"] / rows["water"]["molar_mass"]
    sugar = liquid["sugar_g"] / rows["sucrose"]["molar_mass"]
    ions = liquid["strong_cation_mmol"] + liquid["strong_anion_mmol"]
    other = (ions + liquid.amounts[..., ACID_COLUMNS].sum(axis=-1)) / 1000.0
    total = water + sugar + other
    none = np.zeros_like(total)
    share = np.divide(water, total, out=none.copy(), where=total > 0)
    sweet = np.divide(sugar, total, out=none, where=total > 0)
    activity: Floats = np.asarray(share * np.exp(-rows["sucrose"]["k"] * sweet**2))
    return activity


def table_a(ph: float, activity: float) -> Verdict:
    """Food Code Table A: food heat-treated, then packaged. Non-TCS or product assessment."""
    return _verdict("table_a", ph, activity)


def table_b(ph: float, activity: float) -> Verdict:
    """Food Code Table B: food not heat-treated, or not packaged after. As `table_a`."""
    return _verdict("table_b", ph, activity)


def policy(profile: Profile) -> tuple[Limit, str] | None:
    """The policy row for a made thing: its limit and how to store it. None for what is not kept."""
    for key, row in _policy().items():
        if row["when"](profile):
            limit = Limit(key, row["days"], row["words"], row["source"], row["how"])
            return limit, str(row["store"])
    return None


def policy_keys() -> tuple[str, ...]:
    """Keys of the policy's rows, which a house may tighten or loosen."""
    return tuple(_policy())


def colour_moved() -> tuple[float, float]:
    """ΔE00 that counts as moved, and the longest time in days that is looked at."""
    row = _table("colour")["moved"]
    return float(row["delta_e00"]), float(row["longest_days"])


def _verdict(table: str, ph: float, activity: float) -> Verdict:
    for row in _table(table).values():
        if activity < row["aw_below"] if "aw_below" in row else activity <= row["aw_to"]:
            safe = ph < row["ph_below"] if "ph_below" in row else ph <= row.get("ph_to", 14.0)
            return "non-TCS" if safe else "product assessment"
    raise ValueError("water activity lies between 0 and 1")


@cache
def _policy() -> dict[str, Any]:
    rows = _table("policy")
    for key, row in rows.items():
        conditions.check(row["when"], Profile, f"keeping.yaml: {key}")
        if row["days"] is not None and row["days"] < 1:
            raise TableError(f"keeping.yaml: {key}: days start at 1")
    return {key: {**row, "when": conditions.asked(row["when"])} for key, row in rows.items()}


def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.law", "shelf_life.yaml")[section]
    return rows
