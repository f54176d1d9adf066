"""Stock take-off: what a week's plan of serves needs, what to make of it, and what to buy.

Belongs here: adding up the plan down to packs. Does not belong here: prices (cost.py) or batches
(batching.py). The sums are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from anthocard.diagnostics.diagnostic import MistakeLog, Severity, did_you_mean
from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed, Measure
from anthocard.engine.safety.ingredients import named_in
from anthocard.engine.trade.cost import pack_share
from anthocard.facts.pantry import fruit_of, produce
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import Amount, pieces, to_g, to_ml
from anthocard.facts.units.units import units
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink
from anthocard.house.references import making_order
from anthocard.house.settings import House


@dataclass(frozen=True, slots=True)
class StockNeed:
    """One stock line of a plan. Numbers are packs, `pack` says how large one is.

    `needed` counts the week with waste and strain loss, `to_buy` is whole packs after what is on
    hand and what should stay. All are None where the line has no pack or its size does not meet how
    it is measured; `amount` (`ml`, `g` or pieces, as `unit` says) then tells how much.
    """

    name: str
    amount: float
    unit: str
    pack: str
    needed: float | None
    on_hand: float | None
    to_buy: int | None
    cost: float | None
    supplier: str
    lead_days: int
    pieces: float | None = None  # of fruit: about how many

    def order_by(self, start: date) -> date:
        """The day to order on for a week that starts on `start`."""
        return start - timedelta(days=self.lead_days)


@dataclass(frozen=True, slots=True)
class HouseMade:
    """A house-made thing of a plan, ml: what is used of it, what it goes into included, and the
    batch that is made of it for that: a little spare, and no less than is worth making.
    """

    name: str
    used_ml: float
    made_ml: float


@dataclass(frozen=True, slots=True)
class TakeOff:
    """A week's plan: stock to buy, and house-made things by their names."""

    buy: tuple[StockNeed, ...]
    make: tuple[HouseMade, ...]


def check_plan(collection: Collection, log: MistakeLog) -> None:
    """Warn of every drink of the house's week, or of its par, that is not there (any more).

    No error yet: a plan that lags behind must not hold up a menu. Whoever asks for the plan gets
    one (`week_of`).
    """
    for key in ("week", "par"):
        _check(collection, key, log, "warning")


def week_of(collection: Collection) -> dict[str, int]:
    """Serves by drink name from the house's `week`.

    Raises AuthorError for a drink that is not there, and where nothing is planned.
    """
    log = MistakeLog()
    _check(collection, "week", log, "error")
    log.raise_if_errors()
    names = {fold(name): name for name in collection.drinks}
    plan = {names[fold(name)]: serves for name, serves in collection.house.week.items() if serves}
    if not plan:
        mend = "write --serves “NAME=40, …”, or a week: of serves by drink in house.yaml"
        log.add(
            "no-week", "nothing says what the week serves", collection.at(collection.house), mend
        )
    log.raise_if_errors()
    return plan


def _check(
    collection: Collection, key: Literal["week", "par"], log: MistakeLog, severity: Severity
) -> None:
    drinks = {fold(name) for name in collection.drinks}
    for name in collection.house.week if key == "week" else collection.house.par:
        if fold(name) not in drinks:
            log.add(
                "unknown-drink",
                f"no drink is called “{name}”",
                collection.at(collection.house, (key, name), key=True),
                did_you_mean(name, collection.drinks),
                severity,
            )


