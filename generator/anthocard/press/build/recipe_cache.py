"""Recipes worked out before: what none of its causes has changed is not worked out again.

Belongs here: the key of a recipe, what is kept of it, and loading no more of that than is asked
for. Does not belong here: working anything out (the engine), keeping bytes (store/).

A recipe's key is made of its own text, the house, and every stock line and recipe it names, down to
the last. Two entries a recipe: a short record that every run reads, and the figures with the card,
ten times that, which few do. So a house of any size takes little room in memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, lru_cache
from typing import Final, TypeVar

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.engine.compute import computing
from anthocard.engine.mix.appearance import sight_of
from anthocard.engine.results import Computed, Default
from anthocard.engine.safety.claim_check import Borne, borne_by, check_menus
from anthocard.engine.safety.ingredients import named_in
from anthocard.house.collection import Collection, all_of, fold, page_key
from anthocard.house.model import Drink, Made
from anthocard.press.build.sights import known_ways
from anthocard.press.data.row import RecipeRow, make_row
from anthocard.press.data.values import read, written
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.store.key import key
from anthocard.press.store.store import Store
from anthocard.press.words.card import Card, make_card

#: Recipes whose figures are held at a time: some 15 MB. Chosen.
AT_HAND: Final = 250
#: What no name stands in.
_TEXTS: Final = {"guest_text", "guest_texts", "staff_text", "translations"}


@dataclass(frozen=True, slots=True)
class RecipeRecord:
    """What every run looks at of a recipe; `defaults` and `borne` are those of its figures.

    `home` is how places of the house began when its `warnings` were told.
    """

    row: RecipeRow
    home: str
    warnings: tuple[Mistake, ...]
    defaults: tuple[Default, ...]
    borne: Borne


@dataclass(frozen=True, slots=True)
class Figures:
    """The rest of it; the record has the warnings."""

    computed: Computed
    card: Card


Entry = TypeVar("Entry", RecipeRecord, Figures)


def work_out(
    collection: Collection, store: Store, today: date | None = None
) -> tuple[WorkedRecipes, tuple[Mistake, ...]]:
    """Every recipe, those that `store` does not know worked out and kept there; every warning.

    Raises AuthorError with every mistake at once; what was worked out before the first is kept.
    """
    cached, log = CachedRecipes(collection, store), MistakeLog()
    warnings = {slug: record.warnings for slug, record in cached.records.items()}
    anew = (recipe for slug, recipe in cached.recipes.items() if slug not in warnings)
    drinks = (recipe for recipe in anew if isinstance(recipe, Drink))
    seen, sound = 0, True
    with known_ways((sight_of(drink, collection.house) for drink in drinks), store):
        for slug, one in computing(collection, warnings, log, today=today):
            sound = sound and all(m.severity != "error" for m in log.mistakes[seen:])
            seen = len(log.mistakes)
            if sound:
                cached.put(slug, one)
    if sound:
        borne = {slug: one.borne for slug, one in cached.records.items()}
        check_menus(collection, borne, log)
    log.raise_if_errors()
    order = tuple(collection.slug(recipe) for recipe in collection.recipes)
    return WorkedRecipes(order, cached), tuple(log)


def known_or_worked_out(collection: Collection, store: Store) -> WorkedRecipes:
    """Every recipe for whoever asks of drinks alone: where the store knows all of them, the rest of
    the house, which each of them passed with when it was kept, is not looked over again.
    """
    cached = CachedRecipes(collection, store)
    if cached.records.keys() == cached.recipes.keys():
        return WorkedRecipes(tuple(cached.recipes), cached)
    return work_out(collection, store)[0]


class CachedRecipes:
    """What a store holds of a collection's recipes, a `Source` of data/worked.py."""

    def __init__(self, collection: Collection, store: Store) -> None:
        self.prints: Mapping[str, str] = keys_of(collection)
        self.anew: Sequence[str] = ()  # grows when figures were let go of
        self._collection, self._store = collection, store
        self._home = collection.at(collection.house).path.partition("/")[0] + "/"
        self.recipes = {collection.slug(recipe): recipe for recipe in collection.recipes}
        self._unkept: dict[str, Figures] = {}
        self._both = lru_cache(AT_HAND)(self._figures)
        found = ((slug, self._read(RecipeRecord, slug)) for slug in self.prints)
        self.records = {slug: self._at_home(one) for slug, one in found if one is not None}
        store.used |= {_key_of(Figures, one) for one in self.prints.values()}

    def put(self, slug: str, one: Computed) -> Figures:
        """Keep a recipe, the record last: where that is, the figures were."""
        self.anew = (*self.anew, slug)
        house = self._collection.house
        both = Figures(replace(one, warnings=()), make_card(one, house))
        row = make_row(both.card, one, house)
        record = RecipeRecord(row, self._home, one.warnings, one.defaults, borne_by(one))
        self.records[slug] = record
        if not self._put(both, slug) or not self._put(record, slug):
            self._unkept[slug] = both
        return both

    def figures(self, slug: str) -> Computed:
        """The figures of one recipe. Raises KeyError."""
        return self._both(slug).computed

    def card(self, slug: str) -> Card:
        """The words of one recipe."""
        return self._both(slug).card

    def row(self, slug: str) -> RecipeRow:
        """What a list tells of one recipe."""
        return self.records[slug].row

    def defaults(self, slug: str) -> tuple[Default, ...]:
        """Which inputs of one recipe are defaults."""
        return self.records[slug].defaults

    def _figures(self, slug: str) -> Figures:
        """Both; where they were let go of, worked out again."""
        found = self._unkept.get(slug) or self._read(Figures, slug)
        if found is None:
            others = {other: () for other in self.prints if other != slug}
            found = self.put(slug, dict(computing(self._collection, others, MistakeLog()))[slug])
        warnings = self.records[slug].warnings
        return replace(found, computed=replace(found.computed, warnings=warnings))

    def _put(self, entry: RecipeRecord | Figures, slug: str) -> bool:
        return self._store.put(_key_of(type(entry), self.prints[slug]), written(entry))

    def _read(self, kind: type[Entry], slug: str) -> Entry | None:
        content = self._store.get(_key_of(kind, self.prints[slug]))
        try:
            found: Entry = read(kind, content or b"", self.recipes[slug])
        except (ValueError, TypeError, RecursionError):  # no such entry: it is worked out anew
            return None
        return found

    def _at_home(self, record: RecipeRecord) -> RecipeRecord:
        """The same with its warnings at home in this folder: where a house lies is no cause."""
        warnings = []
        for one in record.warnings:
            path = one.place.path
            if path.startswith(record.home):
                path = self._home + path.removeprefix(record.home)
            warnings.append(replace(one, place=replace(one.place, path=path)))
        return replace(record, home=self._home, warnings=tuple(warnings))


