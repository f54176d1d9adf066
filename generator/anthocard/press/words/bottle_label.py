"""Bottles in words: the label of one, how a batch is put into bottles or kegs and served from them.

Belongs here: what a label says, how a batch is bottled and served. Does not belong here: shelf life
and lots (the engine), how many and how cold (batching.py), labels on paper (label_sheets.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from anthocard.engine.results import Caution, Computed, Measure
from anthocard.engine.trade.batching import Batch
from anthocard.engine.trade.held_back import BatchLine
from anthocard.engine.trade.records import lot
from anthocard.engine.trade.vessels import Vessel, keg_care
from anthocard.facts.law.shelf_life import last_day
from anthocard.house.model import Infusion
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import (
    dose,
    fixed,
    millilitres,
    percent_vol,
    ph_text,
    tidy,
    volume,
)
from anthocard.press.draw.qr import draw_qr
from anthocard.press.words.allergen_words import by_state, line
from anthocard.press.words.amounts import batch_columns
from anthocard.press.words.card import Card
from anthocard.press.words.caution_words import in_language, on_bottles, on_label

#: The least % vol that is told as a strength; below it a label says "under".
STATED_ABV = 0.5


@dataclass(frozen=True, slots=True)
class Label:
    """One label in words. `made`, `discard` and `lot` are empty where they are to be written in."""

    name: str
    house: str
    edition: str
    language: str
    statement: str
    warning: bool  # the statement warns
    strength: str
    made: str
    discard: str
    within: str
    lot: str
    store: str
    allergens: str
    free: bool  # of every listed allergen, as far as is known
    hazard: str
    chip: str
    qr: str


def make_label(
    computed: Computed, card: Card, house: House, made: date | None = None, letter: str = "A"
) -> Label:
    """Word the label of one infusion, solution or syrup; with `made` its dates and lot are set.

    Raises ValueError for a drink, which is made to order.
    """
    tongue = language(card.language)
    computed = in_language(computed, tongue)
    shelf_life = computed.keeping
    if computed.is_drink or shelf_life is None:
        raise ValueError("a drink has no label")
    hazards = on_label(computed.cautions)
    if hazards.warning and computed.before.abv_percent >= STATED_ABV:
        hazards = replace(hazards, lines=(f"{_alcohol(computed, tongue)}.", *hazards.lines))
    address = f"{house.staff_web.rstrip('/')}/{card.slug}.html" if house.staff_web else ""
    stamp = tongue.gettext("edition %(stamp)s", stamp=card.edition)
    code = address or f"{card.name} · {stamp}"
    within, known = _within(shelf_life.days, tongue), by_state(computed.allergens)
    discard = (
        ""
        if made is None or shelf_life.days is None
        else tongue.day(last_day(made, shelf_life.days))
    )
    return Label(
        name=card.name,
        house=card.house,
        edition=card.edition,
        language=card.language,
        statement=hazards.statement or _alcohol(computed, tongue),
        warning=hazards.warning,
        strength=f"{_strength(computed, card, tongue)} · {card.before.ph} · {card.before.colour}",
        made="" if made is None else tongue.day(made),
        discard=discard,
        within=within,
        lot="" if made is None else lot(made, letter),
        store=tongue.word("store", shelf_life.store),
        allergens=card.holds,
        free=not (known.contains or known.may_contain or known.unchecked),
        hazard=" ".join(hazards.lines),
        chip=card.before.drawing,
        qr=draw_qr(code, tongue.gettext("Code for the spec of %(name)s", name=card.name)),
    )


def _strength(computed: Computed, card: Card, tongue: Language) -> str:
    """How an infusion was dosed; of anything else what was weighed into a litre of it."""
    litres = computed.before.volume_ml / 1000.0
    dry = [one for one in computed.measures if one.ml is None and one.g]
    if isinstance(computed.recipe, Infusion) or not dry or litres <= 0.0:
        return card.method
    return ", ".join(f"{dose((one.g or 0.0) / litres, tongue=tongue)} {one.name}" for one in dry)


def _alcohol(computed: Computed, tongue: Language) -> str:
    abv = computed.before.abv_percent
    if abv >= STATED_ABV:
        return tongue.gettext("contains alcohol, %(strength)s", strength=percent_vol(abv, tongue))
    if abv < 0.05:
        return tongue.gettext("no alcohol")
    return tongue.gettext("under %(strength)s", strength=percent_vol(STATED_ABV, tongue))


def _within(days: int | None, tongue: Language) -> str:
    if days is None:
        return tongue.gettext("when colour, smell or clarity change")
    if days == 1:
        return tongue.gettext("on the day it is made")
    return tongue.gettext("by day %(days)d, day of making is day 1", days=days)


def vessels_words(kind: str, count: str, ml: float, tongue: Language) -> str:
    """So many vessels of a kind and size; `count` may be a place for a figure to come."""
    many, size = 1 if count == "1" else 2, millilitres(ml, tongue)
    told = {"count": count, "size": size}
    return {
        "dropper bottle": lambda: tongue.npgettext(
            "vessels", "%(count)s dropper bottle of %(size)s",
            "%(count)s dropper bottles of %(size)s", many, **told,
        ),
        "squeeze bottle": lambda: tongue.npgettext(
            "vessels", "%(count)s squeeze bottle of %(size)s",
            "%(count)s squeeze bottles of %(size)s", many, **told,
        ),
        "bottle": lambda: tongue.npgettext(
            "vessels", "%(count)s bottle of %(size)s", "%(count)s bottles of %(size)s", many, **told
        ),
        "jar": lambda: tongue.npgettext(
            "vessels", "%(count)s jar of %(size)s", "%(count)s jars of %(size)s", many, **told
        ),
        "freezer tub": lambda: tongue.npgettext(
            "vessels", "%(count)s freezer tub of %(size)s",
            "%(count)s freezer tubs of %(size)s", many, **told,
        ),
        "keg": lambda: tongue.npgettext(
            "vessels", "%(count)s keg of %(size)s", "%(count)s kegs of %(size)s", many, **told
        ),
    }[kind]()  # fmt: skip


def bottles_words(kind: str, count: str, ml: float, tongue: Language) -> str:
    """What is filled, each with its label; `count` may be a place for a figure to come."""
    vessels = vessels_words(kind, count, ml, tongue)
    many = 1 if count == "1" else 2
    empty = tidy(100.0 * (1.0 - Vessel(kind, ml).holds_ml / ml), 0, tongue)
    if empty != "0":
        return tongue.npgettext(
            "bottles",
            "%(vessels)s, %(empty)s %% head space; %(count)s label.",
            "%(vessels)s, %(empty)s %% head space; %(count)s labels.",
            many, vessels=vessels, empty=empty, count=count,
        )  # fmt: skip
    return tongue.npgettext(
        "bottles",
        "%(vessels)s, clean and unbranded; %(count)s label.",
        "%(vessels)s, clean and unbranded; %(count)s labels.",
        many, vessels=vessels, count=count,
    )  # fmt: skip


def _kegs(figures: Computed, tongue: Language) -> Iterator[str]:
    """The gas of kegs, how cold they stand, and how their lines are kept."""
    making, care = figures.making, keg_care()
    if making is not None and making.pressure_bar is not None:
        bar = fixed(making.pressure_bar, 1, tongue)
        yield tongue.gettext(
            "CO2 at %(bar)s bar over the air, at the step's own temperature.", bar=bar
        )
    else:
        yield tongue.gettext("Push it with nitrogen: no acid, no fizz; just enough to pour.")
    yield tongue.gettext(
        "Chill to %(cold)s °C before any gas goes on. Clean keg, lid and line before it is filled, "
        "and the line at least every %(days)s days. Vent before opening.",
        cold=f"{care['chill_c']:g}", days=care["clean_days"],
    )  # fmt: skip


def bottling(batch: Batch, house: House, figures: Computed, tongue: Language) -> Iterator[str]:
    """What is filled and how often, and whether it may stand in the freezer."""
    yield bottles_words(batch.vessel, str(batch.bottles), batch.bottle_ml, tongue)
    if batch.vessel == "keg":
        yield from _kegs(figures, tongue)
        return
    cold = {
        "freezer": tidy(house.freezer_temperature, 0, tongue),
        "ice": tidy(batch.freezing_c, 0, tongue),
    }
    if batch.freezer_safe:
        yield tongue.gettext(
            "Freezer at %(freezer)s °C: stays liquid, ice begins to form at %(ice)s °C.", **cold
        )
    elif batch.vessel == "freezer tub":
        yield tongue.gettext(
            "Freezer at %(freezer)s °C: ice begins to form at %(ice)s °C, and it grows.", **cold
        )
    else:
        yield tongue.gettext(
            "Freezer at %(freezer)s °C: NO. Ice begins to form at %(ice)s °C, and glass bursts. "
            "Fridge.",
            **cold,
        )


def written(
    cautions: Iterable[Caution], batch: Batch, figures: Computed, tongue: Language
) -> Iterator[str]:
    """What goes on the bottles of a drink, of which no label is printed."""
    if batch.serves:
        words = " ".join((line(figures.allergens, tongue), *on_bottles(cautions)))
        yield tongue.gettext("Write on each bottle: name, lot, discard-by. %(words)s", words=words)


def service_lines(
    figures: Computed, batch: Batch, tongue: Language, held_back: str | None = None
) -> Iterator[str]:
    """What one serve is made of once the batch is cold.

    `held_back` stands for how much of a thing is held back in all, where a page works that out.
    """
    if not batch.serves:
        return
    one_ml = millilitres(batch.total_ml / batch.serves, tongue)
    yield tongue.gettext("%(amount)s of the batch a serve.", amount=one_ml)
    for held in batch.held_back:
        tin = batch.still_shaken and held.why not in ("fizz", "glass")
        yield tongue.gettext(
            "%(where)s: %(one)s %(name)s; hold back %(all)s in all (%(why)s).",
            where=(
                tongue.gettext("Into each tin") if tin else tongue.gettext("Into each glass, last")
            ),
            one=_amount_of_line(held.one, tongue), name=held.name,
            all=held_back or _amount_of_line(held.all, tongue), why=_why(held.why, tongue),
        )  # fmt: skip
    if batch.still_shaken:
        yield tongue.gettext(
            "Shake each serve on ice as it is always shaken: the batch holds no water in place of "
            "melt."
        )
    if len(figures.stages) == 1 and figures.stages[0].how == "poured":
        one = figures.revealed[0]
        amount = _amount(one, tongue)
        yield tongue.gettext("The guest pours %(amount)s %(name)s.", amount=amount, name=one.name)
        return
    for number, stage in enumerate(figures.stages, start=1):
        colour = tongue.word("colour", stage.state.colour.name)
        then = (
            tongue.gettext("stir it and it is %(colour)s", colour=colour)
            if stage.how == "layered"
            else tongue.gettext("then it is %(colour)s", colour=colour)
        )
        what = f"{_amount(stage.measure, tongue)} {stage.measure.name}"
        how = tongue.word("reveal", stage.how)
        yield f"{number}. {how}: {what}; {then}, pH {ph_text(stage.state.stated_ph, 1, tongue)}"


def _why(why: str, tongue: Language) -> str:
    """Why a pour waits for service."""
    return {
        "fizz": tongue.gettext("it goes flat"),
        "foam": tongue.gettext("foam is made glass by glass"),
        "dairy": tongue.gettext("it curdles"),
        "citrus": tongue.gettext("pressed on the day, and only for it"),
        "drops": tongue.gettext("set on each glass"),
        "glass": tongue.gettext("it belongs to each glass"),
    }[why]


def _amount_of_line(line: BatchLine, tongue: Language) -> str:
    return next(part for part in batch_columns(line, tongue) if part)


def _amount(one: Measure, tongue: Language) -> str:
    return one.text if one.ml is None else volume(one.ml, one.role, tongue)
