"""What is missing and what is there: which drinks need a thing, and which can be made of others.

Belongs here: walking from a drink down to what must stand on the shelf. Does not belong here: what
stands in for what is missing (stand_ins.py), how much of it is used up (demand.py).
"""

from __future__ import annotations

from collections.abc import Collection as Names, Iterator
from dataclasses import dataclass

from anthocard.engine.safety.ingredients import Found, by_line, named_in, walk
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import pieces, to_g, to_ml
from anthocard.house.collection import Collection, fold, page_key
from anthocard.house.model import Drink
from anthocard.house.references import needed_by


@dataclass(frozen=True, slots=True)
class Makeable:
    """A drink and what of it is not there: without which it cannot be made, and what garnishes."""

    name: str
    missing: tuple[str, ...]
    garnish: tuple[str, ...]


def holding(drink: Drink, missing: Names[str], collection: Collection) -> dict[str, str]:
    """The lines of a drink that are one of the things (by folded name) or hold it: name to role."""
    return {
        line.name: line.role
        for line in by_line(drink, collection)
        if any(_is(one, missing) for one in line.found)
    }


def offered(missing: Names[str], collection: Collection) -> tuple[str, ...]:
    """What the house makes and what its own stock has that holds none of the things."""
    made = (
        recipe.name
        for recipe in collection.made
        if fold(recipe.name) not in missing
        and not any(_is(one, missing) for one in walk(recipe, collection))
    )
    bought = (
        item.name
        for item in collection.stock.values()
        if page_key(item) in collection.pages
        and fold(item.name) not in missing
        and item.kind not in ("garnish", "plant")
        and item.for_drinks
    )
    return (*made, *bought)


def makeable(drink: Drink, there: Names[str], collection: Collection) -> Makeable:
    """What is missing of a drink where only `there` (folded names) stands on the shelf. What the
    house makes is there if it is named, or if all that it is made of is; water always is.
    """
    poured = [part.name for part in drink.pours]
    poured += [reveal.pour for reveal in drink.revealing]
    missing = dict.fromkeys(one for name in poured for one in _lacking(name, there, collection))
    dressed = [*drink.garnish, *([drink.rim] if drink.rim else [])]
    things = ((line, named_in(line, collection)) for line in dressed)
    bare = [
        line
        for line, thing in things
        if thing is None or [*_lacking(thing.name, there, collection)]
    ]
    return Makeable(drink.name, tuple(missing), tuple(bare))


def on_hand(collection: Collection) -> frozenset[str]:
    """Folded names of what the stock says there is some of."""
    return frozenset(
        fold(item.name) for item in collection.stock.values() if item.on_hand is not None
        and any(size for size in (to_ml(item.on_hand), to_g(item.on_hand), pieces(item.on_hand)))
    )  # fmt: skip


def _lacking(name: str, there: Names[str], collection: Collection) -> Iterator[str]:
    found = collection.find(name)
    called = {fold(name)} if found is None else {fold(name), fold(found.name)}
    if isinstance(found, StockItem):
        called |= {fold(word) for word in found.aliases}
        if found.kind == "water":
            return
    if not called.isdisjoint(there):
        return
    if found is None or isinstance(found, StockItem):
        yield name if found is None else found.name
        return
    for part in needed_by(found, collection):
        yield from _lacking(part, there, collection)


def _is(one: Found, missing: Names[str]) -> bool:
    names = {one.ingredient.name} if one.item is None else {one.ingredient.name, one.item.name}
    return not {fold(name) for name in names}.isdisjoint(missing)
