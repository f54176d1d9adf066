"""What is usual: doses, strengths, prices and days that look like a slip of the pen.

Belongs here: holding one figure against its usual range and saying so. Does not belong here: what
is impossible (the types, the engine), what no label or reading stands behind (review.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.plain_scalars import latest
from anthocard.diagnostics.tables import read_table
from anthocard.diagnostics.yaml_reader import Location
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed, Measure
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, ACIDS
from anthocard.facts.chemistry.volume import brix
from anthocard.facts.chemistry.yields import saturated_brix
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import pieces, to_g, to_ml
from anthocard.facts.units.slipped_point import set_right
from anthocard.facts.units.step_amounts import name_of
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink, Infusion, Mixture, Preparation
from anthocard.house.references import plant_key
from anthocard.house.steps import Step, Sweeten

FEWEST = 3  # priced drinks that make a middle price; chosen
MEND = "check the decimal point and the unit; leave it as it is if it is meant"


def unusual(one: Computed, collection: Collection, shelf: Shelf) -> Iterator[Mistake]:
    """A warning for every dose, part, reveal and taste of a recipe that looks like a slip."""
    recipe = one.recipe
    if isinstance(recipe, Infusion):
        row = _table("dose").get(plant_key(recipe.plant, collection))
        yield from _outside(
            recipe.dose.g_per_l, row, "g per litre", recipe.plant, collection.at(recipe, ("dose",))
        )
    elif isinstance(recipe, Drink):
        yield from _served(one, recipe, collection, shelf)
    elif isinstance(recipe, Preparation):
        yield from _stepped(one, recipe, collection)
    else:
        yield from _mixed(one, collection, shelf)


def unusual_money(collection: Collection) -> Iterator[Mistake]:
    """A warning for every price, of a bottle or a drink, that looks like a slip."""
    currency = collection.house.currency
    if currency in _table("money")["currencies"]["codes"]:
        rows = _table("price")
        for item in collection.stock.values():
            if item.price is None or item.pack is None or item.price == 0.0:
                continue
            litres, kg = to_ml(item.pack), to_g(item.pack)
            size = litres / 1000 if litres else kg / 1000 if kg else pieces(item.pack)
            key = fold(item.name) if fold(item.name) in rows else item.kind
            unit = f"{currency} {'a piece' if litres is None and kg is None else 'a litre or kg'}"
            if size:
                place = collection.at(item, ("price",))
                yield from _outside(item.price / size, rows.get(key), unit, item.name, place)
    prices = {drink.name: drink.price for drink in collection.drinks.values() if drink.price}
    if len(prices) < FEWEST:
        if currency in _table("money")["currencies"]["codes"]:
            for name, price in prices.items():
                place = collection.at(collection.drinks[name], ("price",))
                yield from _outside(price, _table("menu")["alone"], currency, name, place)
        return
    from statistics import median  # for menus alone: every command would pay for it

    middle, row = median(prices.values()), _table("menu")["drink"]
    usual = {"low": row["low"] * middle, "high": row["high"] * middle}
    for name, price in prices.items():
        place = collection.at(collection.drinks[name], ("price",))
        yield from _outside(price, usual, currency, name, place)


def unusual_sizes(collection: Collection) -> Iterator[Mistake]:
    """A warning for every glass, measure, strength and yield that looks like a slip."""
    house = collection.house
    for name, glass in house.glasses.items():
        for key, value, unit in (("width", glass.width, "mm"), ("holds", glass.holds, "ml")):
            place = collection.at(house, ("glasses", name, key))
            yield from _outside(value, _table("size")[key], unit, f"{key} of the {name}", place)
    for name, own in house.measures.items():
        place = collection.at(house, ("measures", name, "ml"))
        yield from _outside(own.ml, _table("size").get(name), "ml", f"the {name}", place)
    for recipe in collection.infusions.values():
        place = collection.at(recipe, ("strained",))
        yield from _outside(recipe.strained, _table("size")["strained"], "%", recipe.name, place)
    for item in collection.stock.values():
        if ("StockItem", fold(item.name)) in collection.pages:
            place = collection.at(item, ("abv_percent",))
            row = _table("strength").get(item.kind)
            yield from _outside(item.abv_percent, row, "% vol", item.name, place)


def unusual_days(collection: Collection, today: date) -> Iterator[Mistake]:
    """A warning for every day that has not come yet; readings are told by their own check."""
    house = collection.house
    days: list[tuple[str, date | None, Place]] = [
        ("the prices were looked at", house.priced, collection.at(house, ("priced",)))
    ]
    days += [
        (
            f"the label of {item.name} was read",
            item.allergens.checked,
            collection.at(item, _CHECKED),
        )
        for item in collection.stock.values()
    ]
    days += [
        (f"the rule “{key}” was decided", rule.date, collection.at(house, ("rules", key, "date")))
        for key, rule in house.rules.items()
    ]
    for what, day, place in days:
        if day is not None and day > today:
            yield Mistake(
                "future-day", f"{what} on {day}, which has not come yet: usual is today or before",
                place, f"did you mean “{latest(day, today)}”? Else check the year", "warning",
            )  # fmt: skip


_CHECKED: Location = ("allergens", "checked")


def _mixed(one: Computed, collection: Collection, shelf: Shelf) -> Iterator[Mistake]:
    """The parts of a solution or a syrup by their share of its weight."""
    kg = float(one.before.liquid.mass_g) / 1000.0
    names = {fold(part.name) for part in one.measures}
    buffer = one.kind == "solution" and "trisodium citrate" in names
    rows = _table("buffer") if buffer else _table(one.kind)
    for number, part in enumerate(one.measures):
        row = rows.get(fold(part.name)) or rows.get(shelf[part.name].kind)
        if part.g and kg:
            place = collection.at(one.recipe, ("parts", number))
            share = _share(part.g, kg, isinstance(one.recipe, Mixture) and one.recipe.made_up_to)
            yield from _outside(share(1.0), row, "g per kg of the whole", part.name, place, share)


def _share(grams: float, kg: float, to_a_mark: object) -> Callable[[float], float]:
    """Grams in a kilogram of the whole, if so many times as much were weighed. What is made up to a
    mark stays as heavy, all else grows with it.
    """
    rest = 0.0 if to_a_mark else grams / 1000.0
    return lambda by: by * grams / (kg + (by - 1.0) * rest)


def _stepped(one: Computed, recipe: Preparation, collection: Collection) -> Iterator[Mistake]:
    """What is never strained, and more cane sugar than the fridge keeps dissolved."""
    if one.making is not None and one.making.left_in:
        yield Mistake(
            "left-in", f"{', '.join(one.making.left_in)} is never taken out",
            collection.at(recipe, ("steps", len(recipe.steps) - 1)),
            "add a last step “- strain: fine”, or say in the method that it stays in", "warning",
        )  # fmt: skip
    dry = [n for n, step in enumerate(recipe.steps) if _dry_sugar(step, collection)]
    cold, there = collection.house.fridge_temperature, float(brix(one.before.liquid))
    if dry and there > saturated_brix(cold):
        yield Mistake(
            "crystals",
            f"{there:.1f} °Bx grows crystals in the fridge: {cold:g} °C holds "
            f"{saturated_brix(cold):.1f}",
            collection.at(recipe, ("steps", dry[-1])),
            "take less sugar, or keep it at room temperature for a shorter time", "warning",
        )  # fmt: skip


def _dry_sugar(step: Step, collection: Collection) -> bool:
    """Whether a step dissolves cane sugar: honey and syrups hold sugars that stay dissolved."""
    if not isinstance(step, Sweeten):
        return False
    sugar = collection.find(name_of(step.sweeten))
    return isinstance(sugar, StockItem) and sugar.kind == "substance"


def _served(one: Computed, drink: Drink, collection: Collection, shelf: Shelf) -> Iterator[Mistake]:
    rows = _table("drink")
    for number, part in enumerate(one.measures):
        if part.g and shelf[part.name].density_g_per_ml is None:
            place = collection.at(drink, ("pours", number))
            yield from _outside(part.g, rows.get(fold(part.name)), "g", part.name, place)
    for number, reveal in enumerate(one.revealed):
        place = collection.at(drink, (*drink.at_reveal(number), "amount"))
        yield from _revealed(reveal, place, shelf)
    last = one.after or one.before
    for key, value in (
        ("acidity", last.titratable_acidity_g_per_l),
        ("sugar", last.sugar_g_per_l),
        ("strength", last.abv_percent),
    ):
        row = {"low": 0.0, **_table("glass")[key]}
        if value > row["high"]:
            yield from _outside(
                value, row, row["unit"], drink.name, collection.at(drink, ("name",))
            )


def _revealed(reveal: Measure, place: Place, shelf: Shelf) -> Iterator[Mistake]:
    """A solution by what is dissolved in it, all else by its volume."""
    bottle = shelf[reveal.name]
    if bottle.kind != "solution":
        yield from _outside(reveal.ml, _table("reveal").get(bottle.kind), "ml", reveal.name, place)
    elif reveal.g:
        mmol = bottle.per_g.amounts[ACID_COLUMNS] * reveal.g
        molar = [acid(key).molar_mass_g_per_mol for key in ACIDS]
        grams = sum(a * b for a, b in zip(mmol, molar, strict=True)) / 1000.0
        what = f"the acid in {reveal.name}"
        yield from _outside(grams, _table("revealed")["solution"], "g", what, place)


def _outside(
    value: float | None, row: dict[str, Any] | None, unit: str, what: str, place: Place,
    times: Callable[[float], float] | None = None,
) -> Iterator[Mistake]:  # fmt: skip
    """`times` is the value were so many times as much written, where that is another figure."""
    if value is None or row is None or row["low"] <= value <= row["high"]:
        return
    grown = times or (lambda by: value * by)
    meant = set_right(place.written, lambda by: bool(row["low"] <= grown(by) <= row["high"]))
    much = "more" if value > row["high"] else "less"
    yield Mistake(
        "unusual",
        f"{what}: {value:.3g} {unit} is {much} than usual, which is {row['low']:.3g} to "
        f"{row['high']:.3g}",
        place,
        MEND if meant is None else f"did you mean “{meant}”? Leave it as it is if it is meant",
        "warning",
    )


def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine", "usual.yaml")[section]
    return rows
