"""What a recipe's figures and warnings rest on, in one key: another key, another cause.

Belongs here: finding all that a recipe names, down to the last. Does not belong here: what is kept
under a key (recall.py).

A key is a hash of the recipe's own text and place, the house, every stock line and recipe it names,
this package and the libraries below it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, Final

from pydantic import BaseModel

from anthocard.engine.safety.ingredients import named_in
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Book, page_key
from anthocard.house.model import (
    Drink,
    Made,
    Recipe,
)
from anthocard.press.store.keeper import key_from


def keys_of(book: Book) -> dict[str, str]:
    """The key of each recipe by slug."""
    return _Keys(book).all()


class _Keys:
    """One walk over a book; what many recipes name is looked at once."""

    def __init__(self, book: Book) -> None:
        self._book = book
        page = book.pages.get(page_key(book.house))
        self._house = "\n".join(page.document.lines) if page else repr(book.house)
        self._made: dict[str, str] = {}
        self._words: dict[str, Any] = {}
        self._lines: dict[str, str] = {}

    def all(self) -> dict[str, str]:
        return {self._book.slug(one): self._key(one) for one in self._book.recipes}

    def _key(self, recipe: Recipe) -> str:
        if recipe.name in self._made:
            return self._made[recipe.name]
        source = self._book.pages[page_key(recipe)].source
        assert source is not None  # a recipe has a file of its own
        words = ["recipe", self._house, source.path, source.text]
        for name, thing in sorted(self._named(recipe).items()):
            words += [name, self._key(thing) if _is_made(thing) else self._bought(thing)]
        self._made[recipe.name] = key_from(*words)
        return self._made[recipe.name]

    def _bought(self, item: StockItem) -> str:
        if item.name not in self._lines:
            self._lines[item.name] = repr(item)
        return self._lines[item.name]

    def _named(self, recipe: Recipe) -> dict[str, Any]:
        """Whatever a recipe could mean by any of its words, by name."""
        found: dict[str, Any] = {}
        for word in _strings(recipe):
            thing = self._book.find(word)
            if thing is not None and thing is not recipe:
                found[word] = thing
        if isinstance(recipe, Drink):
            for line in (*recipe.garnish, *((recipe.rim,) if recipe.rim else ())):
                if line not in self._words:
                    self._words[line] = named_in(line, self._book)
                if self._words[line] is not None:
                    found[line] = self._words[line]
        return found


_TEXTS: Final = {  # what no name stands in
    "guest_text",
    "guest_texts",
    "staff_text",
    "translations",
}


def _is_made(thing: Any) -> bool:
    return isinstance(thing, Made)


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif value is None or isinstance(value, int | float):
        return  # most of what stands in a recipe
    elif isinstance(value, BaseModel):
        yield from _strings([one for key, one in vars(value).items() if key not in _TEXTS])
    elif is_dataclass(value):
        yield from _strings([getattr(value, part.name) for part in fields(value)])
    elif isinstance(value, Mapping):
        yield from _strings([*value.values()])
    elif isinstance(value, list | tuple | set | frozenset):
        for one in value:
            yield from _strings(one)
