"""Bottle labels: for everything the house makes, on label sheets given by geometry.

Belongs here: what a label says and how labels fill sheets. Does not belong here: shelf life and
lots (the engine), where labels lie on a sheet (sizes.py), drawing them there (impose.py).

Each label is a page of its own first, so that one with too much on it is found and named.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from anthocard.diagnostics.diagnostic import (
    AuthorError,
    Mistake,
    Place,
)
from anthocard.engine.results import Computed
from anthocard.engine.trade.records import lot
from anthocard.facts.law.shelf_life import last_day
from anthocard.house.model import Infusion
from anthocard.house.settings import House
from anthocard.press.base.number_text import percent_vol, tidy
from anthocard.press.base.sizes import LabelSheet, Paper
from anthocard.press.base.theme import Theme
from anthocard.press.build.asking import each
from anthocard.press.draw.qr import draw_qr
from anthocard.press.paper.archive import boxed
from anthocard.press.paper.faults import told_of
from anthocard.press.paper.impose import impose_labels
from anthocard.press.paper.typeset import card_pdf
from anthocard.press.words.card import Card

#: Rules whose first sentence is the hazard line of a label. Chosen.
HAZARDS = ("acid-solution", "acid-damage", "acid-eyes")
#: The least % vol that is told as a strength; below it a label says "under".
TOLD_ABV = 0.5
FITS = ("grand", "roomy", "close", "tight")
TOO_FULL = "card-too-full"
#: The author's field that each part of a label comes from, in the order they are blamed.
FIELDS = {"parts": "strength", "allergens": "allergens", "store": "store", "name": "name"}


@dataclass(frozen=True, slots=True)
class Label:
    """One label in words. `made`, `discard` and `lot` are empty where they are to be written in."""

    name: str
    house: str
    edition: str
    language: str
    statement: str
    acid: bool
    strength: str
    made: str
    discard: str
    within: str
    lot: str
    store: str
    allergens: str
    hazard: str
    chip: str
    qr: str


def make_label(
    computed: Computed, card: Card, house: House, made: date | None = None, letter: str = "A"
) -> Label:
    """Word the label of one infusion, solution or syrup; with `made` its dates and lot are set.

    Raises ValueError for a drink, which is made to order.
    """
    kept = computed.keeping
    if computed.is_drink or kept is None:
        raise ValueError("a drink has no label")
    spoken = {caution.key: caution for caution in computed.cautions}
    acid = "acid-solution" in spoken
    hazard = next((spoken[key].staff for key in HAZARDS if key in spoken), "")
    address = f"{house.staff_web.rstrip('/')}/{card.slug}.html" if house.staff_web else ""
    code = address or f"{card.name} · edition {card.edition}"
    within = "when colour, smell or clarity change" if kept.days is None else _days(kept.days)
    discard = "" if made is None or kept.days is None else _day(last_day(made, kept.days))
    return Label(
        name=card.name,
        house=card.house,
        edition=card.edition,
        language=card.language,
        statement="ACID: do not drink neat" if acid else _alcohol(computed),
        acid=acid,
        strength=f"{_strength(computed, card)} · {card.before.ph} · {card.before.colour}",
        made="" if made is None else _day(made),
        discard=discard,
        within=within,
        lot="" if made is None else lot(made, letter),
        store=kept.store,
        allergens=_allergens(computed),
        hazard=hazard.partition(". ")[0].rstrip(".") + "." if hazard else "",
        chip=card.before.drawing,
        qr=draw_qr(code, f"Code for the spec of {card.name}"),
    )


def print_label(label: Label, paper: Paper, theme: Theme, place: Place) -> bytes:
    """One label as a page of its own.

    Raises AuthorError naming the recipe, and the field that is too long, when it is too full.
    """
    try:
        return _set(label, paper, theme, place, FITS)
    except AuthorError as error:
        if all(mistake.kind != TOO_FULL for mistake in error.mistakes):
            raise
        raise AuthorError([_blamed(label, paper, theme, place)]) from error


def _set(label: Label, paper: Paper, theme: Theme, place: Place, fits: Sequence[str]) -> bytes:
    size = f"@page {{ size: {paper.width_mm:g}mm {paper.height_mm:g}mm }}"
    pages = (_page(label, fit, theme) for fit in fits)
    style = theme.style("label.css") + size
    with told_of(theme, "label.css"):
        pdf = card_pdf(pages, style, label.name, place, theme.fonts, what="label")
    return boxed(pdf, paper, 0.0)


def _blamed(label: Label, paper: Paper, theme: Theme, place: Place) -> Mistake:
    """The one field without which the label would fit, else the longest of them."""
    texts = {field: getattr(label, attribute) for field, attribute in FIELDS.items()}
    field = max(texts, key=lambda field: len(texts[field]))
    for one, attribute in FIELDS.items():
        lighter = replace(label, **{attribute: texts[one][:12]})
        with suppress(AuthorError):
            _set(lighter, paper, theme, place, FITS[-1:])
            field = one
            break
    message = (
        f"the label of “{label.name}” does not fit {paper.width_mm:g} × {paper.height_mm:g} mm,"
        f" even with the tightest setting: there is too much in {field}"
    )
    return Mistake(TOO_FULL, message, place, f"shorten {field}, or print on a larger label")


def print_labels(
    labels: Sequence[tuple[Label, Place]], sheet: LabelSheet, theme: Theme, skip: int = 0
) -> bytes:
    """Sheets of labels in order, leaving the first `skip` places free.

    Raises AuthorError for a label that is too full, ValueError when `skip` is not on the sheet.
    """
    places: dict[Label, Place] = {}
    for label, place in labels:
        places.setdefault(label, place)
    makers = (partial(print_label, one, sheet.label, theme, at) for one, at in places.items())
    pages = dict(zip(places, each(makers), strict=True))
    return impose_labels(sheet, [pages[label] for label, _ in labels], skip)


def _page(label: Label, fit: str, theme: Theme) -> str:
    """Labels are black on white in every theme: they are printed on white stickers."""
    html = theme.render("label.html", {"label": label, "fit": fit})
    return html.replace("currentColor", "#000000")


def _strength(computed: Computed, card: Card) -> str:
    """How an infusion was dosed; of anything else what was weighed into a litre of it."""
    litres = computed.before.volume_ml / 1000.0
    dry = [one for one in computed.measures if one.ml is None and one.g]
    if isinstance(computed.recipe, Infusion) or not dry or litres <= 0.0:
        return card.method
    return ", ".join(f"{tidy((one.g or 0.0) / litres, 0)} g/l {one.name}" for one in dry)


def _alcohol(computed: Computed) -> str:
    abv = computed.before.abv_percent
    if abv >= TOLD_ABV:
        return f"contains alcohol, {percent_vol(abv)}"
    return "no alcohol" if abv < 0.05 else f"under {TOLD_ABV:g} % vol"


def _allergens(computed: Computed) -> str:
    """Contains and may contain; that nothing is known is said as well."""
    told = []
    for state, word in (("contains", "CONTAINS"), ("may contain", "may contain")):
        found = [one.label for one in computed.allergens if one.state == state]
        if found:
            told.append(f"{word} {', '.join(found)}")
    return "; ".join(told) if told else "no allergen of the local list known"


def _days(days: int) -> str:
    return "on the day it is made" if days == 1 else f"by day {days}, day of making is day 1"


def _day(when: date) -> str:
    return f"{when.day} {when:%b %Y}"
