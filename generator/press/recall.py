"""Recipes worked out before: what none of its causes has changed is not worked out again.

Belongs here: the key of a recipe, its record in a cache, and loading no more of a record than is
asked for. Does not belong here: working anything out (the bench), pages (keeper.py).

A recipe's key is a hash of what its figures and warnings rest on: its own text and place, the
house, every stock line and recipe it names (down to the last), this package and the libraries
below it. A record holds frozen values as Python writes them down, so it lies in the user's own
folder and is never shared; it is read by a reader that knows our own types and nothing else.
"""

from __future__ import annotations

import io
import pickle
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cached_property
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from pydantic import BaseModel

from generator.bench.drink import compute_rest
from generator.bench.figures import Computed
from generator.bench.ingredients import named_in
from generator.cellar.errors import Mistake
from generator.facts.stock import StockItem
from generator.press.cache import Cache
from generator.press.card import Card, make_card
from generator.press.keeper import key_from
from generator.press.listed import Listed, make_listed
from generator.recipe.book import Book, fold, page_key
from generator.recipe.house import House
from generator.recipe.recipe import Drink, Made, Recipe


class Record(NamedTuple):
    """One recipe in a cache: what every run looks at, and the rest still written down."""

    listed: Listed
    warnings: tuple[Mistake, ...]
    computed: bytes
    card: bytes


class Worked(Mapping[str, Computed]):
    """Every recipe of a house by slug, and what is drawn from it, each made when first asked for.

    `anew` are the slugs of those that were worked out by this run; `prints` are the keys of all,
    empty where nothing is kept.
    """

    def __init__(
        self,
        house: House,
        order: tuple[str, ...],
        computed: Mapping[str, Computed],
        records: Mapping[str, Record] = MappingProxyType({}),
        keys: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        self.house, self.prints = house, keys
        self.anew = tuple(slug for slug in order if slug in computed)
        self._order, self._computed, self._records = order, dict(computed), records
        self._cards: dict[str, Card] = {}
        self._listed: dict[str, Listed] = {}

    def __getitem__(self, slug: str) -> Computed:
        """The figures of one recipe. Raises KeyError."""
        if slug not in self._computed:
            self._computed[slug] = _read(self._records[slug].computed)
        return self._computed[slug]

    def __iter__(self) -> Iterator[str]:
        """Slugs in the book's order."""
        return iter(self._order)

    def __len__(self) -> int:
        return len(self._order)

    def card(self, slug: str) -> Card:
        """The words of one recipe."""
        if slug not in self._cards:
            record = self._records.get(slug)
            card = make_card(self[slug], self.house) if record is None else _read(record.card)
            self._cards[slug] = card
        return self._cards[slug]

    @cached_property
    def cards(self) -> Mapping[str, Card]:
        """The words of every recipe."""
        return _Lazily(self._order, self.card)

    def listed(self, slug: str) -> Listed:
        """What a list tells of one recipe."""
        if slug not in self._listed:
            record = self._records.get(slug)
            self._listed[slug] = (
                make_listed(self.card(slug), self[slug]) if record is None else record.listed
            )
        return self._listed[slug]


class _Lazily(Mapping[str, Card]):
    def __init__(self, order: tuple[str, ...], ask: Callable[[str], Card]) -> None:
        self._order, self._ask = order, ask

    def __getitem__(self, slug: str) -> Card:
        return self._ask(slug)

    def __iter__(self) -> Iterator[str]:
        return iter(self._order)

    def __len__(self) -> int:
        return len(self._order)


def as_worked(house: House, computed: Mapping[str, Computed]) -> Worked:
    """Computed recipes with what is drawn from them; those that are so already stay."""
    return computed if isinstance(computed, Worked) else Worked(house, tuple(computed), computed)


def drink_slugs(computed: Mapping[str, Computed]) -> dict[str, str]:
    """The slug of every drink by its folded name; of what is kept no more is read for it."""
    if isinstance(computed, Worked):
        rows = map(computed.listed, computed)
        return {fold(row.name): row.slug for row in rows if row.kind == "drink"}
    return {fold(one.name): slug for slug, one in computed.items() if one.is_drink}


def work_out(
    book: Book, cache: Cache | None, today: date | None = None
) -> tuple[Worked, tuple[Mistake, ...]]:
    """Work out every recipe that `cache` does not know, and keep it there; and every warning.

    Raises AuthorError with every mistake at once; then nothing is kept.
    """
    order = tuple(book.slug(recipe) for recipe in book.recipes)
    keys = keys_of(book) if cache is not None else {}
    records: dict[str, Record] = {}
    for slug, key in keys.items():
        record = _recalled(cache, key)
        if record is not None:
            records[slug] = record
    told = {slug: record.warnings for slug, record in records.items()}
    computed, warnings = compute_rest(book, told, today=today)
    worked = Worked(book.house, order, computed, records, keys)
    if cache is not None:
        for slug in worked.anew:
            record = Record(
                worked.listed(slug), worked[slug].warnings,
                _written(worked[slug]), _written(worked.card(slug)),
            )  # fmt: skip
            cache.put(keys[slug], _written(tuple(record)))
    return worked, warnings


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
    elif isinstance(value, BaseModel):
        yield from _strings([one for key, one in value if key not in _TEXTS])
    elif is_dataclass(value):
        yield from _strings([getattr(value, part.name) for part in fields(value)])
    elif isinstance(value, Mapping):
        yield from _strings([*value.values()])
    elif isinstance(value, list | tuple | set | frozenset):
        for one in value:
            yield from _strings(one)


def _recalled(cache: Cache | None, key: str) -> Record | None:
    content = None if cache is None else cache.get(key)
    if content is None:
        return None
    try:
        return Record(*_read(content))
    except Exception:  # an older Python or library wrote it down otherwise: it is worked out anew
        return None


def _written(value: Any) -> bytes:
    return pickle.dumps(value, protocol=5)


def _read(content: bytes) -> Any:
    return _Reader(io.BytesIO(content)).load()


class _Reader(pickle.Unpickler):
    """Our own types, dates and arrays of numbers: whatever else stands there is refused."""

    _OTHERS: Final = {
        ("builtins", "frozenset"), ("builtins", "set"),
        ("datetime", "date"),
        ("numpy", "dtype"), ("numpy", "ndarray"),
        ("numpy._core.multiarray", "_reconstruct"), ("numpy.core.multiarray", "_reconstruct"),
        ("numpy._core.multiarray", "scalar"), ("numpy.core.multiarray", "scalar"),
        ("numpy._core.numeric", "_frombuffer"), ("numpy.core.numeric", "_frombuffer"),
    }  # fmt: skip

    def find_class(self, module: str, name: str) -> Any:
        found = super().find_class(module, name) if module.startswith("generator.") else None
        if isinstance(found, type):
            return found
        if (module, name) in self._OTHERS:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} has no place here")
