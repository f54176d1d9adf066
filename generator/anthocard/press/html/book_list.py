"""The way into the spec book: the list of every recipe, in pages, with its search and filters.

Belongs here: what stands on a page of the list, and how long lists are cut. Does not belong here:
one row (data/row.py), the index of the search (find.py), a recipe's page (staff.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypedDict, TypeVar

from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.house.files import slug
from anthocard.house.settings import Glass, House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.theme import Theme
from anthocard.press.data.row import RecipeRow
from anthocard.press.html.assets import Assets
from anthocard.press.html.find import CHIP, PIECES, line_of, symbol_of, symbols
from anthocard.press.html.staff import Named
from anthocard.press.words.card import Card
from anthocard.press.words.history import news_in

T = TypeVar("T")

ORDER = ("drink", "infusion", "solution", "syrup", "preparation")
ROWS = 400  # recipes on a page of the list; chosen: under 200 kB
LINKS = 2000  # links on a page of what a thing is used in; chosen: under 300 kB


@dataclass(frozen=True, slots=True)
class Filter:
    """A choice over the list: its key, its name and what may be chosen."""

    key: str
    name: str
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ListEntry:
    """A row as it stands on a page: the key of its glass's symbol, the line below its name, and
    whether its card is new or has changed since the last publish ("changed", "new" or nothing).
    """

    recipe: RecipeRow
    symbol: str
    line: str
    news: str


class ListGiven(TypedDict):
    """What a page of the list of all recipes is given."""

    shelves: list[tuple[str, list[ListEntry]]]  # each kind and its recipes on this page
    symbols: str  # SVG, one symbol a glass
    filters: tuple[Filter, ...]
    count: int  # of all recipes
    pages: list[tuple[str, str]]  # the address of each page and the first name on it
    page: int
    index: list[str]  # the addresses of what the search reads
    style: str
    assets: Assets
    on_paper: Sequence[Named]  # name and address of each paper for all
    tables: bool  # whether there are codes for tables
    house: Mapping[str, str]  # its name


class UsedGiven(TypedDict):
    """What a page of all recipes that a thing is poured in is given."""

    name: str
    slug: str
    house: str
    used_in: Sequence[Named]  # slug and name
    pages: list[tuple[str, str]]  # the address of each page and the first name on it
    page: int
    style: str
    assets: Assets


def in_order(rows: Iterable[RecipeRow]) -> list[RecipeRow]:
    """Drinks first, then what they are made of; within a kind as the house has them."""
    return sorted(rows, key=lambda row: ORDER.index(row.kind))


def cut(rows: Sequence[T], stem: str, many: int) -> dict[str, Sequence[T]]:
    """A list by the names of its pages, “index.html”, “index.2.html” …; one page at least."""
    names = (f"{stem}.{n}.html" if n > 1 else f"{stem}.html" for n in range(1, len(rows) + 2))
    cuts = (rows[at : at + many] for at in range(0, max(1, len(rows)), many))
    return dict(zip(names, cuts, strict=False))


def list_page(
    address: str,
    recipes: Sequence[RecipeRow],
    house: House,
    theme: Theme,
    assets: Assets,
    on_paper: Sequence[Named] = (),
    editions: Mapping[str, Any] = MappingProxyType({}),
) -> str:
    """The page of the list at `address`; `recipes` are all recipes, in order.

    What has another edition since the last publish is marked by `editions` (words/history.py).
    `on_paper` are names and addresses of the papers for all; where there are any, there are cards.
    """
    pages = cut(recipes, "index", ROWS)
    here = pages[address]
    shelves = [
        (kind, [_row(row, house.glasses, editions) for row in here if row.kind == kind])
        for kind in ORDER
    ]
    values: ListGiven = {
        "shelves": [shelf for shelf in shelves if shelf[1]],
        "symbols": "".join((CHIP, *symbols(recipes, house.glasses).values())),
        "filters": _filters(recipes, language(house.language)),
        "count": len(recipes),
        "pages": [(name, rows[0].name if rows else "") for name, rows in pages.items()],
        "page": [*pages].index(address) + 1,
        "index": assets.named(PIECES),
        "style": assets["pages.css"],
        "assets": assets,
        "on_paper": on_paper,
        "tables": house.web is not None,
        "house": {"name": house.name},
    }
    return theme.render("staff.html", values, house.language)


def used_page(
    address: str, card: Card, used_in: Sequence[Named], theme: Theme, assets: Assets
) -> str:
    """The page at `address` of all recipes that a thing is poured in, slug and name of each."""
    pages = cut(used_in, f"{card.slug}.used", LINKS)
    values: UsedGiven = {
        "name": card.name,
        "slug": card.slug,
        "house": card.house,
        "used_in": pages[address],
        "pages": [(name, rows[0][1]) for name, rows in pages.items()],
        "page": [*pages].index(address) + 1,
        "style": assets["pages.css"],
        "assets": assets,
    }
    return theme.render("used.html", values, card.language)


def _row(row: RecipeRow, glasses: Mapping[str, Glass], editions: Mapping[str, Any]) -> ListEntry:
    return ListEntry(row, symbol_of(row, glasses), line_of(row), news_in(editions, row.slug))


def _filters(rows: Iterable[RecipeRow], tongue: Language) -> tuple[Filter, ...]:
    """Only what at least one recipe has is offered."""
    names = {
        "plant": tongue.gettext("Plant"),
        "glass": tongue.gettext("Glass"),
        "method": tongue.gettext("Method"),
        "allergen": tongue.gettext("Contains"),
    }
    found: dict[str, dict[str, str]] = {key: {} for key in names}
    for row in rows:
        for key, choices in row.choices.items():
            found[key].update(choices)
    order = {slug(key): number for number, key in enumerate(PLANTS)}

    def place(pair: tuple[str, str]) -> tuple[int, str]:
        return order.get(pair[0], 0), pair[1]

    return tuple(
        Filter(key, name, tuple(sorted(found[key].items(), key=place)))
        for key, name in names.items()
        if found[key]
    )
