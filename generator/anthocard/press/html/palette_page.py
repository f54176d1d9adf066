"""The wall chart of every plant against pH and dose: whole by itself, and as a page of the book.

Belongs here: the words of the chart and its pages, for screen and paper. Does not belong here: its
colours (wallchart.py), its look (the themes).
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import TypedDict

from anthocard.engine.trade.wallchart import Band, PlantChart, plates, steps
from anthocard.facts.colour.colours import wcag_contrast
from anthocard.house.settings import House
from anthocard.press.base.fonts import web_fonts
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import dose, fixed, percent_vol
from anthocard.press.base.theme import Theme
from anthocard.press.html.assets import Assets, face_rules

STYLE = "palette.css"
ADDRESS = "plants.html"


@dataclass(frozen=True, slots=True)
class NamedSpan:
    """A colour name and over how many columns it holds."""

    name: str
    columns: int


@dataclass(frozen=True, slots=True)
class Cell:
    """One colour; `mark` is set on what a screen cannot show."""

    hex: str
    name: str
    mark: str


@dataclass(frozen=True, slots=True)
class DoseRow:
    """One dose in words, its colours, and their names over as many columns as they hold."""

    dose: str
    solvent: str
    cells: tuple[Cell, ...]
    runs: tuple[NamedSpan, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """One plant in words."""

    key: str
    label: str
    latin: str
    part: str
    rows: tuple[DoseRow, ...]


class Palette(TypedDict):
    """What every chart of all plants is given."""

    charts: tuple[Chart, ...]
    ph: tuple[str, ...]  # the steps over the columns


class PaletteGiven(Palette):
    """What the chart as a page by itself is given."""

    house: str
    style: str


class PlantsGiven(Palette):
    """What the chart in the spec book is given."""

    house: Mapping[str, str]  # its name
    style: str
    assets: Assets


def palette_page(theme: Theme, house: str, tag: str, on_paper: bool = False) -> str:
    """The chart of all plants as one HTML page that needs no other file; `on_paper` has its own
    faces.
    """
    faces = "" if on_paper else f"{_faces(theme, house, tag)}.hues td{{print-color-adjust:exact}}"
    values: PaletteGiven = {
        **_values(tag),
        "house": house,
        "style": f"{faces}{theme.style(STYLE)}{palette_rules()}",
    }
    return theme.render("palette.html", values, tag)


def plants_page(house: House, theme: Theme, assets: Assets) -> str:
    """The same as a page of the spec book."""
    values: PlantsGiven = {
        **_values(house.language),
        "house": {"name": house.name},
        "style": assets["pages.css"],
        "assets": assets,
    }
    return theme.render("plants.html", values, house.language)


@cache
def palette_rules() -> str:
    """A class for each colour of the chart, with an ink that is seen on it: pages allow no style
    on an element.
    """
    hexes = sorted({h for plate in plates() for band in plate.bands for h in band.hexes})
    return "".join(f".c{h[1:]}{{background:{h};color:{_ink(h)}}}" for h in hexes)


def _values(tag: str) -> Palette:
    tongue = language(tag)
    return {
        "charts": tuple(_chart(plate, tongue) for plate in plates()),
        "ph": tuple(fixed(value, 1, tongue) for value in steps()),
    }


def _faces(theme: Theme, house: str, tag: str) -> str:
    """The rules of the theme's faces with the faces in them."""
    rules = face_rules(theme.faces, STYLE)
    for name, face in web_fonts(theme.faces, language(tag).letters | set(house)).items():
        rules = rules.replace(name, f"data:font/woff2;base64,{b64encode(face).decode()}")
    return rules


def _chart(plate: PlantChart, tongue: Language) -> Chart:
    label, part = tongue.word("plant", plate.label), tongue.word("plant part", plate.part)
    rows = tuple(_row(band, tongue) for band in plate.bands)
    return Chart(plate.key, label, plate.latin, part, rows)


def _row(band: Band, tongue: Language) -> DoseRow:
    names = [tongue.word("colour", name) for name in band.names]
    return DoseRow(
        dose=f"{tongue.word('dose', band.dose)}, {dose(band.g_per_l, 2, tongue)}",
        solvent=_solvent(band.abv_percent, tongue),
        cells=tuple(
            Cell(hex_, name, "" if shown else "*")
            for hex_, name, shown in zip(band.hexes, names, band.in_gamut, strict=True)
        ),
        runs=tuple(NamedSpan(name, len(list(same))) for name, same in groupby(names)),
    )


def _solvent(abv_percent: float, tongue: Language) -> str:
    if abv_percent == 0.0:
        return tongue.gettext("in water")
    return tongue.gettext("at %(strength)s", strength=percent_vol(abv_percent, tongue))


def _ink(hex_: str) -> str:
    return max(("#000000", "#ffffff"), key=lambda ink: wcag_contrast(hex_, ink))
