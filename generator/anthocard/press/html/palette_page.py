"""The wall chart of every plant against pH and dose, as one page with its style inside.

Belongs here: the page, for screen and paper. Does not belong here: its words (plant_chart.py), its
colours (wallchart.py).
"""

from __future__ import annotations

from anthocard.engine.trade.wallchart import steps
from anthocard.press.base.theme import Theme
from anthocard.press.words.plant_chart import make_charts

STYLE = "palette.css"


def palette_page(theme: Theme, house: str, language: str) -> str:
    """The chart of all plants as one HTML page that needs no other file."""
    values = {
        "charts": make_charts(),
        "ph": tuple(f"{value:.1f}" for value in steps()),
        "house": house,
        "style": theme.style(STYLE),
    }
    return theme.render("palette.html", values, language)
