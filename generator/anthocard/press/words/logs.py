"""Logs to print and write on: batches of one recipe, the probe's calibration, deviations.

Belongs here: putting sheets of records on paper. Does not belong here: what a log asks for
(records.py).
"""

from __future__ import annotations

from collections.abc import Sequence

from anthocard.engine.trade.records import Sheet
from anthocard.house.settings import House
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme
from anthocard.press.paper.faults import told_of
from anthocard.press.paper.typeset import paper_pdf

DEFER = "Local codes and licensed practice come first: keep these as long as yours asks."


def logs_pdf(sheets: Sequence[Sheet], house: House, theme: Theme, paper: Paper) -> bytes:
    """Every log on a sheet of its own (or more), across A4 or Letter, tagged."""
    size = f"@page {{ size: {paper.height_mm:g}mm {paper.width_mm:g}mm }}"
    front = {"name": house.name, "language": house.language}
    html = theme.render("log.html", {"sheets": sheets, "house": front, "defer": DEFER})
    with told_of(theme, "form.css"):
        return paper_pdf(html, theme.style("form.css") + size, theme.fonts, "the logs")
