"""Logs to print and write on: batches of one recipe, the probe's calibration, deviations.

Belongs here: putting sheets of records on paper. Does not belong here: what a log asks for
(bench.records).
"""

from __future__ import annotations

from collections.abc import Sequence

from generator.bench.records import Sheet
from generator.press.faults import told_of
from generator.press.paper import paper_pdf
from generator.press.papers import Paper
from generator.press.theme import Theme
from generator.recipe.house import House

DEFER = "Local codes and licensed practice come first: keep these as long as yours asks."


def logs_pdf(sheets: Sequence[Sheet], house: House, theme: Theme, paper: Paper) -> bytes:
    """Every log on a sheet of its own (or more), across A4 or Letter, tagged."""
    size = f"@page {{ size: {paper.height_mm:g}mm {paper.width_mm:g}mm }}"
    front = {"name": house.name, "language": house.language}
    html = theme.render("log.html", {"sheets": sheets, "house": front, "defer": DEFER})
    with told_of(theme, "form.css"):
        return paper_pdf(html, theme.style("form.css") + size, theme.fonts, "the logs")
