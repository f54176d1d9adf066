"""Records: lot numbers and the probe's calibration.

Belongs here: what numbers a record by itself. Does not belong here: the sheets that are written on
(press/words/log_sheets.py).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from anthocard.diagnostics.tables import read_table

_LETTER: Final = re.compile(r"[A-Z]")


@dataclass(frozen=True, slots=True)
class ProbeCalibration:
    """A pH probe against two buffers: slope (positive, mV per pH), share of Nernst's, mV at pH 7.

    `accepted` says whether the share lies in the band that is usual to accept.
    """

    slope_mv_per_ph: float
    slope_percent: float
    offset_mv: float
    accepted: bool


def lot(made: date, letter: str = "A") -> str:
    """The lot of a batch: two digits of the year, day of the year, batch letter (26064A).

    After the day-and-year codes of the California Food & Drug Branch. Raises ValueError for
    anything but one capital letter.
    """
    if _LETTER.fullmatch(letter) is None:
        raise ValueError("a batch is marked by one capital letter")
    return f"{made:%y%j}{letter}"


def calibrate(
    ph_1: float, mv_1: float, ph_2: float, mv_2: float, temperature_c: float = 25.0
) -> ProbeCalibration:
    """Slope and offset of a probe from its millivolts in two buffers at one temperature.

    Nernst: 59.16 mV per pH at 25 °C. Raises ValueError for twice the same buffer, and below
    absolute zero.
    """
    if math.isclose(ph_1, ph_2, abs_tol=0.5):
        raise ValueError("two buffers at least half a pH apart")
    if temperature_c <= -273.15:
        raise ValueError("colder than anything")
    slope = -(mv_2 - mv_1) / (ph_2 - ph_1)
    percent = 100.0 * slope / nernst_mv_per_ph(temperature_c)
    low, high = accepted_percent()
    return ProbeCalibration(slope, percent, mv_1 + slope * (ph_1 - 7.0), low <= percent <= high)


def nernst_mv_per_ph(temperature_c: float) -> float:
    """The slope of a perfect probe at a temperature in °C: 59.16 mV per pH at 25 °C."""
    row = _table("probe")["nernst"]
    kelvin = temperature_c + 273.15
    return float(1000.0 * row["r_j_per_mol_k"] * kelvin * math.log(10.0) / row["f_c_per_mol"])


def accepted_percent() -> tuple[float, float]:
    """The least and the most of a perfect probe's slope, in %, that is usual to accept."""
    accept = _table("probe")["accept"]
    return float(accept["low_percent"]), float(accept["high_percent"])


def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "records.yaml")[section]
    return rows
