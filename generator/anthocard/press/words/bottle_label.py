"""The label of a bottle of something the house makes, in words.

Belongs here: what a label says. Does not belong here: shelf life and lots (the engine), labels on
paper (label_sheets.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from anthocard.engine.results import Computed
from anthocard.engine.trade.records import lot
from anthocard.facts.law.shelf_life import last_day
from anthocard.house.model import Infusion
from anthocard.house.settings import House
from anthocard.press.base.number_text import dose, percent_vol
from anthocard.press.draw.qr import draw_qr
from anthocard.press.words.card import Card

#: Rules whose first sentence is the hazard line of a label. Chosen.
HAZARDS = ("acid-solution", "acid-damage", "acid-eyes")
#: The least % vol that is told as a strength; below it a label says "under".
TOLD_ABV = 0.5


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


def _strength(computed: Computed, card: Card) -> str:
    """How an infusion was dosed; of anything else what was weighed into a litre of it."""
    litres = computed.before.volume_ml / 1000.0
    dry = [one for one in computed.measures if one.ml is None and one.g]
    if isinstance(computed.recipe, Infusion) or not dry or litres <= 0.0:
        return card.method
    return ", ".join(f"{dose((one.g or 0.0) / litres)} {one.name}" for one in dry)


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
