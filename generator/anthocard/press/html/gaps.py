"""What the pages will leave out or say in another language: told to the author, never to a guest.

Belongs here: warnings and hints about the pages of a house that reads and computes. Does not belong
here: mistakes that stop a publish (the reader), doubts about figures (review.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.engine.results import Computed
from anthocard.house.collection import Collection, page_key
from anthocard.house.files import slug
from anthocard.house.model import Menu, Recipe
from anthocard.press.base.languages import is_known, known_tags
from anthocard.press.base.markdown import RECIPE, dropped_markup
from anthocard.press.html.menu import languages_of, offered


def gaps(collection: Collection, computed: Mapping[str, Computed]) -> tuple[Mistake, ...]:
    """Every warning and hint about what guests and staff will read."""
    return (
        *_taken_out_or_dead(collection),
        *_without_phrases(collection),
        *(
            m
            for tag in languages_of(collection.house)[1:]
            for m in _untranslated(collection, computed, tag)
        ),
        *_not_offered(collection),
        *_without_address(collection),
    )


def _texts(collection: Collection) -> Iterator[tuple[Recipe | Menu, str]]:
    for thing in (*collection.recipes, *collection.menus.values()):
        for text in (thing.guest_text, *thing.guest_texts.values(), thing.staff_text):
            yield thing, text


def _taken_out_or_dead(collection: Collection) -> Iterator[Mistake]:
    """Raw HTML with script, pictures, links that leave the house; then links to no recipe."""
    known = {collection.slug(thing) for thing in collection.recipes}
    dead: list[Mistake] = []
    for thing, text in _texts(collection):
        removed, links = dropped_markup(text)
        dead += (_dead(collection, thing, link) for link in links if _leads_nowhere(link, known))
        for what in removed:
            yield Mistake(
                "taken-out", f"{what.words} is left out of the pages",
                _line(collection, thing, what.written),
                "pages hold words and links between recipes only: nothing from outside the house",
                "warning",
            )  # fmt: skip
    yield from dead


def _leads_nowhere(link: str, known: Set[str]) -> bool:
    recipe = RECIPE.fullmatch(link)
    return recipe is not None and slug(recipe[1]) not in known


def _dead(collection: Collection, thing: Recipe | Menu, link: str) -> Mistake:
    return Mistake(
        "dead-link", f"the link “{link}” leads to no recipe", _line(collection, thing, link),
        "name the file of a recipe, such as ../syrups/NAME.md", "warning",
    )  # fmt: skip


def _without_phrases(collection: Collection) -> Iterator[Mistake]:
    """Languages that our own phrases cannot be said in."""
    for tag in languages_of(collection.house):
        if not is_known(tag):
            key = "language" if tag == collection.house.language else "languages"
            yield Mistake(
                "no-words",
                f"there are no phrases of ours in “{tag}”: they stay English",
                collection.at(collection.house, (key,)),
                f"choose one that has them: {', '.join(known_tags())}",
                "warning",
            )


def _untranslated(
    collection: Collection, computed: Mapping[str, Computed], tag: str
) -> Iterator[Mistake]:
    """What guests who read `tag` will meet in the house's own language."""
    house = collection.house
    if house.voice and not (tag in house.translations and house.translations[tag].voice):
        yield _gap(
            "the house's voice", tag, collection.at(house, ("voice",)), "translations: {%s: …}"
        )
    for menu in collection.menus.values():
        said = menu.translations.get(tag)
        if menu.guest_text and tag not in menu.guest_texts:
            yield _gap(f"the text of {menu.name}", tag, collection.at(menu, ("name",)), "## %s")
        for section in menu.sections:
            other = said.sections.get(section.name) if said else None
            if other is None or other.name is None:
                yield _gap(
                    f"the section {section.name}",
                    tag,
                    collection.at(menu, ("sections",), key=True),
                    "translations: {%s: {sections: …}}",
                )
    for one in offered(collection, computed):
        if one.recipe.guest_text and tag not in one.recipe.guest_texts:
            yield _gap(
                f"the text of {one.name}", tag, collection.at(one.recipe, ("name",)), "## %s"
            )


def _gap(what: str, tag: str, place: Place, mend: str) -> Mistake:
    return Mistake(
        "untranslated", f"{what} is not there in “{tag}”: guests read it as it is", place,
        f"write it under “{mend % tag}”", "warning",
    )  # fmt: skip


def _not_offered(collection: Collection) -> Iterator[Mistake]:
    """Words in a language that the house does not publish in."""
    offered_in = languages_of(collection.house)
    for thing in (*collection.recipes, *collection.menus.values()):
        for tag in sorted({*thing.guest_texts, *thing.translations}):
            if tag not in offered_in:
                yield Mistake(
                    "language-not-offered",
                    f"the house does not publish in “{tag}”",
                    collection.at(thing, ("name",)),
                    f"add “languages: [{tag}]” to house.yaml",
                    "hint",
                )


def _without_address(collection: Collection) -> Iterator[Mistake]:
    if collection.house.web is None:
        yield Mistake(
            "no-address", "the house does not say where its menu is hosted: no codes for tables,"
            " no picture where its address is shared", collection.at(collection.house, ("name",)),
            "once it is hosted, add “web: https://…” to house.yaml", "hint",
        )  # fmt: skip


def _line(collection: Collection, thing: Recipe | Menu, written: str) -> Place:
    """The line of the author's file in which something is `written`, or the recipe's name."""
    source = collection.pages[page_key(thing)].source
    for number, line in source.numbered if source else ():
        at = line.find(written)
        if at >= 0 and source is not None:
            return Place(source.path, number, at + 1, len(written), line)
    return collection.at(thing, ("name",))
