"""The prep sheet: everything to make for a service, longest lead time first, with blanks to fill.

Belongs here: the order of work, containers, critical points and their wording. Does not belong
here: how much is needed (demand.py) or what a batch holds (batching.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from anthocard.diagnostics.diagnostic import MistakeLog, did_you_mean
from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.trade.batching import Batch, make
from anthocard.engine.trade.demand import take_off
from anthocard.engine.trade.held_back import BatchLine
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Infusion, Made, Recipe
from anthocard.house.references import making_order, needed_by
from anthocard.press.base.languages import Language, language
from anthocard.press.base.markdown import steps_in
from anthocard.press.base.number_text import millilitres, percent_vol, ph_text, tidy, weight
from anthocard.press.words.amounts import batch_columns
from anthocard.press.words.bottle_label import vessels_words
from anthocard.press.words.buying import amount_of
from anthocard.press.words.caution_words import in_language, on_prep, spoken
from anthocard.press.words.step_words import step_lines


@dataclass(frozen=True, slots=True)
class Weight:
    """One line to weigh or measure: weight first, volume beside it."""

    name: str
    weight: str
    volume: str


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to be told: what it is, how much or which; a blank beside it is the paper's."""

    label: str
    target: str


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to make: what is weighed, the steps, what is checked, how it is put away.

    `written` says for how much the amounts in the steps are, where that is not what is made.
    """

    name: str
    kind: str
    edition: str
    need: str
    weights: tuple[Weight, ...]
    steps: tuple[str, ...]
    written: str
    points: tuple[Point, ...]
    put_away: tuple[Point, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """Tasks that start on one day before service, longest lead time first."""

    title: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Prep:
    """The sheet: what is served, the days of work, and what is only bought in."""

    house: str
    language: str
    serves: tuple[tuple[str, str], ...]
    days: tuple[Day, ...]
    bought: tuple[tuple[str, str], ...]


def par_of(collection: Collection) -> dict[str, int]:
    """Serves by drink name from the house's `par`.

    Raises AuthorError where there is none, or it names a drink that is not there.
    """
    log = MistakeLog()
    names = {fold(name): name for name in collection.drinks}
    par = collection.house.par
    if not par:
        mend = "write --serves “NAME=40, …”, or a par: of serves by drink in house.yaml"
        log.add("no-par", "nothing says how much is served", collection.at(collection.house), mend)
    for name in par:
        if fold(name) not in names:
            place = collection.at(collection.house, ("par", name), key=True)
            mend = did_you_mean(name, collection.drinks)
            log.add("unknown-drink", f"no drink is called “{name}”", place, mend)
    log.raise_if_errors()
    return {names[fold(name)]: serves for name, serves in par.items()}


def make_prep(
    computed: Mapping[str, Computed], collection: Collection, serves: Mapping[str, float]
) -> Prep:
    """Work out and word the sheet for so many serves by drink name. Raises KeyError."""
    log = MistakeLog()
    shelf = Shelf(collection, log)
    sums = take_off(computed, collection, shelf, serves)
    making = {one.name: one for one in sums.make}
    leads = lead_hours(collection)
    tongue = language(collection.house.language)
    tasks: list[tuple[float, Task]] = []
    for made in making_order(collection):
        if made.name in making and making[made.name].used_ml > 0.0:
            one, figures = making[made.name], computed[collection.slug(made)]
            batch = make(figures, one.made_ml, collection, shelf)
            tasks.append((leads[made.name], _task(figures, batch, one.used_ml, tongue)))
    tasks.sort(key=lambda pair: -pair[0])  # stable: the order of making stands within one lead time
    days = sorted({days_before(hours) for hours, _ in tasks}, reverse=True)
    return Prep(
        house=collection.house.name,
        language=collection.house.language,
        serves=tuple((name, f"{count:g}") for name, count in serves.items()),
        days=tuple(
            Day(
                _day(day, tongue), tuple(task for hours, task in tasks if days_before(hours) == day)
            )
            for day in days
        ),
        bought=tuple((need.name, amount_of(need, tongue)) for need in sums.buy),
    )


def lead_hours(collection: Collection) -> dict[str, float]:
    """Hours before service at which each made thing must be begun, its own parts included."""
    leads: dict[str, float] = {}
    for made in making_order(collection):
        inside = (collection.find(name) for name in needed_by(made, collection))
        before = [leads[one.name] for one in inside if one and not isinstance(one, StockItem)]
        leads[made.name] = _own_hours(made) + max(before, default=0.0)
    return leads


def days_before(hours: float) -> int:
    """How many days before service work must begin; 0 when it fits the working day before it."""
    day = float(_table("prep")["day"]["hours"])
    return max(0, math.ceil((hours - day) / 24.0 - 1e-9))


def method_lines(
    computed: Computed, tongue: Language, times: float = 1.0
) -> tuple[tuple[str, ...], str]:
    """Steps to work by at so many times the recipe, and what is to be known of their amounts.

    Those of a preparation are scaled; what an author wrote for another batch says so.
    """
    recipe = computed.recipe
    if steps := step_lines(computed, tongue, times):
        return steps, ""
    if not (lines := steps_in(recipe.staff_text)):
        return tuple(_by_itself(recipe, tongue)), ""
    if abs(times - 1.0) < float(_table("prep")["alike"]["share"]):
        return lines, ""
    held_ml = recipe.batch if isinstance(recipe, Infusion) else None
    volume = millilitres(held_ml or computed.before.volume_ml, tongue)
    return lines, tongue.gettext(
        "Amounts inside these lines are for %(volume)s: the table goes before them.", volume=volume
    )


def _by_itself(recipe: Recipe, tongue: Language) -> Iterator[str]:
    """What is done to a thing whose recipe says no more than its amounts."""
    if isinstance(recipe, Infusion):
        yield tongue.gettext("Pour the liquid over the plant in a clean jar, and close it.")
        yield tongue.gettext("When its time is over, strain it and measure what came through.")
    else:
        yield tongue.gettext("Weigh everything in, the liquid first, and stir until it is even.")
    yield tongue.gettext("Bottle it, label it, put it away.")


def container(volume_ml: float, tongue: Language) -> str:
    """The smallest usual container that holds it with head space; several of the largest."""
    room = volume_ml * (1.0 + float(_table("prep")["air"]["share"]))
    rows = sorted(_table("containers").values(), key=lambda row: float(row["ml"]))
    for row in rows:
        if room <= row["ml"]:
            return tongue.word("container", row["words"])
    return f"{math.ceil(room / rows[-1]['ml'])} × {tongue.word('container', rows[-1]['words'])}"


def _own_hours(made: Made) -> float:
    rows = _table("prep")
    waits = made.time if isinstance(made, Infusion) else 0.0
    frozen = float(rows["freeze"]["hours"]) if "freez" in (made.store or "").casefold() else 0.0
    return waits + frozen + float(rows["hand"]["hours"])


def _task(figures: Computed, batch: Batch, needed_ml: float, tongue: Language) -> Task:
    recipe = figures.recipe
    weights = [_weight(line, tongue) for line in batch.lines]
    if batch.water_g > 0.5:
        volume = millilitres(batch.water_ml, tongue)
        water = tongue.gettext("still water, to the mark")
        weights.append(Weight(water, weight(batch.water_g, tongue), volume))
    held_ml = recipe.batch if isinstance(recipe, Infusion) and recipe.batch else None
    scale = batch.total_ml / figures.before.volume_ml if figures.before.volume_ml else 1.0
    holds_ml = batch.total_ml if held_ml is None else max(batch.total_ml, held_ml * scale)
    cautions = spoken(batch.cautions, in_language(figures, tongue).allergens, tongue)
    steps, written = method_lines(figures, tongue, scale)
    return Task(
        name=figures.name,
        kind=tongue.word("kind", figures.kind),
        edition=figures.edition,
        need=millilitres(needed_ml, tongue),
        weights=tuple(weights),
        steps=steps,
        written=written,
        points=tuple(_points(figures, batch, tongue)),
        put_away=tuple(_put_away(batch, holds_ml, tongue)),
        warnings=on_prep(cautions),
    )


def _put_away(batch: Batch, holds_ml: float, tongue: Language) -> Iterator[Point]:
    """What it is made in, filled into, and how it is kept."""
    shelf_life = batch.keeping
    days = (
        tongue.gettext("until the colour moves")
        if shelf_life.days is None
        else tongue.ngettext("%(n)d day", "%(n)d days", shelf_life.days)
    )
    vessels = vessels_words(batch.vessel, str(batch.bottles), batch.bottle_ml, tongue)
    yield Point(tongue.gettext("made in"), container(holds_ml, tongue))
    yield Point(tongue.gettext("filled into"), vessels)
    yield Point(tongue.gettext("labels"), str(batch.labels))
    yield Point(tongue.gettext("keeps"), days)
    if shelf_life.store:
        yield Point(tongue.gettext("store"), tongue.word("store", shelf_life.store))


def _points(figures: Computed, batch: Batch, tongue: Language) -> list[Point]:
    recipe = figures.recipe
    points = [
        Point(tongue.gettext("yield"), millilitres(batch.total_ml, tongue)),
        Point("pH", ph_text(figures.before.stated_ph, 1, tongue)),
    ]
    if isinstance(recipe, Infusion):
        points.append(Point(tongue.gettext("temperature"), f"{tidy(recipe.temperature, 0)} °C"))
        hours = tongue.gettext("%(hours)s h", hours=tidy(recipe.time, 1, tongue))
        points.append(Point(tongue.gettext("in at, out at"), hours))
    if figures.before.abv_percent >= 0.5:
        strength = percent_vol(figures.before.abv_percent, tongue)
        points.append(Point(tongue.gettext("strength"), strength))
    colour = tongue.word("colour", figures.before.colour.name)
    points.append(Point(tongue.gettext("colour"), colour))
    return points


def _weight(line: BatchLine, tongue: Language) -> Weight:
    volume, weighed = batch_columns(line, tongue)
    return Weight(line.name, weighed, volume)


def _day(days: int, tongue: Language) -> str:
    if days == 0:
        return tongue.gettext("On the day")
    if days == 1:
        return tongue.gettext("The day before")
    return tongue.gettext("%(days)d days before", days=days)


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.press.words", "prep.yaml")[section]
    return rows
