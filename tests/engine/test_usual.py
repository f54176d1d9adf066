"""Slips of the pen: ten times too much or too little is told, an ordinary house is not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute, compute_one
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.usual import unusual_days, unusual_money
from anthocard.facts.units.quantities import Ratio
from anthocard.house.collection import Collection
from anthocard.house.model import Drink, Infusion, Preparation, Recipe
from anthocard.house.reader import read_house

from tests.engine.opened import opened

ROOT = Path(__file__).parents[2]
HOUSES = (ROOT / "recipes", ROOT / "generator" / "anthocard" / "commands" / "starter")
TODAY = date(2026, 11, 26)


@cache
def demo() -> Collection:
    return read_house(ROOT / "recipes")


def scaled(amount: Any, times: float) -> Any:
    return replace(amount, value=amount.value * times)


def slips(times: float) -> Iterator[tuple[str, Recipe]]:
    """Every demo dose on its own, so many times what it is: of plants, of parts, of reveals.

    The steps of a preparation are not among them.
    """
    for recipe in demo().recipes:
        if isinstance(recipe, Infusion):
            dose = Ratio(recipe.dose.g_per_l * times, "a slip")
            yield f"{recipe.name}: dose", recipe.model_copy(update={"dose": dose})
        elif isinstance(recipe, Drink):
            reveal = recipe.reveal
            if reveal is not None and reveal.amount is not None:
                update = {"amount": scaled(reveal.amount, times)}
                slip = reveal.model_copy(update=update)
                yield f"{recipe.name}: reveal", recipe.model_copy(update={"reveal": slip})
        elif not isinstance(recipe, Preparation):
            for n, part in enumerate(recipe.parts):
                slip_part = part.model_copy(update={"amount": scaled(part.amount, times)})
                parts = (*recipe.parts[:n], slip_part, *recipe.parts[n + 1 :])
                yield f"{recipe.name}: {part.name}", recipe.model_copy(update={"parts": parts})


SLIPS = [
    pytest.param(recipe, id=f"{name} x{times:g}")
    for times in (10.0, 0.1)
    for name, recipe in slips(times)
]


@pytest.mark.parametrize("recipe", SLIPS)
def test_a_tenfold_slip_of_any_demo_dose_is_told(recipe: Recipe) -> None:
    """Ten times and a tenth of every dose of plant, every part and every reveal is a mistake told.

    As a warning that names the usual range, or as an error where the vessel cannot hold it.
    """
    collection = demo()
    made = {
        "infusion": "infusions", "solution": "solutions", "syrup": "syrups", "drink": "drinks"
    }[recipe.kind]  # fmt: skip
    changed = {**getattr(collection, made), recipe.name: recipe}
    index = {
        key: recipe if one.name == recipe.name else one for key, one in collection.index.items()
    }
    collection = replace(collection, **{made: changed}, index=index)
    log = MistakeLog()
    compute_one(recipe, collection, Shelf(collection, log), log)
    told = [one for one in log if one.kind in ("unusual", "over-full", "overflow", "no-yield")]
    assert told
    assert all("usual" in one.message for one in told if one.kind == "unusual")


@pytest.mark.parametrize("folder", HOUSES, ids=lambda folder: folder.name)
def test_no_recipe_of_ours_trips(folder: Path) -> None:
    """Neither the demo house nor the one that a newcomer is given holds an unusual figure or day."""
    collection = read_house(folder)
    told = [*compute(collection)[1], *unusual_money(collection), *unusual_days(collection, TODAY)]
    assert [str(one) for one in told if one.kind in ("unusual", "future-day")] == []


@pytest.mark.parametrize("times", [10.0, 0.1])
def test_a_tenfold_slip_of_any_demo_price_is_told(times: float) -> None:
    """Of every bottle, plant, powder and piece the house buys, and of every drink it sells."""
    collection = demo()
    for name, item in collection.stock.items():
        if item.price:
            slip = item.model_copy(update={"price": item.price * times})
            told = list(unusual_money(replace(collection, stock={**collection.stock, name: slip})))
            assert [one.message.partition(":")[0] for one in told] == [name]
    for name, drink in collection.drinks.items():
        if drink.price:
            slip_drink = drink.model_copy(update={"price": drink.price * times})
            drinks = {**collection.drinks, name: slip_drink}
            told = list(unusual_money(replace(collection, drinks=drinks)))
            assert [one.message.partition(":")[0] for one in told] == [name]


def test_prices_of_other_money_are_not_judged() -> None:
    """A bottle of 2,400 yen is no slip: only currencies of like size are held against the table."""
    collection = demo()
    yen = collection.house.model_copy(update={"currency": "JPY"})
    item = collection.stock["gin"].model_copy(update={"price": 2400.0})
    collection = replace(collection, house=yen, stock={**collection.stock, "gin": item})
    assert not list(unusual_money(collection))


def test_days_that_have_not_come_are_told() -> None:
    """A label read next year, prices looked at tomorrow; those of today are not told."""
    collection = demo()
    read = collection.stock["gin"].allergens.model_copy(update={"checked": date(2027, 11, 2)})
    stock = {
        **collection.stock,
        "gin": collection.stock["gin"].model_copy(update={"allergens": read}),
    }
    house = collection.house.model_copy(update={"priced": date(2026, 11, 27)})
    told = list(unusual_days(replace(collection, stock=stock, house=house), TODAY))
    assert [one.message.partition(" on ")[0] for one in told] == [
        "the prices were looked at", "the label of gin was read"
    ]  # fmt: skip
    assert [one.place.line > 1 for one in told] == [True, True]
    assert not list(unusual_days(collection, TODAY))


def test_thirty_grams_of_citric_acid_in_one_glass_are_told() -> None:
    """Where 3 g are usual: beside the grams, the drink itself is told as too sour."""
    text = (
        "kind: drink\nname: d\nglass: tall glass\nmethod: built\n"
        "pours: [50 ml gin, {} citric acid, 100 ml still water]\n"
    )
    kinds = [
        [
            w.message
            for w in opened({"drinks/d.md": text.format(much)}).warnings
            if w.kind == "unusual"
        ]
        for much in ("1.5 g", "30 g")
    ]
    assert kinds[0] == []
    assert len(kinds[1]) == 2
    assert "0.05 to 4" in kinds[1][0]
