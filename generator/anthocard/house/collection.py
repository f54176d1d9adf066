"""The collection: one house and everything it wrote down, read, checked and named.

Belongs here: the frozen whole, finding a thing by name, and the place where it was written. Does
not belong here: reading (reader.py) or checking (references.py).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

from pydantic import BaseModel

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.facts.pantry import produce
from anthocard.facts.stock import StockItem
from anthocard.house.files import MarkdownFile
from anthocard.house.lots import Lot, in_use
from anthocard.house.model import Drink, Infusion, Made, Menu, Preparation, Recipe, Solution, Syrup
from anthocard.house.settings import House, OwnRule

Found = TypeVar("Found")

Thing: TypeAlias = Recipe | Menu | StockItem | House


@dataclass(frozen=True, slots=True)
class WrittenPlace:
    """Where a thing stands: its document, the way to it there, and its file if it has its own."""

    document: Document
    within: Location = ()
    source: MarkdownFile | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Collection:
    """Everything one house wrote down. Every mapping goes by the name as its author writes it.

    `menus` are those on offer on the day of reading, `resting` drafts and those of other days.
    `pages` holds where each thing was written, by type name and folded name; `index` finds what can
    be poured by folded name or alias, what the house makes before what it buys.
    """

    house: House
    stock: Mapping[str, StockItem]
    infusions: Mapping[str, Infusion]
    solutions: Mapping[str, Solution]
    syrups: Mapping[str, Syrup]
    preparations: Mapping[str, Preparation]
    drinks: Mapping[str, Drink]
    menus: Mapping[str, Menu]
    pages: Mapping[tuple[str, str], WrittenPlace]
    index: Mapping[str, StockItem | Made]
    resting: Mapping[str, Menu] = field(default_factory=dict)
    warnings: tuple[Mistake, ...] = ()
    lots: tuple[Lot, ...] = ()
    pictures: Mapping[str, bytes] = field(default_factory=dict)  # of its own, by file name

    @property
    def made(self) -> tuple[Made, ...]:
        """Infusions, solutions, syrups and preparations, in file order."""
        kinds = (self.infusions, self.solutions, self.syrups, self.preparations)
        return tuple(made for kind in kinds for made in kind.values())

    @property
    def recipes(self) -> tuple[Recipe, ...]:
        """All that is computed: what is made, then the drinks."""
        return (*self.made, *self.drinks.values())

    @property
    def sources(self) -> Mapping[str, MarkdownFile]:
        """The file of each recipe and menu by name."""
        pages = ((self._page(thing), thing) for thing in self.filed)
        return {thing.name: page.source for page, thing in pages if page and page.source}

    @property
    def filed(self) -> tuple[Recipe | Menu, ...]:
        """All that has a file of its own, menus that rest among it."""
        return (*self.recipes, *self.menus.values(), *self.resting.values())

    def on_offer(self, day: date) -> Collection:
        """The same with the menus that guests are shown on a day; the others rest."""
        menus = {**self.menus, **self.resting}
        shown = {name: menu for name, menu in menus.items() if menu.shown_on(day)}
        rest = {name: menu for name, menu in menus.items() if name not in shown}
        return replace(self, menus=shown, resting=rest)

    @property
    def changes_on(self) -> tuple[date, ...]:
        """The days on which a menu begins, or is over, in order."""
        menus = [m for m in (*self.menus.values(), *self.resting.values()) if not m.draft]
        over = (menu.ends + timedelta(days=1) for menu in menus if menu.ends is not None)
        return tuple(sorted({*over, *(menu.begins for menu in menus if menu.begins is not None)}))

    def find(self, name: str) -> StockItem | Made | None:
        """What a name or alias means to whoever pours; None if nothing is called so."""
        return self.index.get(fold(name))

    @property
    def may_be_meant(self) -> tuple[str, ...]:
        """Every name and alias that may be offered to whoever slipped: never of what must not go
        into a drink.
        """
        stock = [item for item in self.stock.values() if item.for_drinks]
        words = (word for item in stock for word in (item.name, *item.aliases))
        return (*(one.name for one in self.made), *words)

    def dissolves(self, name: str) -> str:
        """The first solution the house makes of a thing, or nothing."""
        for solution in self.solutions.values():
            if any(self.find(part.name) is self.find(name) for part in solution.parts):
                return solution.name
        return ""

    def lots_of(self, name: str) -> tuple[Lot, ...]:
        """Every lot of a thing the house makes, in file order."""
        return tuple(lot for lot in self.lots if fold(lot.of) == fold(name))

    def lot_in_use(self, name: str) -> Lot | None:
        """The lot of it that is poured tonight; None where none was chosen."""
        return in_use(self.lots_of(name))

    def kitchen(self, name: str) -> StockItem | Made | None:
        """What a name means to whoever steeps, presses or zests: the plant before its drink.

        A tea is its leaf here, and a mint the bunch; what the house makes or writes in its own
        stock keeps its name.
        """
        found, plain = self.find(name), produce(name)
        own = found is not None and page_key(found) in self.pages
        if (
            plain is None
            or own
            or (isinstance(found, StockItem) and found.kind in ("plant", "fat"))
        ):
            return found
        return self.stock.get(plain.name, found)

    def decision_on(self, key: str, name: str) -> OwnRule | None:
        """What the house decided about a rule, if that holds for the recipe of this name."""
        own = self.house.rules.get(key)
        if own is None or not own.only or fold(name) in map(fold, own.only):
            return own
        return None

    def at_lot(self, lot: Lot, key: str = "lot") -> Place:
        """Where a lot, or one of its keys, is written."""
        page = self.pages["Lot", str(next(n for n, one in enumerate(self.lots) if one is lot))]
        return page.document.at((*page.within, key))

    def at(self, thing: Thing, loc: Location = (), *, key: bool = False) -> Place:
        """The place in the author's file of a thing, or of a value (or key) inside it."""
        page = self._page(thing)
        if page is None:
            return Place("the generic stock table", text=thing.name)
        return page.document.at((*page.within, *loc), key=key)

    def slug(self, thing: Recipe | Menu) -> str:
        """The part of an address and file name that stands for a recipe. Raises KeyError."""
        source = self.pages[page_key(thing)].source
        assert source is not None  # recipes and menus always have a file of their own
        return source.slug

    def recipe(self, word: str | Path) -> Recipe | None:
        """The recipe that is called so, or that is written in that file (its folder and name
        decide), or whose file is called so without its ending; None where there is none.
        """
        path = Path(word)
        tail = path.parts[-2:] if len(path.parts) > 1 else path.resolve().parts[-2:]
        files = {
            Path(page.source.path).parts[-2:]: recipe
            for recipe in self.recipes
            if (page := self._page(recipe)) is not None and page.source is not None
        }
        if path.suffix == ".md":
            return files.get(tail)
        said = fold(str(word))
        by_name = (recipe for recipe in self.recipes if fold(recipe.name) == said)
        by_slug = (recipe for recipe in self.recipes if self.slug(recipe) == str(word))
        return next(by_name, None) or next(by_slug, None)

    def _page(self, thing: Thing) -> WrittenPlace | None:
        return self.pages.get(page_key(thing))


