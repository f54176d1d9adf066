"""The running text of a recipe, sentence by sentence, with the place of each in its file.

Belongs here: which texts of a recipe staff or guests read, and where a sentence stands. Does not
belong here: what a sentence says (facts/law/prose.py and the tables of care).
"""

from __future__ import annotations

from collections.abc import Iterator

from anthocard.diagnostics.diagnostic import Place
from anthocard.facts.law.prose import sentences
from anthocard.house.collection import Collection, page_key
from anthocard.house.model import Drink, Menu, Recipe


def for_staff(recipe: Recipe, collection: Collection) -> Iterator[tuple[str, Place]]:
    """Each sentence on how it is made, kept and served."""
    for sentence in sentences(recipe.staff_text):
        yield sentence, _in_body(sentence, recipe, collection)
    if recipe.store is not None:
        yield recipe.store, collection.at(recipe, ("store",))
    if isinstance(recipe, Drink):
        for key, line in (("serve", recipe.serve), ("vessel", recipe.vessel)):
            if line is not None:
                yield line, collection.at(recipe, (key,))
        for number, reveal in enumerate(recipe.revealing):
            if reveal.served is not None:
                yield reveal.served, collection.at(recipe, (*recipe.at_reveal(number), "served"))


def laid_on(recipe: Recipe, collection: Collection) -> Iterator[tuple[str, Place]]:
    """The free words for garnish and rim of a drink."""
    if isinstance(recipe, Drink):
        for number, line in enumerate(recipe.garnish):
            yield line, collection.at(recipe, ("garnish", number))
        if recipe.rim is not None:
            yield recipe.rim, collection.at(recipe, ("rim",))


def for_guests(thing: Recipe | Menu, collection: Collection) -> Iterator[tuple[str, Place]]:
    """Each sentence guests read, in all languages: names and texts; not the sections of a menu."""
    yield thing.name, collection.at(thing, ("name",))
    for language, other in thing.translations.items():
        if other.name is not None:
            yield other.name, collection.at(thing, ("translations", language, "name"))
    for text in (thing.guest_text, *thing.guest_texts.values()):
        for sentence in sentences(text):
            yield sentence, _in_body(sentence, thing, collection)


def of_section(number: int, menu: Menu, collection: Collection) -> Iterator[tuple[str, Place]]:
    """Heading and note of one section of a menu, in all languages."""
    section = menu.sections[number]
    yield section.name, collection.at(menu, ("sections", number, "name"))
    if section.note is not None:
        yield section.note, collection.at(menu, ("sections", number, "note"))
    for language, translated in menu.translations.items():
        row = translated.sections.get(section.name)
        if row is not None:
            at = collection.at(menu, ("translations", language, "sections", section.name))
            yield from ((line, at) for line in (row.name, row.note) if line)


def marked(place: Place, words: str) -> Place:
    """A place narrowed down to some words of its line, where they stand there."""
    start = place.text.find(words, place.column - 1)
    start = place.text.find(words) if start < 0 else start
    return place if start < 0 else place.shifted(start + 1 - place.column, len(words))


def _in_body(sentence: str, thing: Recipe | Menu, collection: Collection) -> Place:
    source = collection.pages[page_key(thing)].source
    assert source is not None  # recipes and menus always have a file of their own
    for number, line in enumerate(source.body.splitlines()):
        column = line.find(sentence)
        if column >= 0:
            return Place(source.path, source.body_line + number, column + 1, len(sentence), line)
    return collection.at(thing, ("name",))
