"""The spec book on paper: which parts it has, and what each is made from.

Belongs here: the order of the book and how it is cut into parts. Does not belong here: what stands
in them (chapters.py), on which page they begin (numbering.py), looks (the themes), setting type
(typeset.py).

The book is set in parts, so that they are set side by side and a changed recipe sets its own part
alone. Nothing shows of it, since a part knows the page it begins on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias, TypedDict

from anthocard.engine.edition import stamp
from anthocard.engine.results import Computed
from anthocard.house.collection import Collection
from anthocard.press.base.languages import Language, language
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme
from anthocard.press.html.pictures import Pictures, PrintedPicture
from anthocard.press.paper.impose import in_turn
from anthocard.press.paper.job import ENDS, FIT, HERE, PaperPress, paper_pdf
from anthocard.press.paper.lost_words import style_errors_of
from anthocard.press.paper.numbering import Begins, BookPart, Numbers, number_and_bind
from anthocard.press.paper.typeset import faces
from anthocard.press.store.key import Target, key, print_of
from anthocard.press.words import chapters
from anthocard.press.words.amounts import small_column
from anthocard.press.words.card import Card
from anthocard.press.words.history import EditionStep
from anthocard.press.words.spec import Cited, Figure

CHAPTERS: Final = ("infusion", "solution", "syrup", "preparation", "drink")
#: Recipes in one part. Chosen: fewer would repeat fonts, more would be set anew with a neighbour;
#: drinks stand on pages of their own, so a part may end after any of them.
_TOGETHER: Final = {"infusion": 12, "solution": 12, "syrup": 12, "preparation": 4, "drink": 2}
#: The target of what is made of some recipes (by slug) and of other parts, where those have keys.
Known: TypeAlias = Callable[..., Target]
#: What stands for a page number while nobody knows it: as wide as one.
_UNKNOWN: Final = "000"


@dataclass(frozen=True, slots=True)
class Volume:
    """Which of how many volumes, from 1."""

    number: int = 1
    of: int = 1


class BookFront(TypedDict):
    """What the book says of the house."""

    name: str
    voice: str


class OfAll(TypedDict):
    """What every part of the book is given."""

    house: BookFront
    edition: str
    small_column: tuple[str, str]  # a heading for what stands beside amounts, and how it is read
    volume: Volume
    reach: list[str]  # the first drink of the volume and the last
    here: frozenset[str]  # the slugs of all recipes in it


class OfOne(TypedDict, total=False):
    """What some parts of the book are given, each its own."""

    chapters: list[tuple[str, str, Sequence[Card]]]  # cover, contents: kind, title, its recipes
    measures: list[Figure]  # reading
    kind: str  # glance, leaves: of its recipes
    title: str  # glance, leaves
    cards: Sequence[Card]  # glance
    leaves: list[chapters.BookEntry]  # leaves
    pictures: Mapping[str, tuple[PrintedPicture, ...]]  # leaves: of each drink, by its slug
    allergens: chapters.Allergens  # care
    rules: list[chapters.RuleEntry]  # care
    defer: list[str]  # care: whom to ask
    decided: tuple[Figure, ...]  # care: what the house tightened or loosened
    glossary: list[tuple[str, str]]  # care: each word and what it means
    sources: list[Cited]  # sources
    changes: list[tuple[str, str, EditionStep]]  # changes: name, slug and step of each recipe
    indexes: tuple[tuple[str, list[chapters.Entry]], ...]  # indexes: each title and its lines


class OfPlace(TypedDict):
    """What a part is given when it is known where it begins."""

    part: str  # which it is: cover, contents, reading …
    begins: Begins
    numbers: Mapping[str, int] | None  # the page of every name, where they are known
    unknown: str  # what stands for a page number that is not
    fit: str  # leaves: a class of each entry, by which it is set closer where it runs over


class BookGiven(OfAll, OfOne, OfPlace):
    """What the book is given, part by part."""


async def print_book(
    collection: Collection,
    computed: Mapping[str, Computed],
    cards: Mapping[str, Card],
    theme: Theme,
    ledger: Mapping[str, Any],
    paper: Paper,
    volume: Volume = Volume(),
    known: Known | None = None,
    press: PaperPress = HERE,
    pictures: Pictures | None = None,
) -> bytes:
    """The book as PDF/A-3a and PDF/UA-1, tagged, with bookmarks and links.

    A volume of it where there are several: of the recipes it is given, whole in itself. `ledger`
    is history.py's, empty at first; without `pictures` glasses are drawn flat alone. Raises as
    paper_pdf does.
    """
    named = {
        kind: sorted((c for c in cards.values() if c.kind == kind), key=_by_name)
        for kind in CHAPTERS
    }
    tongue = language(collection.house.language)
    every_part: OfAll = {
        "house": {
            "name": collection.house.name, "voice": collection.house.voice or "",
        },
        "edition": stamp(sorted((card.slug, card.edition) for card in cards.values())),
        "small_column": small_column(collection.house, tongue),
        "volume": volume,
        "reach": [card.name for card in (*named["drink"][:1], *named["drink"][-1:])],
        "here": frozenset(cards),
    }  # fmt: skip
    style = theme.style("book.css") + (
        f"@page {{ size: {paper.width_mm:g}mm {paper.height_mm:g}mm }}"
    )

    drawn = pictures.drawn(cards) if pictures else {}

    async def put(part: BookPart, begins: Begins, numbers: Numbers) -> bytes:
        def page() -> str:
            own = OfPlace(part=part.name, begins=begins, numbers=numbers, unknown=_UNKNOWN, fit=FIT)
            values = {**every_part, **part.values(), **own}
            return theme.render_paper("book.html", values, collection.house.language)

        async def set_it(press: PaperPress) -> bytes:
            decides = numbers is None and not part.usual
            with style_errors_of(theme, "book.css"):
                return await paper_pdf(
                    page,
                    style,
                    theme.fonts,
                    "the spec book",
                    press,
                    decides,
                    ends=ENDS,
                    drawn=drawn,
                )

        if known is None or not part.of:
            return await set_it(press)
        what = begins, paper.name, volume, sorted(cards)
        return await press.get(known("leaves", part.of, set_it, *what))

    def remember(part: BookPart, pages: int | None) -> int | None:
        if press.store is None:
            return None
        looks = print_of(theme.folders), faces(theme.fonts), paper.name
        own = every_part["house"], volume, part.name, part.rows, part.names
        name = key("pages of a part", *looks, *own)
        stored = press.store.get(name)
        if pages is not None and stored != b"%d" % pages:
            press.store.put(name, b"%d" % pages)
        return pages or (int(stored) if stored else None)

    body = tuple(_body(collection, computed, cards, named, ledger, pictures))
    front, back = _front(named, tongue), _back(computed, cards, tongue)
    return await number_and_bind(*front, body, back, put, remember, press)


def _front(named: Mapping[str, Sequence[Card]], tongue: Language) -> tuple[BookPart, BookPart]:
    titles = chapters.titles(tongue)
    listed = OfOne(chapters=[(kind, titles[kind], named[kind]) for kind in CHAPTERS if named[kind]])
    return BookPart("cover", lambda: listed), BookPart("contents", lambda: listed)


def _body(
    collection: Collection,
    computed: Mapping[str, Computed],
    cards: Mapping[str, Card],
    named: Mapping[str, Sequence[Card]],
    ledger: Mapping[str, Any],
    pictures: Pictures | None,
) -> Iterator[BookPart]:
    measures = chapters.measures(collection.house)
    yield BookPart("reading", lambda: OfOne(measures=measures), side="right", pages=2)
    tongue = language(collection.house.language)
    titles = chapters.titles(tongue)
    for kind in CHAPTERS:
        title = titles[kind]
        if named[kind]:
            yield _glance(kind, title, named[kind])
        for some in in_turn(named[kind], _TOGETHER[kind]):
            yield _leaves(kind, title, some, computed, pictures, tongue)
    yield BookPart("care", lambda: _care(collection, computed), pages=4)
    sources, changes = chapters.sources(computed, tongue), chapters.changes(cards, ledger, tongue)
    yield BookPart("sources", lambda: OfOne(sources=sources), pages=2)
    yield BookPart(
        "changes",
        lambda: OfOne(changes=changes),
        rows=tuple(name for name, _, _ in changes),
        names=("part-changes",),
    )


def _glance(kind: str, title: str, cards: Sequence[Card]) -> BookPart:
    return BookPart(
        "glance",
        lambda: OfOne(kind=kind, title=title, cards=cards),
        side="right" if kind == "drink" else "",
        rows=tuple(card.name for card in cards),
        names=(f"part-{kind}",),
        leads=True,
    )


def _leaves(
    kind: str,
    title: str,
    cards: Sequence[Card],
    computed: Mapping[str, Computed],
    pictures: Pictures | None,
    tongue: Language,
) -> BookPart:
    drinks = kind == "drink"
    return BookPart(
        "leaves",
        lambda: OfOne(
            kind=kind,
            title=title,
            leaves=[chapters.leaf(card, computed[card.slug]) for card in cards],
            pictures={
                card.slug: pictures.printed(card.slug, tongue, "book") if pictures else ()
                for card in cards
            },
        ),
        side="left" if drinks else "",
        of=tuple(card.slug for card in cards),
        names=tuple(card.slug for card in cards),
        pages=len(cards) * (2 if drinks else 1),
        usual=drinks,
        goes_on=True,
    )


def _care(collection: Collection, computed: Mapping[str, Computed]) -> OfOne:
    tongue = language(collection.house.language)
    return {
        "allergens": chapters.allergens(computed, tongue),
        "rules": chapters.rules(computed, tongue),
        "defer": chapters.defer(computed, tongue),
        "decided": chapters.decisions(collection.house),
        "glossary": chapters.glossary(tongue),
    }


def _back(
    computed: Mapping[str, Computed], cards: Mapping[str, Card], tongue: Language
) -> BookPart:
    return BookPart(
        "indexes", lambda: OfOne(indexes=chapters.indexes(computed, cards, tongue)), leads=True
    )


def _by_name(card: Card) -> str:
    return card.name.casefold()