def take_off(
    computed: Mapping[str, Computed],
    collection: Collection,
    shelf: Shelf,
    week: Mapping[str, float] | None = None,
) -> TakeOff:
    """Add up a week, serves by drink name (the house's own week where none is given).

    The house's waste allowance comes on top, and what is made is made in batches (`HouseMade`).
    Raises KeyError for a drink that is not there.
    """
    plan = collection.house.week if week is None else week
    slugs = {fold(name): collection.slug(drink) for name, drink in collection.drinks.items()}
    waste = 1.0 + collection.house.waste_percent / 100.0
    used: dict[tuple[str, bool], Measure] = {}
    for name, serves in plan.items():
        for bottle, measure in _pours(computed[slugs[fold(name)]], collection, shelf):
            _use(bottle, _times(measure, serves * waste), used)
    made: list[HouseMade] = []
    for recipe in reversed(making_order(collection)):  # what goes into others after them
        bottle, figures = shelf[recipe.name], computed[collection.slug(recipe)]
        own_g = 0.0 if bottle.batch is None else float(bottle.batch.mass_g)
        used_g = used.pop((recipe.name, False)).g if (recipe.name, False) in used else None
        if not used_g or own_g <= 0.0:
            continue
        used_ml = used_g / own_g * figures.before.volume_ml
        made_ml = _made_ml(figures, used_ml, collection.house)
        made.append(HouseMade(recipe.name, used_ml, made_ml))
        for part, amount in bottle.parts:
            _use(part, _times(amount, made_ml / figures.before.volume_ml), used)
    needs = [
        _need(shelf[name], measure)
        for (name, _), measure in _as_bought(used, shelf).items()
        if shelf[name].item is not None and (shelf[name].kind != "water" or _packed(shelf[name]))
    ]
    return TakeOff(
        tuple(sorted(needs, key=lambda need: need.name.casefold())),
        tuple(sorted(made, key=lambda one: one.name)),
    )


def _made_ml(figures: Computed, used_ml: float, house: House) -> float:
    """What is used and a little spare, ml; never so little that its powders cannot be weighed or a
    jar keeps the most of it, but for a recipe that makes less as it is written.
    """
    recipe, own_ml = figures.recipe, figures.before.volume_ml
    assert not isinstance(recipe, Drink)
    dry = [one.g for one in figures.measures if one.ml is None and one.g]
    weighed = min(1.0, _row("making", "weigh")["g"] / min(dry)) * own_ml if dry else 0.0
    least = min(_row("making", "least")["ml"], own_ml) if recipe.least is None else recipe.least
    spares = (recipe.spare, house.spare_percent, _row("making", "spare")["percent"])
    spare = next(one for one in spares if one is not None)
    return max(used_ml * (1.0 + spare / 100.0), weighed, least)


def _as_bought(
    used: Mapping[tuple[str, bool], Measure], shelf: Shelf
) -> dict[tuple[str, bool], Measure]:
    """What is used as it is bought: a juice the house buys in no pack is pressed from fruit."""
    bought: dict[tuple[str, bool], Measure] = {}
    for (name, counted), measure in used.items():
        item, fruit = shelf[name].item, fruit_of(name)
        pressed = fruit is not None and item is not None and item.pack is None
        if fruit is not None and pressed and measure.g is not None:
            assert fruit.juice_share is not None
            grams = measure.g / fruit.juice_share[1]
            count = grams / fruit.piece_g if fruit.piece_g else 0.0
            name, counted = fruit.name, False
            measure = Measure(name, None, grams, count, "piece", f"{grams:.0f} g")
        key = (name, counted)
        bought[key] = _plus(bought[key], measure) if key in bought else measure
    for name in [name for name, counted in bought if counted and (name, False) in bought]:
        whole = _with_pieces(shelf[name], bought[name, False], bought[name, True].count)
        if whole is not None:  # else neither tells of the other
            bought[name, False] = whole
            del bought[name, True]
    return bought


def _with_pieces(bottle: Bottle, poured: Measure, count: float) -> Measure | None:
    """What is poured of a thing and so many pieces of it in one, by the size of a piece."""
    item, density = bottle.item, bottle.density_g_per_ml
    if item is None or not item.unit_ml or density is None:
        return None
    ml = item.unit_ml * count
    more = count if units()[poured.unit].dimension == "count" else ml
    return _plus(poured, Measure(poured.name, ml, ml * density, more, poured.unit, poured.text))


