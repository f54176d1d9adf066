"""The spec book on a screen: a page a recipe, the way in, and the codes for the tables.

Belongs here: which figures of a recipe staff are shown beside its card, and what a search finds.
Does not belong here: wording and rounding (card.py, spec.py, confidence.py), looks (the themes).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from anthocard.engine.results import Computed, Measure
from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.house.files import slug
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.markdown import markdown_html
from anthocard.press.base.number_text import plain
from anthocard.press.base.theme import Theme
from anthocard.press.data.row import Listed
from anthocard.press.data.scaling import Scaling
from anthocard.press.draw.curve import make_curve
from anthocard.press.draw.qr import draw_qr
from anthocard.press.html.assets import Assets
from anthocard.press.words.amounts import Pour, poured_volume
from anthocard.press.words.card import Card
from anthocard.press.words.history import Step

ORDER = ("drink", "infusion", "solution", "syrup")
CODES = 8  # on one page of table codes, two across: each is cut out about 8 cm wide


@dataclass(frozen=True, slots=True)
class Line:
    """An amount on a page: as on the card, and what a script needs to tell it in ounces.

    `ml` is the printed volume, or empty where the thing is weighed or counted.
    """

    pour: Pour
    ml: str


@dataclass(frozen=True, slots=True)
class Filter:
    """A choice over the list: its key, its name and what may be chosen."""

    key: str
    name: str
    choices: tuple[tuple[str, str], ...]


def spec_page(
    card: Card,
    one: Computed,
    theme: Theme,
    assets: Assets,
    steps: Sequence[Step] = (),
    papers: bool = True,
    used_in: Sequence[tuple[str, str]] = (),
    scaling: Scaling | None = None,
) -> str:
    """Everything staff need of one recipe.

    `papers` says whether there is a PDF card to link to; `used_in` are slug and name of the recipes
    it is poured in. Without `scaling` no batch is offered.
    """
    values = {
        "card": card,
        "scaling": scaling,
        "lines": [Line(p, _ml(m)) for p, m in zip(card.pours, one.measures, strict=True)],
        "reveal": Line(card.reveal, _ml(one.reveal)) if card.reveal and one.reveal else None,
        "curve": make_curve(one, language(card.language)),
        "used_in": used_in,
        "steps": steps,
        "style": assets["pages.css"],
        "assets": assets,
        "papers": papers,
        "guest_text": markdown_html(card.guest_text),
        "staff_text": markdown_html(card.staff_text),
    }
    return theme.render("spec.html", values, card.language)


def staff_page(
    listed: Sequence[Listed],
    house: House,
    theme: Theme,
    assets: Assets,
    on_paper: Sequence[tuple[str, str]] = (),
) -> str:
    """The way into the spec book: every recipe, drinks first, with a search and its filters.

    `on_paper` are names and addresses of the papers for all; where there are any, there are cards.
    """
    shelves = [(kind, [row for row in listed if row.kind == kind]) for kind in ORDER]
    values = {
        "shelves": [shelf for shelf in shelves if shelf[1]],
        "filters": _filters(listed, language(house.language)),
        "style": assets["pages.css"],
        "assets": assets,
        "on_paper": on_paper,
        "house": _front(house),
    }
    return theme.render("staff.html", values, house.language)


def tables_page(house: House, theme: Theme, assets: Assets) -> str:
    """Codes to cut out for the tables, each leading to the menu where it is hosted.

    The house must say where that is (`web`).
    """
    assert house.web is not None  # the caller asks first: without an address there is no code
    tongue = language(house.language)
    values = {
        "house": _front(house),
        "web": house.web,
        "code": draw_qr(
            house.web, tongue.gettext("Code leading to %(address)s", address=house.web)
        ),
        "codes": CODES,
        "style": assets["pages.css"],
        "assets": assets,
    }
    return theme.render("tables.html", values, house.language)


def _ml(measure: Measure) -> str:
    poured = poured_volume(measure)
    return "" if poured is None else plain(poured.base)


def _filters(listed: Iterable[Listed], tongue: Language) -> tuple[Filter, ...]:
    """Only what at least one recipe has is offered."""
    names = {
        "plant": tongue.gettext("Plant"),
        "glass": tongue.gettext("Glass"),
        "method": tongue.gettext("Method"),
        "allergen": tongue.gettext("Contains"),
    }
    found: dict[str, dict[str, str]] = {key: {} for key in names}
    for row in listed:
        for key, choices in row.choices.items():
            found[key].update(choices)
    order = {slug(key): number for number, key in enumerate(PLANTS)}

    def place(pair: tuple[str, str]) -> tuple[int, str]:
        return order.get(pair[0], 0), pair[1]

    return tuple(
        Filter(key, name, tuple(sorted(found[key].items(), key=place)))
        for key, name in names.items()
        if found[key]
    )


def _front(house: House) -> dict[str, str]:
    return {"name": house.name, "voice": house.voice or ""}
