"""The wall chart of every plant against pH and dose, as one page with its style inside.

Belongs here: the words of the chart and its page, for screen and paper. Does not belong here: its
colours (wallchart.py), its look (the themes).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from anthocard.engine.trade.wallchart import Band, Plate, plates, steps
from anthocard.facts.colour.colours import wcag_contrast
from anthocard.press.base.number_text import dose, tidy
from anthocard.press.base.theme import Theme

STYLE = "palette.css"


@dataclass(frozen=True, slots=True)
class Run:
    """A colour name and over how many columns it holds."""

    name: str
    columns: int


@dataclass(frozen=True, slots=True)
class Cell:
    """One colour; `mark` is set on what a screen cannot show, in an `ink` that is seen on it."""

    hex: str
    name: str
    mark: str
    ink: str


@dataclass(frozen=True, slots=True)
class Row:
    """One dose in words, its colours, and their names over as many columns as they hold."""

    dose: str
    solvent: str
    cells: tuple[Cell, ...]
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """One plant in words."""

    key: str
    label: str
    latin: str
    part: str
    rows: tuple[Row, ...]


def palette_page(theme: Theme, house: str, language: str) -> str:
    """The chart of all plants as one HTML page that needs no other file."""
    values = {
        "charts": tuple(map(_chart, plates())),
        "ph": tuple(f"{value:.1f}" for value in steps()),
        "house": house,
        "style": theme.style(STYLE),
    }
    return theme.render("palette.html", values, language)


def _chart(plate: Plate) -> Chart:
    return Chart(
        plate.key, plate.label, plate.latin, plate.part, tuple(_row(band) for band in plate.bands)
    )


def _row(band: Band) -> Row:
    return Row(
        dose=f"{band.dose}, {dose(band.g_per_l, 2)}",
        solvent="in water" if band.abv_percent == 0.0 else f"at {tidy(band.abv_percent, 0)} % vol",
        cells=tuple(
            Cell(hex_, name, "" if shown else "*", _ink(hex_))
            for hex_, name, shown in zip(band.hexes, band.names, band.in_gamut, strict=True)
        ),
        runs=tuple(Run(name, len(list(same))) for name, same in groupby(band.names)),
    )


def _ink(hex_: str) -> str:
    return max(("#000000", "#ffffff"), key=lambda ink: wcag_contrast(hex_, ink))