def index_of(
    stock: Mapping[str, StockItem], made: Mapping[str, Made], pages: Container[tuple[str, str]]
) -> dict[str, StockItem | Made]:
    """Things by folded name: names before aliases, what the house wrote before what is generic."""
    own = [item for item in stock.values() if page_key(item) in pages]
    generic = [item for item in stock.values() if page_key(item) not in pages]
    index: dict[str, StockItem | Made] = {fold(name): thing for name, thing in made.items()}
    for items in (own, generic):
        for item in items:
            index.setdefault(fold(item.name), item)
        for item in items:
            for alias in item.aliases:
                index.setdefault(fold(alias), item)
    return index


def all_of(kind: type[Found], value: Any, but: Container[str] = ()) -> Iterator[Found]:
    """Every value of a type inside a recipe, down to the last; keys `but` some."""
    if isinstance(value, kind):
        yield value
    elif value is None or isinstance(value, str | int | float):
        return  # most of what stands in a recipe
    elif isinstance(value, BaseModel):
        for name, one in vars(value).items():
            if name not in but:
                yield from all_of(kind, one, but)
    elif is_dataclass(value):
        for part in fields(value):
            yield from all_of(kind, getattr(value, part.name), but)
    elif isinstance(value, Mapping | list | tuple | set | frozenset):
        for one in value.values() if isinstance(value, Mapping) else value:
            yield from all_of(kind, one, but)


def drink_slugs(collection: Collection, among: Container[str]) -> dict[str, str]:
    """The slug of every drink by its folded name, of those whose slug is `among` some."""
    slugs = {fold(drink.name): collection.slug(drink) for drink in collection.drinks.values()}
    return {name: slug for name, slug in slugs.items() if slug in among}


def page_key(thing: Thing) -> tuple[str, str]:
    """How `pages` files a thing."""
    return type(thing).__name__, fold(thing.name)


@cache
def fold(name: str) -> str:
    """A name without case, accents, hyphens and spare blanks: names that fold alike are the same.

    “Creme de cassis” is crème de cassis, and “weisser Rum” weißer Rum.
    """
    plain = name.casefold().replace("-", " ")
    if not plain.isascii():
        letters = unicodedata.normalize("NFKD", plain)
        plain = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return " ".join(plain.split())
