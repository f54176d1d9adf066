"""Recipes worked out before: what none of its causes has changed is not worked out again.

Belongs here: what is kept of a recipe in a cache, and loading no more of that than is asked for.
Does not belong here: its key (causes.py), working anything out (the engine), pages (keeper.py).

Kept are frozen values as Python writes them down, so they lie in the user's own folder
and are never shared; they are read by a reader that knows our own types and nothing else. Two
entries a recipe: a short record that every run reads, and the figures with the card, ten times
that, which few do. So a house of any size takes little room in memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import cached_property, lru_cache
from typing import Final, NamedTuple, TypeVar

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.engine.compute import compute, computing
from anthocard.engine.results import Computed
from anthocard.house.collection import Book
from anthocard.house.settings import House
from anthocard.press.build.causes import keys_of
from anthocard.press.store.cache import Cache
from anthocard.press.store.keeper import key_from
from anthocard.press.store.pickled import read, written
from anthocard.press.words.card import Card, make_card
from anthocard.press.words.row import Listed, make_listed

#: Recipes whose figures are held at a time: some 15 MB. Chosen.
AT_HAND: Final = 250


class Record(NamedTuple):
    """What every run looks at of a recipe; `defaults` as in its figures."""

    listed: Listed
    warnings: tuple[Mistake, ...]
    defaults: tuple[str, ...]


class Figures(NamedTuple):
    """The rest of it."""

    computed: Computed
    card: Card


Entry = TypeVar("Entry", Record, Figures)


class Kept:
    """What a cache holds of a book's recipes; `anew` are the slugs of those put there by this run.

    `keys` and `records` go by slug.
    """

    def __init__(self, book: Book, cache: Cache) -> None:
        self.keys = keys_of(book)
        found = {slug: _recalled(Record, cache, key) for slug, key in self.keys.items()}
        self.records = {slug: record for slug, record in found.items() if record is not None}
        self.anew: list[str] = []
        self._book, self._cache = book, cache
        self.figures = lru_cache(AT_HAND)(self._figures)

    @property
    def entries(self) -> set[str]:
        """The keys of everything that is kept of this house."""
        return {entry for key in self.keys.values() for entry in (key, _figures_of(key))}

    def put(self, slug: str, one: Computed) -> bool:
        """Keep a recipe, the record last: where that is, the figures were. False without room."""
        self.anew.append(slug)
        card, key = make_card(one, self._book.house), self.keys[slug]
        record = Record(make_listed(card, one), one.warnings, one.defaults)
        put = self._cache.put
        if not put(_figures_of(key), written((one, card))) or not put(key, written((*record,))):
            return False
        self.records[slug] = record
        return True

    def _figures(self, slug: str) -> Figures:
        """The figures of a recipe with a record; where they were let go of, worked out again."""
        found = _recalled(Figures, self._cache, _figures_of(self.keys[slug]))
        if found is None:
            others = {other: () for other in self.keys if other != slug}
            computed = dict(computing(self._book, others, MistakeLog()))[slug]
            self.put(slug, computed)
            found = Figures(computed, make_card(computed, self._book.house))
        return found


class Worked(Mapping[str, Computed]):
    """Every recipe of a house by slug, and what is drawn from it, each made when it is asked for.

    `computed` are those that are held here, `kept` knows all others. `prints` are the keys of all,
    empty where nothing is kept.
    """

    def __init__(
        self,
        house: House,
        order: tuple[str, ...],
        computed: Mapping[str, Computed],
        kept: Kept | None = None,
    ) -> None:
        self.house = house
        self.prints: Mapping[str, str] = kept.keys if kept is not None else {}
        self._order, self._computed, self._kept = order, computed, kept
        self._cards: dict[str, Card] = {}
        self._listed: dict[str, Listed] = {}

    @property
    def entries(self) -> set[str]:
        """The keys of all that is kept of this house in the cache of recipes."""
        return self._kept.entries if self._kept is not None else set()

    @property
    def anew(self) -> tuple[str, ...]:
        """The slugs of those that this run worked out."""
        return tuple(self._computed if self._kept is None else self._kept.anew)

    def __getitem__(self, slug: str) -> Computed:
        """The figures of one recipe. Raises KeyError."""
        if self._kept is not None and slug not in self._computed:
            return self._kept.figures(slug).computed
        return self._computed[slug]

    def __iter__(self) -> Iterator[str]:
        """Slugs in the book's order."""
        return iter(self._order)

    def __len__(self) -> int:
        return len(self._order)

    def card(self, slug: str) -> Card:
        """The words of one recipe."""
        if self._kept is not None and slug not in self._computed:
            return self._kept.figures(slug).card
        if slug not in self._cards:
            self._cards[slug] = make_card(self[slug], self.house)
        return self._cards[slug]

    @cached_property
    def cards(self) -> Mapping[str, Card]:
        """The words of every recipe."""
        return _Lazily(self._order, self.card)

    def listed(self, slug: str) -> Listed:
        """What a list tells of one recipe."""
        if self._kept is not None and slug not in self._computed:
            return self._kept.records[slug].listed
        if slug not in self._listed:
            self._listed[slug] = make_listed(self.card(slug), self[slug])
        return self._listed[slug]

    def defaults(self, slug: str) -> tuple[str, ...]:
        """Which inputs of one recipe are defaults, in words."""
        if self._kept is not None and slug not in self._computed:
            return self._kept.records[slug].defaults
        return self[slug].defaults


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


def work_out(
    book: Book, cache: Cache | None, today: date | None = None
) -> tuple[Worked, tuple[Mistake, ...]]:
    """Work out every recipe that `cache` does not know, and keep it there; and every warning.

    Raises AuthorError with every mistake at once; what was worked out before the first is kept.
    """
    order = tuple(book.slug(recipe) for recipe in book.recipes)
    if cache is None:
        computed, warnings = compute(book, today=today)
        return Worked(book.house, order, computed), warnings
    kept, log = Kept(book, cache), MistakeLog()
    told = {slug: record.warnings for slug, record in kept.records.items()}
    unkept: dict[str, Computed] = {}
    seen, sound = 0, True
    for slug, one in computing(book, told, log, today=today):
        sound = sound and all(m.severity != "error" for m in log.mistakes[seen:])
        seen = len(log.mistakes)
        if not sound or not kept.put(slug, one):
            unkept[slug] = one
    log.raise_if_errors()
    return Worked(book.house, order, unkept, kept), tuple(log)


def _figures_of(key: str) -> str:
    return key_from("figures", key)


def _recalled(sort: type[Entry], cache: Cache, key: str) -> Entry | None:
    content = cache.get(key)
    if content is None:
        return None
    try:
        return sort(*read(content))
    except Exception:  # an older Python or library wrote it down otherwise: it is worked out anew
        return None
