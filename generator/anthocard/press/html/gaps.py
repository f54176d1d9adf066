"""What the pages will leave out or say in another language: told to the author, never to a guest.

Belongs here: warnings and hints about the pages of a house that reads and computes. Does not belong
here: mistakes that stop a publish (the reader), doubts about figures (review.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.engine.results import Computed
from anthocard.house.collection import Book, page_key
from anthocard.house.files import slug
from anthocard.house.model import Menu, Recipe
from anthocard.press.base.languages import is_known, known_tags
from anthocard.press.base.markdown import RECIPE, look_over
from anthocard.press.html.menu import languages_of, offered


def gaps(book: Book, computed: Mapping[str, Computed]) -> tuple[Mistake, ...]:
    """Every warning and hint about what guests and staff will read."""
    return (
        *_taken_out_or_dead(book),
        *_without_phrases(book),
        *(m for tag in languages_of(book.house)[1:] for m in _untranslated(book, computed, tag)),
        *_not_offered(book),
        *_without_address(book),
    )


def _texts(book: Book) -> Iterator[tuple[Recipe | Menu, str]]:
    for thing in (*book.recipes, *book.menus.values()):
        for text in (thing.guest_text, *thing.guest_texts.values(), thing.staff_text):
            yield thing, text


def _taken_out_or_dead(book: Book) -> Iterator[Mistake]:
    """Raw HTML with script, pictures, links that leave the house; then links to no recipe."""
    known = {book.slug(thing) for thing in book.recipes}
    dead: list[Mistake] = []
    for thing, text in _texts(book):
        removed, links = look_over(text)
        dead += (_dead(book, thing, link) for link in links if _leads_nowhere(link, known))
        for what in removed:
            yield Mistake(
                "taken-out", f"{what.words} is left out of the pages",
                _line(book, thing, what.written),
                "pages hold words and links between recipes only: nothing from outside the house",
                "warning",
            )  # fmt: skip
    yield from dead


def _leads_nowhere(link: str, known: Set[str]) -> bool:
    recipe = RECIPE.fullmatch(link)
    return recipe is not None and slug(recipe[1]) not in known


def _dead(book: Book, thing: Recipe | Menu, link: str) -> Mistake:
    return Mistake(
        "dead-link", f"the link “{link}” leads to no recipe", _line(book, thing, link),
        "name the file of a recipe, such as ../syrups/NAME.md", "warning",
    )  # fmt: skip


def _without_phrases(book: Book) -> Iterator[Mistake]:
    """Languages that our own phrases cannot be said in."""
    for tag in languages_of(book.house):
        if not is_known(tag):
            key = "language" if tag == book.house.language else "languages"
            yield Mistake(
                "no-words", f"there are no phrases of ours in “{tag}”: they stay English",
                book.at(book.house, (key,)), f"choose one that has them: {', '.join(known_tags())}",
                "warning",
            )  # fmt: skip


def _untranslated(book: Book, computed: Mapping[str, Computed], tag: str) -> Iterator[Mistake]:
    """What guests who read `tag` will meet in the house's own language."""
    house = book.house
    if house.voice and not (tag in house.translations and house.translations[tag].voice):
        yield _gap("the house's voice", tag, book.at(house, ("voice",)), "translations: {%s: …}")
    for menu in book.menus.values():
        said = menu.translations.get(tag)
        if menu.guest_text and tag not in menu.guest_texts:
            yield _gap(f"the text of {menu.name}", tag, book.at(menu, ("name",)), "## %s")
        for section in menu.sections:
            other = said.sections.get(section.name) if said else None
            if other is None or other.name is None:
                yield _gap(
                    f"the section {section.name}", tag, book.at(menu, ("sections",), key=True),
                    "translations: {%s: {sections: …}}",
                )  # fmt: skip
    for one in offered(book, computed):
        if one.recipe.guest_text and tag not in one.recipe.guest_texts:
            yield _gap(f"the text of {one.name}", tag, book.at(one.recipe, ("name",)), "## %s")


def _gap(what: str, tag: str, place: Place, mend: str) -> Mistake:
    return Mistake(
        "untranslated", f"{what} is not there in “{tag}”: guests read it as it is", place,
        f"write it under “{mend % tag}”", "warning",
    )  # fmt: skip


def _not_offered(book: Book) -> Iterator[Mistake]:
    """Words in a language that the house does not publish in."""
    offered_in = languages_of(book.house)
    for thing in (*book.recipes, *book.menus.values()):
        for tag in sorted({*thing.guest_texts, *thing.translations}):
            if tag not in offered_in:
                yield Mistake(
                    "language-not-offered", f"the house does not publish in “{tag}”",
                    book.at(thing, ("name",)), f"add “languages: [{tag}]” to house.yaml", "hint",
                )  # fmt: skip


def _without_address(book: Book) -> Iterator[Mistake]:
    if book.house.web is None:
        yield Mistake(
            "no-address", "the house does not say where its menu is hosted: no codes for tables,"
            " no picture where its address is shared", book.at(book.house, ("name",)),
            "once it is hosted, add “web: https://…” to house.yaml", "hint",
        )  # fmt: skip


def _line(book: Book, thing: Recipe | Menu, written: str) -> Place:
    """The line of the author's file in which something is `written`, or the recipe's name."""
    source = book.pages[page_key(thing)].source
    lines = source.text.split("\n") if source else []
    for number, line in enumerate(lines, start=1):
        at = line.find(written)
        if at >= 0 and source is not None:
            return Place(source.path, number, at + 1, len(written), line)
    return book.at(thing, ("name",))