def _key_of(kind: type, recipe: str) -> str:
    return key(kind.__name__, recipe)


def keys_of(collection: Collection) -> dict[str, str]:
    """The key of each recipe by slug: another key, another cause."""
    house = "\n".join(collection.pages[page_key(collection.house)].document.lines)
    recipes = {one.name: one for one in collection.recipes}
    drinks = {fold(name): name for name in collection.drinks}
    sources = collection.sources
    spoken_of = cache(lambda words: named_in(words, collection) or collection.find(words))
    bought = cache(lambda name: repr(collection.stock[name]))

    @cache
    def of(name: str) -> str:
        recipe, source = recipes[name], sources[name]
        parts = [house, source.path.partition("/")[2], source.front, source.body]
        parts += [repr(collection.lot_in_use(name))]
        named = {word: collection.find(word) for word in all_of(str, recipe, _TEXTS)}
        if isinstance(recipe, Drink):
            parts += [of(drinks[fold(recipe.based_on)])] if recipe.based_on else []
            named |= {words: spoken_of(words) for words in (*recipe.garnish, recipe.rim) if words}
        for word, thing in sorted(named.items()):
            if thing is not None and thing is not recipe:
                parts += [word, (of if isinstance(thing, Made) else bought)(thing.name)]
        return key("recipe", *parts)

    return {collection.slug(recipe): of(recipe.name) for recipe in collection.recipes}