def packs_to_buy(needed: float, on_hand: float = 0.0, par: float = 0.0) -> int:
    """Whole packs to buy so that the week is served and `par` packs are left."""
    return max(0, math.ceil(needed + par - on_hand - 1e-9))


def _pours(
    figures: Computed, collection: Collection, shelf: Shelf
) -> Iterator[tuple[Bottle, Measure]]:
    recipe = figures.recipe
    assert isinstance(recipe, Drink)
    for pour, measure in zip(recipe.pours, figures.measures, strict=True):
        yield shelf[pour.name], measure
    for reveal, measure in zip(recipe.revealing, figures.revealed, strict=True):
        yield shelf[reveal.pour], measure
    for line in recipe.garnish:
        thing = named_in(line, collection)
        if isinstance(thing, StockItem):
            share = _row("buying", "petal")["share"] if "petal" in fold(line).split() else 1.0
            yield shelf[thing.name], Measure(thing.name, None, None, share, "piece", line)


def _use(bottle: Bottle, measure: Measure, used: dict[tuple[str, bool], Measure]) -> None:
    """Take a measure off the shelf, bought or made.

    What is poured and what is laid on as a piece add up apart: neither tells of the other.
    """
    key = bottle.name, measure.ml is None and measure.g is None
    used[key] = _plus(used[key], measure) if key in used else measure


def _need(bottle: Bottle, measure: Measure) -> StockNeed:
    item = bottle.item
    assert item is not None
    density = bottle.density_g_per_ml
    needed = pack_share(item, measure, density)
    held, par = _packs(item, item.on_hand, density), _packs(item, item.par, density)
    to_buy = None if needed is None else packs_to_buy(needed, held or 0.0, par or 0.0)
    amount, unit = _amount_of(measure)
    if density is not None and density >= _row("buying", "heavy")["from_g_per_ml"] and measure.g:
        amount, unit = measure.g, "g"
    one = produce(bottle.name)
    whole = one is not None and one.juice and one.piece_g and measure.g
    return StockNeed(
        name=bottle.name,
        amount=amount,
        unit=unit,
        pack="" if item.pack is None else item.pack.text,
        needed=needed,
        on_hand=held,
        to_buy=to_buy,
        cost=None if to_buy is None or item.price is None else to_buy * item.price,
        supplier=item.supplier or "",
        lead_days=item.lead_days,
        pieces=measure.g / one.piece_g if whole and one and one.piece_g and measure.g else None,
    )


def _packed(bottle: Bottle) -> bool:
    """Water out of the tap is not bought in."""
    return bottle.item is not None and bottle.item.pack is not None


def _packs(item: StockItem, amount: Amount | None, density: float | None) -> float | None:
    if amount is None:
        return None
    ml, g, count = to_ml(amount), to_g(amount), pieces(amount)
    measure = Measure(item.name, ml, g, count or 0.0, amount.unit, amount.text)
    return pack_share(item, measure, density)


def _amount_of(measure: Measure) -> tuple[float, str]:
    if measure.ml is not None:
        return measure.ml, "ml"
    return (measure.g, "g") if measure.g is not None else (measure.count, measure.unit)


def _times(measure: Measure, factor: float) -> Measure:
    ml = None if measure.ml is None else measure.ml * factor
    g = None if measure.g is None else measure.g * factor
    return replace(measure, ml=ml, g=g, count=measure.count * factor)


def _plus(one: Measure, other: Measure) -> Measure:
    """Two measures of one thing; what either does not know stays unknown."""
    ml = None if one.ml is None or other.ml is None else one.ml + other.ml
    g = None if one.g is None or other.g is None else one.g + other.g
    return replace(one, ml=ml, g=g, count=one.count + other.count)


def _row(section: str, key: str) -> dict[str, float]:
    row: dict[str, float] = read_table("anthocard.engine.trade", "batching.yaml")[section][key]
    return row
