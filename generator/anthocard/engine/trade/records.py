"""Records: lot numbers, the probe's calibration, and the printed sheets that are written on.

Belongs here: what a log asks for and what it should find. Does not belong here: how a sheet looks
(the press).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Computed, ToldPh

_LETTER: Final = re.compile(r"[A-Z]")


@dataclass(frozen=True, slots=True)
class Calibration:
    """A pH probe against two buffers: slope (positive, mV per pH), share of Nernst's, mV at pH 7.

    `accepted` says whether the share lies in the band that is usual to accept.
    """

    slope_mv_per_ph: float
    slope_percent: float
    offset_mv: float
    accepted: bool


@dataclass(frozen=True, slots=True)
class Log:
    """A log to print: its targets in label and value, its columns, and how many empty rows."""

    title: str
    targets: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: int
    note: str


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
) -> Calibration:
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
    accept = _table("probe")["accept"]
    return Calibration(
        slope,
        percent,
        mv_1 + slope * (ph_1 - 7.0),
        accept["low_percent"] <= percent <= accept["high_percent"],
    )


def nernst_mv_per_ph(temperature_c: float) -> float:
    """The slope of a perfect probe at a temperature in °C: 59.16 mV per pH at 25 °C."""
    row = _table("probe")["nernst"]
    kelvin = temperature_c + 273.15
    return float(1000.0 * row["r_j_per_mol_k"] * kelvin * math.log(10.0) / row["f_c_per_mol"])


def batch_log(figures: Computed, rows: int = 12) -> Log:
    """The log of one recipe's batches, with what each should show."""
    liquid = figures.before
    kept = figures.keeping
    targets = [
        ("Edition", figures.edition),
        ("pH", _acidity(liquid.ph_told)),
        ("Strength", f"{liquid.abv_percent:.1f} % vol"),
        ("Colour in the sample bottle", liquid.colour.name),
    ]
    if kept is not None:
        days = "until the colour has moved" if kept.days is None else f"{kept.days} days"
        targets += [("Keeps, day of making being day 1", days), ("Store", kept.store)]
    return _log("batch", f"{figures.name}: ", tuple(targets), rows)


def probe_log(rows: int = 12) -> Log:
    """The log of the probe's calibrations, with the band that is accepted."""
    row, accept = _table("probe"), _table("probe")["accept"]
    shares = accept["low_percent"], accept["high_percent"]
    band = f"{shares[0]:.0f} to {shares[1]:.0f} % of {nernst_mv_per_ph(25.0):.2f} mV per pH"
    slopes = [
        (
            f"Accept at {at_c:.0f} °C, mV per pH",
            " to ".join(f"{share * nernst_mv_per_ph(at_c) / 100:.1f}" for share in shares),
        )
        for at_c in row["told_at"]["celsius"]
    ]
    sum_ = ("Slope", "difference in mV over difference in pH")
    return _log("probe", "", (("Accept at 25 °C", band), sum_, *slopes), rows)


def deviation_log(rows: int = 12) -> Log:
    """The log of what went wrong and what was done about it."""
    return _log("deviation", "", (), rows)


def _acidity(told: ToldPh) -> str:
    if told is None:
        return "beyond the model: write what the meter reads"
    return "{:.1f} to {:.1f}".format(*told) if isinstance(told, tuple) else f"{told:.1f}"


def _log(key: str, before: str, targets: tuple[tuple[str, str], ...], rows: int) -> Log:
    row = _table("sheets")[key]
    return Log(before + row["title"], targets, tuple(row["columns"]), rows, row["note"])


def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "records.yaml")[section]
    return rows
