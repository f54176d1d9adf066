"""Everything that goes into a recipe, down through what the house makes, out to garnish and rim.

Belongs here: the walk, and matching free words to things the house knows. Does not belong here:
what follows for anybody's safety (inherited_allergens.py, profile.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from anthocard.engine.findings import Leaf, PouredPart
from anthocard.facts.chemistry.substances import Substance, substance
from anthocard.facts.law.hazards import named
from anthocard.facts.law.rules import Ingredient
from anthocard.facts.stock import AllergenRecord, StockItem
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink, Infusion, Made, Preparation, Recipe
from anthocard.house.references import named_in_steps, plant_key
from anthocard.house.steps import Clarify, Steep, Step, Wash

_NOT_A_WORD: Final = re.compile(r"[^\w%&'’]+")


@dataclass(frozen=True, slots=True)
class Found:
    """One ingredient with what is on record about it.

    `record` is what a label or the house said about allergens, None where nobody could: free words
    for a garnish. A thing the house makes stands for itself only (its parts follow), so `whole` is
    False and it needs no record of its own. `item` is the stock line, where there is one.
    """

    ingredient: Ingredient
    record: AllergenRecord | None
    whole: bool = True
    item: StockItem | None = None


def walk(recipe: Recipe, collection: Collection) -> tuple[Found, ...]:
    """Every ingredient of a recipe, each after what it is part of."""
    return tuple(_walk(recipe, collection))


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """One line of a drink as it is written, its role in it, and all that it comes down to."""

    name: str
    role: str  # pour, reveal, garnish or rim
    found: tuple[Found, ...]


def by_line(drink: Drink, collection: Collection) -> tuple[RecipeLine, ...]:
    """What each line of a drink comes down to, things that the house makes among it."""
    return tuple(
        RecipeLine(name, role, tuple(_found_in_pours(name, role, drink, collection)))
        for name, role in _lines(drink)
    )


def down_to(name: str, collection: Collection) -> tuple[Found, ...]:
    """What a thing that is poured comes down to, itself first."""
    return tuple(_thing(name, "pour", collection))


def _lines(drink: Drink) -> Iterator[tuple[str, str]]:
    yield from ((pour.name, "pour") for pour in drink.pours)
    yield from ((reveal.pour, "reveal") for reveal in drink.revealing)
    yield from ((line, "garnish") for line in drink.garnish)
    if drink.rim is not None:
        yield drink.rim, "rim"


def _found_in_pours(name: str, role: str, drink: Drink, collection: Collection) -> Iterator[Found]:
    if role in ("pour", "reveal"):
        yield from _thing(name, role, collection)
    else:
        yield from _words(name, role, drink, collection)


def poured_in(recipe: Recipe, collection: Collection) -> tuple[PouredPart, ...]:
    """What each pour, reveal and garnish of a drink comes down to, in the order of the recipe.

    Empty for anything that is not served. Free words that name nothing bought come down to nothing:
    they are written for staff.
    """
    if not isinstance(recipe, Drink):
        return ()
    names = [part.name for part in recipe.pours]
    names += [reveal.pour for reveal in recipe.revealing]
    lines = [(name, tuple(_thing(name, "pour", collection))) for name in names]
    free = [*recipe.garnish, *([] if recipe.rim is None else [recipe.rim])]
    lines += [(line, tuple(_words(line, "garnish", recipe, collection))) for line in free]
    return tuple(
        PouredPart(name, tuple(_leaf(one) for one in found if one.whole and one.item is not None))
        for name, found in lines
    )


def _leaf(found: Found) -> Leaf:
    """What was bought, by its name in the stock."""
    assert found.item is not None
    name = found.item.name
    contains = () if found.record is None else found.record.contains
    return Leaf(name, found.ingredient.plant, tuple(contains))


def named_in(line: str, collection: Collection) -> StockItem | Made | None:
    """The thing of the house that free words speak of (“a bay leaf”): the longest name in them."""
    words = fold(_NOT_A_WORD.sub(" ", line)).split()
    ends = range(1, len(words) + 1)
    runs = (" ".join(words[first:last]) for last in ends for first in range(last))
    names = [run for run in runs if run in collection.index]
    return collection.index[max(names, key=len)] if names else None


def _walk(recipe: Recipe, collection: Collection) -> Iterator[Found]:
    if isinstance(recipe, Infusion):
        yield _steeped(recipe, collection)
        yield from _thing(recipe.into, "base", collection)
    elif isinstance(recipe, Drink):
        for name, role in _lines(recipe):
            yield from _found_in_pours(name, role, recipe, collection)
    elif isinstance(recipe, Preparation):
        for sort, _, name in named_in_steps(recipe, collection):
            thing = collection.kitchen(name) if sort == "lot" else collection.find(name)
            if thing is not None:
                yield from _thing(thing.name, _role(thing, sort), collection)
        yield from map(_cleared_with, filter(_by_gelatin, recipe.steps))
    else:
        for part in recipe.parts:
            yield from _thing(part.name, "part", collection)


def _thing(name: str, role: str, collection: Collection) -> Iterator[Found]:
    thing = collection.find(name)
    if isinstance(thing, StockItem):
        yield _stock(thing, role)
    elif thing is not None:
        parts = tuple(_walk(thing, collection))
        measured = frozenset().union(*(one.ingredient.measured for one in parts))
        made = Ingredient(thing.name, thing.kind, role, measured=measured)
        yield Found(made, thing.allergens, whole=False)
        yield from parts


def shelf_life_kind(recipe: Recipe, abv_percent: float) -> str:
    """As which kind rules and keeping take a recipe: a preparation as the one it is most like.

    What holds alcohol or was steeped is cared for as an infusion is, all else as a syrup.
    """
    if not isinstance(recipe, Preparation):
        return recipe.kind
    return "infusion" if abv_percent >= 0.5 or _steeps(recipe) else "syrup"


def _steeps(recipe: Preparation) -> bool:
    return any(isinstance(step, Steep | Wash) for step in recipe.steps)


def _by_gelatin(step: Step) -> bool:
    return isinstance(step, Clarify) and step.clarify == "gelatin"


def _cleared_with(step: Step) -> Found:
    """Gelatin takes the cloud out and itself with it, and yet the drink was made with an animal."""
    gelatin = Ingredient("gelatin", "other", "part", traits=frozenset({"gelatin"}), known_food=True)
    return Found(gelatin, None, whole=False)


def _role(thing: StockItem | Made, sort: str) -> str:
    """What a lot of a step is to the whole: a plant in it, a dry part, or what it is made of."""
    kind = thing.kind
    if kind in ("plant", "garnish") or (sort == "lot" and kind == "fat"):
        return "plant"
    return "part" if kind == "substance" else "base"


def _words(line: str, role: str, recipe: Drink, collection: Collection) -> Iterator[Found]:
    """Free words: the thing they name keeps its own record, else the drink's own record speaks."""
    thing = named_in(line, collection)
    if isinstance(thing, StockItem):
        found = _stock(thing, role)
        yield Found(_called(found.ingredient, line), found.record, item=thing)
    else:
        food = {hit.hazard.verdict for hit in named(line)} == {"food"}
        yield Found(Ingredient(line, role, role, known_food=food), recipe.allergens)
        if thing is not None:
            yield from _thing(thing.name, role, collection)


