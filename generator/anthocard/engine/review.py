"""What is doubtful in a house that reads and computes: warnings and hints about the whole.

Belongs here: looking over a whole computed house for defaults, unread labels and loose ends. Does
not belong here: what a single step of the engine doubts (the steps say so themselves).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.tables import read_table
from anthocard.diagnostics.yaml_reader import Location
from anthocard.engine.results import Default
from anthocard.engine.usual import unusual_days, unusual_money, unusual_sizes
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink, Recipe
from anthocard.house.references import named_in


def review(
    collection: Collection, defaults: Callable[[str], tuple[Default, ...]], today: date
) -> tuple[Mistake, ...]:
    """Every warning and hint about a computed house, as of `today`. Nothing is raised.

    `defaults` tells by slug which inputs of a recipe are (see Computed).
    """
    return (
        *_defaults(collection, defaults),
        *_labels(collection, today),
        *_loose_ends(collection),
        *unusual_money(collection),
        *unusual_sizes(collection),
        *_resting(collection, today),
        *unusual_days(collection, today),
    )


def _defaults(
    collection: Collection, defaults: Callable[[str], tuple[Default, ...]]
) -> Iterator[Mistake]:
    """Each input that is a default from memory, once, where the thing is written or first used."""
    used: dict[Default, list[Recipe]] = {}
    for recipe in collection.recipes:
        for one in defaults(collection.slug(recipe)):
            used.setdefault(one, []).append(recipe)
    for default, recipes in sorted(used.items(), key=lambda pair: pair[0]):
        users = [one for one in recipes if one.name != default.of] or recipes
        rest = f" and {len(users) - 1} more" if len(users) > 1 else ""
        yield Mistake(
            "default",
            f"{default.words} (behind {users[0].name}{rest})",
            _place_of(collection, default.of) or collection.at(users[0], ("name",)),
            "measure it, and write down what you found",
            "warning",
        )


def _place_of(collection: Collection, name: str) -> Place | None:
    """Where a thing is written in the house, or None for one that only our table has."""
    found = collection.find(name)
    if found is None or isinstance(found, StockItem):
        lines = (item for item in collection.stock.values() if _own(collection, item))
        found = next((item for item in lines if fold(item.name) == fold(name)), None)
        return None if found is None else collection.at(found)
    return collection.at(found, ("name",))


def _labels(collection: Collection, today: date) -> Iterator[Mistake]:
    """Stock that is poured or steeped although nobody looked at its label, or not for long."""
    row = read_table("anthocard.engine", "review.yaml")["limits"]["label"]
    days = int(row["days"])
    seen: set[str] = set()
    for recipe in collection.recipes:
        for loc, found in _used(collection, recipe):
            if not isinstance(found, StockItem) or found.name in seen:
                continue
            seen.add(found.name)
            checked = found.allergens.checked
            place = collection.at(found) if _own(collection, found) else collection.at(recipe, loc)
            if checked is None:
                yield Mistake(
                    "no-allergen-record", f"nobody has checked the label of {found.name}", place,
                    f"read it, then write in stock.yaml: {found.name}: "
                    "{allergens: {contains: […], checked: YEAR-MONTH-DAY}}",
                    "warning",
                )  # fmt: skip
            elif (today - checked).days > days:
                yield Mistake(
                    "old-allergen-record", f"the label of {found.name} was last read on {checked}",
                    place, "read it again, and write the day", "warning",
                )  # fmt: skip


def _resting(collection: Collection, today: date) -> Iterator[Mistake]:
    """Hints: menus that guests are not shown, and why."""
    for menu in collection.resting.values():
        if menu.draft:
            why, key = "is a draft", "draft"
        elif menu.begins is not None and menu.begins > today:
            why, key = f"begins on {menu.begins}", "from"
        else:
            why, key = f"was over on {menu.ends}", "until"
        yield Mistake(
            "menu-rests", f"guests are not shown {menu.name}: it {why}",
            collection.at(menu, (key,)), "change this line when they should be", "hint",
        )  # fmt: skip


def _loose_ends(collection: Collection) -> Iterator[Mistake]:
    """Hints: what is made and never used, what is mixed and never offered, what has no price."""
    wanted = {
        fold(found.name)
        for recipe in collection.recipes
        for _, found in _used(collection, recipe)
        if not isinstance(found, StockItem)
    }
    for made in collection.made:
        if fold(made.name) not in wanted:
            yield Mistake(
                "unused", f"nothing uses {made.name}", collection.at(made, ("name",)),
                "pour it somewhere, or file it elsewhere", "hint",
            )  # fmt: skip
    offered = {fold(n) for m in collection.menus.values() for s in m.sections for n in s.drinks}
    for drink in collection.drinks.values():
        if fold(drink.name) not in offered:
            yield Mistake(
                "not-offered", f"{drink.name} is on no menu", collection.at(drink, ("name",)),
                "list it in menus/, or leave it for later", "hint",
            )  # fmt: skip
        elif drink.price is None:
            yield Mistake(
                "no-price", f"{drink.name} is offered without a price",
                collection.at(drink, ("name",)), "add a line such as “price: 12”", "hint",
            )  # fmt: skip


def _used(collection: Collection, recipe: Recipe) -> Iterator[tuple[Location, Any]]:
    """What a recipe pours, steeps or weighs, with the location of its name."""
    document = collection.pages[(type(recipe).__name__, fold(recipe.name))].document
    for sort, loc, name in named_in(document.data):
        if sort in ("pour", "plant") and not (isinstance(recipe, Drink) and sort == "plant"):
            found = collection.find(name)
            if found is not None:
                yield loc, found


def _own(collection: Collection, item: StockItem) -> bool:
    return ("StockItem", fold(item.name)) in collection.pages
