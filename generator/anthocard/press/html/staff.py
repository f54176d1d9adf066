"""The spec book on a screen: a page a recipe, and the codes for the tables.

Belongs here: which figures of a recipe staff are shown beside its card. Does not belong here: the
list and its search (book_list.py), wording and rounding (card.py, spec.py, confidence.py), looks
(the themes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias, TypedDict

from markupsafe import Markup

from anthocard.engine.results import Computed, Measure
from anthocard.house.settings import House
from anthocard.press.base.languages import language
from anthocard.press.base.markdown import markdown_html
from anthocard.press.base.number_text import plain
from anthocard.press.base.theme import Theme
from anthocard.press.data.scaling import Scaling
from anthocard.press.draw.curve import Curve, make_curve
from anthocard.press.draw.drift import Drift
from anthocard.press.draw.qr import draw_qr
from anthocard.press.draw.wide import widened
from anthocard.press.html.assets import Assets
from anthocard.press.html.pictures import Picture
from anthocard.press.words.amounts import PourWords, Revealed, poured_volume
from anthocard.press.words.card import Card
from anthocard.press.words.history import EditionStep

#: Slug or address, and name.
Named: TypeAlias = tuple[str, str]

FEW = 60  # recipes named on the page of what is in them; all of them have pages of their own
CODES = 8  # on one page of table codes, two across: each is cut out about 8 cm wide


@dataclass(frozen=True, slots=True)
class AmountLine:
    """An amount on a page: as on the card, and what a script needs to tell it in ounces.

    `ml` is the printed volume, or empty where the thing is weighed or counted.
    """

    pour: PourWords
    ml: str


class SpecGiven(TypedDict):
    """What the page of a recipe is given."""

    card: Card
    scaling: Scaling | None  # where a batch is offered
    drift: Drift | None
    lines: list[AmountLine]
    reveals: list[tuple[Revealed, AmountLine]]
    curve: Curve | None
    used_in: Sequence[Named]  # slug and name of each recipe that it is poured in
    few: int  # of them told on this page
    before: Named | None  # the recipe before it in the book
    after: Named | None
    steps: Sequence[EditionStep]  # how it changed
    pictures: tuple[Picture | None, ...]  # before and after, in its own glass
    style: str
    assets: Assets
    papers: bool  # whether there is a card on paper
    guest_text: Markup
    staff_text: Markup


class FrontOfTable(TypedDict):
    """What the codes for tables say of the house."""

    name: str
    voice: str


class TablesGiven(TypedDict):
    """What the codes for tables are given."""

    house: FrontOfTable
    web: str
    code: str  # SVG
    tables: range | tuple[str, ...]  # their numbers, or so many without one
    style: str
    assets: Assets


def spec_page(
    card: Card,
    one: Computed,
    theme: Theme,
    assets: Assets,
    steps: Sequence[EditionStep] = (),
    papers: bool = True,
    used_in: Sequence[Named] = (),
    scaling: Scaling | None = None,
    neighbours: tuple[Named | None, Named | None] = (None, None),
    drift: Drift | None = None,
    pictures: Sequence[Picture] = (),
) -> str:
    """Everything staff need of one recipe.

    `papers` says whether there is a PDF card to link to; `used_in` are slug and name of the recipes
    it is poured in, `neighbours` those of the ones before and after it in the book. Without
    `scaling` no batch is offered; `pictures` are of the drink before and after, in its own glass.
    """
    values: SpecGiven = {
        "card": card,
        "scaling": scaling,
        "drift": drift,
        "lines": [AmountLine(p, _ml(m)) for p, m in zip(card.pours, one.measures, strict=True)],
        "reveals": [
            (said, AmountLine(said.pour, _ml(measure)))
            for said, measure in zip(card.reveals, one.revealed, strict=True)
        ],
        "curve": make_curve(one, language(card.language)),
        "used_in": used_in,
        "few": FEW,
        "before": neighbours[0],
        "after": neighbours[1],
        "steps": steps,
        "pictures": (*pictures, None, None),
        "style": assets["pages.css"],
        "assets": assets,
        "papers": papers,
        "guest_text": markdown_html(card.guest_text),
        "staff_text": markdown_html(card.staff_text),
    }
    return widened(theme.render("spec.html", values, card.language), (one,))


def tables_page(house: House, theme: Theme, assets: Assets) -> str:
    """Codes to cut out for the tables, each leading to the menu where it is hosted.

    The house must say where that is (`web`).
    """
    assert house.web is not None  # the caller asks first: without an address there is no code
    tongue = language(house.language)
    values: TablesGiven = {
        "house": _front(house),
        "web": house.web,
        "code": draw_qr(
            house.web, tongue.gettext("Code leading to %(address)s", address=house.web)
        ),
        "tables": range(1, house.tables + 1) if house.tables else ("",) * CODES,
        "style": assets["pages.css"],
        "assets": assets,
    }
    return theme.render("tables.html", values, house.language)


def _ml(measure: Measure) -> str:
    poured = poured_volume(measure)
    return "" if poured is None else plain(poured.base)


def _front(house: House) -> FrontOfTable:
    return {"name": house.name, "voice": house.voice or ""}
