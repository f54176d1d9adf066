"""Logs to write on, in words: batches of one thing, the probe, what went wrong.

Belongs here: what a log asks for, and what it should find. Does not belong here: working out any of
it (engine/trade/records.py), how a sheet looks (the themes).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import Computed
from anthocard.engine.trade.records import accepted_percent, nernst_mv_per_ph
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import fixed, ph_text


@dataclass(frozen=True, slots=True)
class Log:
    """A log to print: its targets in label and value, its columns, and how many empty rows.

    `of` is what the house calls the thing it is about; empty where it is about none. `shares` are
    the columns' widths in % of the sheet, after what a hand writes there; `prose` says that it
    writes sentences.
    """

    of: str
    title: str
    targets: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: int
    note: str
    shares: tuple[int, ...] = ()
    prose: bool = False


def batch_log(figures: Computed, tongue: Language, rows: int | None = None) -> Log:
    """The log of one recipe's batches, with what each should show."""
    liquid, shelf_life = figures.before, figures.keeping
    ph = (
        tongue.gettext("not known: write what the meter reads")
        if liquid.stated_ph is None
        else ph_text(liquid.stated_ph, 1, tongue)
    )
    targets = [
        (tongue.gettext("Edition"), figures.edition),
        ("pH", ph),
        (tongue.gettext("Strength"), f"{fixed(liquid.abv_percent, 1, tongue)} % vol"),
        (tongue.gettext("Colour in the sample bottle"), tongue.word("colour", liquid.colour.name)),
    ]
    if shelf_life is not None:
        days = (
            tongue.gettext("until the colour has moved")
            if shelf_life.days is None
            else tongue.ngettext("%(n)d day", "%(n)d days", shelf_life.days)
        )
        targets += [
            (tongue.gettext("Keeps, day of making being day 1"), days),
            (tongue.gettext("Store"), tongue.word("store", shelf_life.store)),
        ]
    return _log("batch", figures.name, targets, rows, tongue)


def probe_log(tongue: Language, rows: int | None = None) -> Log:
    """The log of the probe's calibrations, with the band that is accepted."""
    shares = accepted_percent()
    low, high = (fixed(share, 0, tongue) for share in shares)
    slope = fixed(nernst_mv_per_ph(25.0), 2, tongue)
    targets = [
        (
            tongue.gettext("Accept at 25 °C"),
            tongue.gettext(
                "%(low)s to %(high)s %% of %(slope)s mV per pH", low=low, high=high, slope=slope
            ),
        ),
        (tongue.gettext("Slope"), tongue.gettext("difference in mV over difference in pH")),
    ]
    for at_c in _table("probe")["told_at"]["celsius"]:
        low, high = (fixed(share * nernst_mv_per_ph(at_c) / 100, 1, tongue) for share in shares)
        label = tongue.gettext("Accept at %(celsius)s °C, mV per pH", celsius=fixed(at_c, 0))
        targets.append((label, tongue.gettext("%(low)s to %(high)s", low=low, high=high)))
    return _log("probe", "", targets, rows, tongue)


def deviation_log(tongue: Language, rows: int | None = None) -> Log:
    """The log of what went wrong and what was done about it."""
    return _log("deviation", "", (), rows, tongue)


def _log(
    key: str, of: str, targets: Iterable[tuple[str, str]], rows: int | None, tongue: Language
) -> Log:
    row = _table("sheets")[key]
    title, note = (tongue.word("log", row[part]) for part in ("title", "note"))
    columns = tuple(tongue.word("log", column) for column in row["columns"])
    many = int(row["rows"]) if rows is None else rows
    return Log(of, title, tuple(targets), columns, many, note, tuple(row["shares"]), row["prose"])


def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.press.words", "log_sheets.yaml")[section]
    return rows
