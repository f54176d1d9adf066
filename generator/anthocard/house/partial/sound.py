"""What stands of a house although parts of it are broken: a mistake takes along what rests on it.

Belongs here: leaving out what has mistakes of its own, or needs such a thing. Does not belong here:
finding the mistakes (reader.py, references.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import Amount
from anthocard.house.collection import Collection, all_of, fold, page_key
from anthocard.house.model import Drink, Infusion, Menu, Preparation, Recipe, Solution, Syrup
from anthocard.house.partial.readable_rows import LostRow
from anthocard.house.references import Unread, named_in

One = TypeVar("One", Infusion, Solution, Syrup, Preparation, Drink, Menu)


def sound_part(
    collection: Collection, unread: Sequence[Unread], log: MistakeLog, lost: Sequence[LostRow] = ()
) -> Collection:
    """All without what `log` has errors of, and without what rests on that, on `unread` or on rows
    that are `lost`: a reading that nobody can read may be the one that counts.

    What goes in a circle never stands. The warnings of the whole stand in `Collection.warnings`.
    """
    doubted = _doubted(collection, lost)
    broken = {fold(one.name) for one in unread} | doubted
    faulty = {mistake.place.path for mistake in log.errors}
    wanted = {
        fold(recipe.name): names
        for recipe in collection.recipes
        if (names := _wanted(collection, recipe, faulty, broken)) is not None
        and fold(recipe.name) not in doubted
        and not _rests_on(recipe, lost)
    }
    sound: set[str] = set()

    def stands(name: str) -> bool:
        found = collection.find(name)
        if fold(name) in broken or found is None:
            return False
        key = fold(found.name)
        return key not in broken if isinstance(found, StockItem) else key in sound

    while True:
        more = {
            key for key, names in wanted.items() if key not in sound and all(map(stands, names))
        }
        if not more:
            break
        sound |= more

    def remaining(things: dict[str, One]) -> dict[str, One]:
        return {name: one for name, one in things.items() if fold(name) in sound}

    menus = {
        name: menu
        for name, menu in collection.menus.items()
        if all(fold(drink) in sound for section in menu.sections for drink in section.drinks)
    }
    return replace(
        collection,
        infusions=remaining(dict(collection.infusions)),
        solutions=remaining(dict(collection.solutions)),
        syrups=remaining(dict(collection.syrups)),
        preparations=remaining(dict(collection.preparations)),
        drinks=remaining(dict(collection.drinks)),
        menus=menus,
        index={
            name: thing
            for name, thing in collection.index.items()
            if isinstance(thing, StockItem) or fold(thing.name) in sound
        },
        warnings=tuple(mistake for mistake in log if mistake.severity != "error"),
    )


def _doubted(collection: Collection, lost: Sequence[LostRow]) -> set[str]:
    """Things whose own reading, or lot, is lost, by folded name."""
    said = {row.about for row in lost if row.section in ("calibrations", "lots") and row.about}
    found = {name: collection.find(name) for name in said}
    return {fold(name if thing is None else thing.name) for name, thing in found.items()}


def _rests_on(recipe: Recipe, lost: Sequence[LostRow]) -> bool:
    """Whether a recipe is measured, worked or iced as a row says that is lost."""
    gone = {(row.section, row.about) for row in lost}
    if not gone:
        return False
    said = {("measures", amount.unit) for amount in all_of(Amount, recipe)}
    if isinstance(recipe, Drink):
        said |= {("methods", word) for word in (recipe.method, *recipe.method.split(" then "))}
        said.add(("ices", recipe.ice.kind))
    return not said.isdisjoint(gone)


def _wanted(
    collection: Collection, recipe: Recipe, faulty: set[str], broken: set[str]
) -> list[str] | None:
    """What a recipe pours or is made of, or None where it has mistakes of its own.

    A plant may be known by its plain name alone: it counts where the stock tries to have it.
    """
    document = collection.pages[page_key(recipe)].document
    if document.path in faulty or (
        isinstance(recipe, Drink) and recipe.glass not in collection.house.glasses
    ):
        return None
    return [
        name
        for sort, _, name in named_in(document.data)
        if sort in ("pour", "lot")
        or (sort == "plant" and (fold(name) in broken or collection.find(name) is not None))
    ]
