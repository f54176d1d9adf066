"""The window: how far a pour may stray before the colour is another one.

Belongs here: the range of doses and pH that still look right, how fast the colour moves, and what
would widen the range. Does not belong here: finding the dose itself (search.py).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Window
from anthocard.engine.mix import appearance as look
from anthocard.engine.mix.line import Line
from anthocard.engine.mix.search import accuracy_ml
from anthocard.engine.together import Work, at_once
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.liquid import Floats, Liquid


def window(line: Line, dose_ml: float) -> Work[Window]:
    """What still looks like `dose_ml` (> 0): within ΔE00 5 of its colour.

    `high_ml` is None where the colour still holds at the end of the walk. The slopes are those on
    the steeper side of the dose.
    """
    row = _table()["walk"]
    doses = np.linspace(0.0, dose_ml * float(row["overshoot"]), int(row["points"]))
    near = dose_ml * np.array([0.98, 1.0, 1.02])
    along = yield from line.going(np.concatenate([near, doses]))
    same = float(_table()["same"]["delta_e00"])
    off = yield from look.apart(along.lab, along.lab[1])
    moved, off, ph_near, ph_along = off[:3], off[3:], along.ph[:3], along.ph[3:]
    low_ml = _leaves(doses, off, same, dose_ml, -1)
    high_ml = _leaves(doses, off, same, dose_ml, +1)
    per_ml = float(np.max(moved)) / (0.02 * dose_ml)
    ph_per_ml = float(abs(ph_near[2] - ph_near[0])) / (0.04 * dose_ml)
    ends = [doses[0] if low_ml is None else low_ml, doses[-1] if high_ml is None else high_ml]
    ph = np.interp(ends, doses, ph_along)
    accuracy = accuracy_ml(dose_ml)
    room = min(dose_ml - (low_ml or 0.0), np.inf if high_ml is None else high_ml - dose_ml)
    return Window(
        low_ml=low_ml or 0.0,
        high_ml=high_ml,
        low_ph=float(np.min(ph)),
        high_ph=float(np.max(ph)),
        delta_e00_per_ml=per_ml,
        delta_e00_per_tenth_ph=0.1 * per_ml / ph_per_ml if ph_per_ml > 1e-9 else 0.0,
        accuracy_ml=accuracy,
        narrow=bool(room < accuracy),
    )


def with_mend(line: Line, dose_ml: float) -> Work[Window]:
    """The window, and where it is narrow that of the same pour cut 1:1 with water.

    The weaker pour's dose is the one that brings the same pH, at most three times the old one.
    """
    found = yield from window(line, dose_ml)
    if not found.narrow:
        return found
    water = Liquid.of(water_g=water_density_g_per_ml())
    weak = replace(line, per_ml=(line.per_ml + water) * 0.5)
    doses = dose_ml * np.linspace(1.0, 3.0, int(_table()["walk"]["points"]))
    cut, whole = yield from at_once((weak.going(doses), line.going(np.array([dose_ml]))))
    off = np.abs(cut.ph - whole.ph)
    wider_ml = float(doses[np.argmin(off)])
    wider = yield from window(weak, wider_ml)
    return replace(found, wider_ml=wider_ml, wider_low_ml=wider.low_ml, wider_high_ml=wider.high_ml)


def _leaves(doses: Floats, off: Floats, same: float, dose_ml: float, way: int) -> float | None:
    """Where the colour stops being the same, going down (-1) or up (+1) from the dose; or None."""
    order = np.flatnonzero(doses < dose_ml)[::-1] if way < 0 else np.flatnonzero(doses > dose_ml)
    walked, strayed = np.append(dose_ml, doses[order]), np.append(0.0, off[order])
    beyond = np.flatnonzero(strayed > same)
    if beyond.size == 0:
        return None
    i = int(beyond[0])
    share = (same - strayed[i - 1]) / (strayed[i] - strayed[i - 1])
    return float(walked[i - 1] + share * (walked[i] - walked[i - 1]))


@cache
def _table() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.mix", "search.yaml")["window"]
    return rows
