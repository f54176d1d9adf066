"""Every recipe of a house worked out, and what is drawn from it: its figures, its card, its row.

Belongs here: one mapping for whoever makes pages and papers. Does not belong here: working out (the
engine), what was worked out before (build/recipe_cache.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Protocol

from anthocard.engine.results import Computed, Default
from anthocard.house.settings import House
from anthocard.press.data.row import RecipeRow, make_row
from anthocard.press.words.card import Card, make_card


class RecipeSource(Protocol):
    """Where figures and words come from; each raises KeyError for a slug it does not have."""

    #: The key of each recipe by slug; empty where nothing is kept.
    prints: Mapping[str, str]
    #: The slugs of those that were worked out anew.
    anew: Sequence[str]

    def figures(self, slug: str) -> Computed:
        """The figures of one recipe."""

    def card(self, slug: str) -> Card:
        """The words of one recipe."""

    def row(self, slug: str) -> RecipeRow:
        """What a list tells of one recipe."""

    def defaults(self, slug: str) -> tuple[Default, ...]:
        """Which inputs of one recipe are defaults."""


class InMemory:
    """A source that holds the figures of all."""

    def __init__(self, house: House, computed: Mapping[str, Computed]) -> None:
        self.prints: Mapping[str, str] = {}
        self.anew: Sequence[str] = tuple(computed)
        self.figures = computed.__getitem__
        self.card = cache(lambda slug: make_card(computed[slug], house))
        self.row = cache(lambda slug: make_row(self.card(slug), computed[slug], house))

    def defaults(self, slug: str) -> tuple[Default, ...]:
        """Which inputs of one recipe are defaults."""
        return self.figures(slug).defaults


class WorkedRecipes(Mapping[str, Computed]):
    """Every recipe by slug, in the order written; what `source` has of it is asked when it is."""

    def __init__(self, order: tuple[str, ...], source: RecipeSource) -> None:
        self._order, self._source, self.prints = order, source, source.prints
        self._slugs = frozenset(order)  # asking for one would read its figures
        self.card, self.row, self.defaults = source.card, source.row, source.defaults
        self.cards: Mapping[str, Card] = _Lazily(order, source.card)

    @property
    def anew(self) -> Sequence[str]:
        """The slugs of those that were worked out anew, as far as all were asked for."""
        return self._source.anew

    def __getitem__(self, slug: str) -> Computed:
        """The figures of one recipe. Raises KeyError."""
        return self._source.figures(slug)

    def __contains__(self, slug: object) -> bool:
        return slug in self._slugs

    def __iter__(self) -> Iterator[str]:
        return iter(self._order)

    def __len__(self) -> int:
        return len(self._order)


def as_worked(house: House, computed: Mapping[str, Computed]) -> WorkedRecipes:
    """Computed recipes with what is drawn from them; those that are so already stay."""
    if isinstance(computed, WorkedRecipes):
        return computed
    return WorkedRecipes(tuple(computed), InMemory(house, computed))


class _Lazily(Mapping[str, Card]):
    def __init__(self, order: tuple[str, ...], ask: Callable[[str], Card]) -> None:
        self._order, self._ask = order, ask

    def __getitem__(self, slug: str) -> Card:
        return self._ask(slug)

    def __iter__(self) -> Iterator[str]:
        return iter(self._order)

    def __len__(self) -> int:
        return len(self._order)