def _called(ingredient: Ingredient, line: str) -> Ingredient:
    """The same ingredient under the author's words for it: rules listen for those too."""
    return replace(ingredient, name=f"{ingredient.name} ({line})")


def _stock(item: StockItem, role: str) -> Found:
    jar = _jar(item)
    ingredient = Ingredient(
        item.name,
        item.kind,
        role,
        plant=item.plant or "",
        latin=item.latin or "",
        form=item.form or "",
        food_grade=item.food_grade,
        traits=frozenset(item.traits),
        substance="" if jar is None else jar.key,
        hazards=frozenset() if jar is None else frozenset(jar.hazards),
        for_drinks=item.for_drinks,
        measured=frozenset(_measured(item, jar)),
    )
    return Found(ingredient, item.allergens, item=item)


def _measured(item: StockItem, jar: Substance | None) -> Iterator[str]:
    """Those actives that the record of a line gives in figures."""
    held = {*item.acids_g_per_l, *item.acids_g_per_kg, *(jar.acids if jar else ())}
    if "quinine" in held:
        yield "quinine"
    if item.caffeine_mg_per_l > 0.0:
        yield "caffeine"


def _jar(item: StockItem) -> Substance | None:
    return None if item.substance is None else substance(item.substance)


def _steeped(recipe: Infusion, collection: Collection) -> Found:
    """The plant of an infusion: the recipe's own word on form, Latin name and grade comes first."""
    item = collection.find(recipe.plant)
    plain = Ingredient(recipe.plant, "plant", "plant")
    found = _stock(item, "plant") if isinstance(item, StockItem) else Found(plain, None)
    known = found.ingredient
    ingredient = replace(
        known,
        plant=plant_key(recipe.plant, collection),
        latin=recipe.latin or known.latin,
        form=recipe.form or known.form,
        food_grade=known.food_grade if recipe.food_grade is None else recipe.food_grade,
    )
    return replace(found, ingredient=ingredient)
