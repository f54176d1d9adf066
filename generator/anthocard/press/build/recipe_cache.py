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
from functools import lru_cache
from typing import Any, Final, TypeVar

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.engine.compute import computing
from anthocard.engine.mix.appearance import sight_of
from anthocard.engine.results import Computed, Default
from anthocard.engine.safety.claim_check import Borne, borne_by, check_menus
from anthocard.engine.safety.ingredients import named_in
from anthocard.house.collection import Collection, all_of, fold, page_key
from anthocard.house.model import Drink, Made, Recipe
from anthocard.press.build.sights import Sights
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
    """What every run looks at of a recipe; `defaults` and `borne` are those of its figures."""

    row: RecipeRow
    warnings: tuple[Mistake, ...]
    defaults: tuple[Default, ...]
    borne: Borne


@dataclass(frozen=True, slots=True)
class Figures:
    """The rest of it."""

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
    sights = Sights((sight_of(drink, collection.house) for drink in drinks), store)
    seen, sound = 0, True
    for slug, one in computing(collection, warnings, log, today=today):
        sound = sound and all(m.severity != "error" for m in log.mistakes[seen:])
        seen = len(log.mistakes)
        if sound:
            cached.put(slug, one)
    sights.save()
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
        self.recipes = {collection.slug(recipe): recipe for recipe in collection.recipes}
        self._unkept: dict[str, Figures] = {}
        self._both = lru_cache(AT_HAND)(self._figures)
        found = {slug: self._read(RecipeRecord, slug) for slug in self.prints}
        self.records = {slug: record for slug, record in found.items() if record is not None}
        store.used |= {_key_of(Figures, one) for one in self.prints.values()}

    def put(self, slug: str, one: Computed) -> Figures:
        """Keep a recipe, the record last: where that is, the figures were."""
        self.anew = (*self.anew, slug)
        both = Figures(one, make_card(one, self._collection.house))
        self.records[slug] = RecipeRecord(
            make_row(both.card, one, self._collection.house),
            one.warnings,
            one.defaults,
            borne_by(one),
        )
        if not self._put(both, slug) or not self._put(self.records[slug], slug):
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
        return found

    def _put(self, entry: Entry, slug: str) -> bool:
        own = _moved(entry, self._home(slug), "/")
        return self._store.put(_key_of(type(entry), self.prints[slug]), written(own))

    def _read(self, kind: type[Entry], slug: str) -> Entry | None:
        content = self._store.get(_key_of(kind, self.prints[slug]))
        if content is None:
            return None
        try:
            found: Entry = read(kind, content, self.recipes[slug])
        except (ValueError, TypeError, RecursionError):  # no such entry: it is worked out anew
            return None
        return _moved(found, "/", self._home(slug))

    def _home(self, slug: str) -> str:
        """How places of this house begin."""
        source = self._collection.pages[page_key(self.recipes[slug])].source
        assert source is not None  # a recipe has a file of its own
        return source.path.partition("/")[0] + "/"


def _key_of(kind: type, recipe: str) -> str:
    return key(kind.__name__, recipe)


def _moved(entry: Entry, old: str, new: str) -> Entry:
    """The same with its warnings at home in another folder: where a house lies is no cause."""
    if isinstance(entry, Figures):
        computed = entry.computed
        warnings = tuple(_in(mistake, old, new) for mistake in computed.warnings)
        return replace(entry, computed=replace(computed, warnings=warnings))
    return replace(entry, warnings=tuple(_in(mistake, old, new) for mistake in entry.warnings))


def _in(mistake: Mistake, old: str, new: str) -> Mistake:
    path = mistake.place.path
    if not path.startswith(old):
        return mistake
    return replace(mistake, place=replace(mistake.place, path=new + path.removeprefix(old)))


def keys_of(collection: Collection) -> dict[str, str]:
    """The key of each recipe by slug: another key, another cause."""
    keys = _Keys(collection)
    return {collection.slug(one): keys.of(one) for one in collection.recipes}


class _Keys:
    """One walk over a collection; what many recipes name is looked at once."""

    def __init__(self, collection: Collection) -> None:
        self._collection = collection
        page = collection.pages.get(page_key(collection.house))
        self._house = "\n".join(page.document.lines) if page else repr(collection.house)
        self._made: dict[str, str] = {}
        self._words: dict[str, Any] = {}
        self._lines: dict[str, str] = {}

    def of(self, recipe: Recipe) -> str:
        if recipe.name not in self._made:
            source = self._collection.pages[page_key(recipe)].source
            assert source is not None  # a recipe has a file of its own
            words = [self._house, source.path.partition("/")[2], source.text]
            lot = self._collection.lot_in_use(recipe.name)
            words += [] if lot is None else [repr(lot)]
            if isinstance(recipe, Drink) and recipe.based_on is not None:
                parent = next(
                    one
                    for one in self._collection.drinks.values()
                    if fold(one.name) == fold(recipe.based_on)
                )
                words.append(self.of(parent))
            for name, thing in sorted(self._named(recipe).items()):
                words += [name, self.of(thing) if isinstance(thing, Made) else self._line(thing)]
            self._made[recipe.name] = key("recipe", *words)
        return self._made[recipe.name]

    def _line(self, item: Any) -> str:
        if item.name not in self._lines:
            self._lines[item.name] = repr(item)
        return self._lines[item.name]

    def _named(self, recipe: Recipe) -> dict[str, Any]:
        """Whatever a recipe could mean by any of its words, by name."""
        found: dict[str, Any] = {}
        for word in all_of(str, recipe, _TEXTS):
            thing = self._collection.find(word)
            if thing is not None and thing is not recipe:
                found[word] = thing
        if isinstance(recipe, Drink):
            for line in (*recipe.garnish, *((recipe.rim,) if recipe.rim else ())):
                if line not in self._words:
                    self._words[line] = named_in(line, self._collection)
                if self._words[line] is not None:
                    found[line] = self._words[line]
        return found
