"""What a publish prints for the house: which papers, on which sheets, under which names.

Belongs here: the list of papers and the house's usual sizes. Does not belong here: how any of them
looks or is laid out (the modules beside this one), writing files (build/plan.py).

    guest/  menu.pdf, menu-long.pdf,       A5 to be folded, long and narrow, and A3 for the wall;
            menu-board.pdf                 numbered from a second menu on (menu-2.pdf)
    staff/  cards/<slug>.pdf               the front of a card, A6, accessible
            cards.pdf                      all cards n-up with backs, bleed and crop marks
            book.pdf                       the spec book; from a second volume on, book-2.pdf and
                                           the sheets of its cards cards-2.pdf
            labels.pdf                     a label for everything the house makes, dates to write in
            prep.pdf                       what to make for one service, where the house has `par`
            menu-sheets.pdf                the folded menu on sheets: both sides, short edge
            press/                         cards and menus in the inks of a press, see plates/
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeAlias

from anthocard.engine.edition import stamp
from anthocard.house.collection import Collection, drink_slugs, fold
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.languages import language
from anthocard.press.base.sizes import LabelSheet, Paper
from anthocard.press.base.theme import Theme
from anthocard.press.data.row import RecipeRow
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.html.pictures import Pictures
from anthocard.press.paper.archive import cut, joined
from anthocard.press.paper.bar_cards import Printed, print_card, print_sheets
from anthocard.press.paper.forms import prep_pdf
from anthocard.press.paper.impose import Layout, in_turn, lay_out
from anthocard.press.paper.job import PaperPress, each
from anthocard.press.paper.label_sheets import print_labels
from anthocard.press.paper.menus.menu_papers import house_menus, menu_targets
from anthocard.press.paper.spec_book import Known, Volume, print_book
from anthocard.press.paper.typeset import faces
from anthocard.press.plates.condition import Condition
from anthocard.press.plates.targets import in_inks_of
from anthocard.press.store.key import Target, key, print_of
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.card import Card
from anthocard.press.words.history import steps_of
from anthocard.press.words.prep_sheet import make_prep, par_of

Papers: TypeAlias = dict[str, Target]
Make: TypeAlias = Callable[[PaperPress], Awaitable[bytes]]

#: What staff call each paper, in the order in which they are offered.
CALLED = {
    "book": "Spec book", "cards": "Card sheets", "labels": "Labels", "prep": "Prep sheet",
    "menu-sheets": "Menu to fold",
}  # fmt: skip
#: Places that print on Letter; the rest of the world uses ISO 216. Common practice, no source.
LETTER = ("US", "CA")
SIDES = ("front", "back")


def printed(
    collection: Collection,
    worked: WorkedRecipes,
    theme: Theme,
    ledger: Mapping[str, Any],
    condition: Condition | None = None,
) -> Papers:
    """Every paper by its path below `out`; with a printing `condition` in its inks as well.

    Those of recipes that have not changed are not even worded again where they are kept.
    """
    house, known = collection.house, _by_recipes(worked, theme)
    drinks = drink_slugs(collection, worked)
    others = _others(worked, drinks)
    count = papers.volumes(len(drinks))
    pictures = Pictures(collection, worked, theme)
    in_order = [drinks[name] for name in sorted(drinks)]
    volumes = in_turn(in_order, -(-len(drinks) // count) or 1) or [[]]
    cards = _Cards(collection, worked, theme, known)
    made: Papers = {}
    # What is most work to put together is asked for first: it is bound while others are still set.
    for number, some in enumerate(volumes, start=1):
        mark = "" if number == 1 else f"-{number}"
        inside = [*others, *some] if number == 1 else some
        volume = Volume(number, len(volumes))
        bound = partial(_bound, collection, worked, theme, ledger, inside, volume, known, pictures)
        steps = [steps_of(ledger, slug, language(house.language))[:1] for slug in inside]
        made[f"staff/book{mark}.pdf"] = known("book", inside, bound, volume, steps)
        if some:
            sheets = partial(cards.sheets, some)
            made[f"staff/cards{mark}.pdf"] = known("card sheets", some, sheets)
    made |= {f"staff/cards/{slug}.pdf": cards.alone(slug) for slug in drinks.values()}
    if any(worked[slug].keeping is not None for slug in others):
        labels = partial(_labels, collection, worked, others, theme)
        made["staff/labels.pdf"] = known("labels", others, labels)
    if house.par:
        serves = par_of(collection)
        wanted = [*others, *(drinks[fold(name)] for name in serves)]
        prep = partial(_prep, collection, worked, serves, theme)
        made["staff/prep.pdf"] = known("prep", wanted, prep)
    menus = house_menus(collection, worked, drinks, theme, known, pictures)
    if condition is not None:
        made |= {
            f"staff/press/{slug}-{side}.pdf": in_inks_of(
                condition, cards.side(slug, side), collection.at(worked[slug].recipe)
            )
            for slug in drinks.values()
            for side in SIDES
        }
        made |= {
            f"staff/press/{path.removeprefix('guest/')}": in_inks_of(condition, menu.whole, menu.at)
            for path, menu in menus.items()
        }
    return {**made, **menu_targets(menus, known)}


def _others(worked: WorkedRecipes, drinks: Mapping[str, str]) -> list[str]:
    """The slugs of what the house makes."""
    served = set(drinks.values())
    return [slug for slug in worked if slug not in served]


def on_paper(made: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """What each paper for all staff is called, and its address below staff/; not single cards."""
    found = (re.fullmatch(r"staff/(([a-z-]+?)(?:-(\d+))?\.pdf)", path) for path in sorted(made))
    named = [(one[2], f"{CALLED[one[2]]} {one[3] or ''}".strip(), one[1]) for one in found if one]
    order = list(CALLED)
    return tuple(
        (title, address) for _, title, address in sorted(named, key=lambda row: order.index(row[0]))
    )


def _by_recipes(worked: WorkedRecipes, theme: Theme) -> Known:
    """Targets by the recipes they are made from, without keys where those have none."""

    def known(what: str, slugs: Sequence[str], make: Make, *parts: object) -> Target:
        if not worked.prints:
            return Target(what, "", make, paper=True)
        looks = print_of(theme.folders), faces(theme.fonts)
        recipes = [worked.prints[slug] for slug in slugs]
        return Target(what, key("on paper", what, *looks, recipes, *parts), make, paper=True)

    return known


@dataclass(frozen=True)
class _Cards:
    """The bar cards of some drinks, alone and on sheets."""

    collection: Collection
    worked: WorkedRecipes
    theme: Theme
    known: Known

    def alone(self, slug: str) -> Target:
        """The front of a card, as for a screen."""

        async def make(press: PaperPress) -> bytes:
            return cut((await self._sides(press, slug)).front)

        return self.known("card alone", (slug,), make)

    def side(self, slug: str, side: str) -> Target:
        """One of SIDES with its bleed, as for a press."""

        async def make(press: PaperPress) -> bytes:
            content: bytes = getattr(await self._sides(press, slug), side)
            return content

        return self.known(f"card {side}", (slug,), make)

    async def sheets(self, slugs: Sequence[str], press: PaperPress) -> bytes:
        """All of them n-up, both sides; each sheet tells the edition of what lies on it."""
        house = self.collection.house
        layout = lay_out(card_size(house), sheet_size(house))
        on_sheets = in_turn(slugs, len(layout.spots))
        asked = []
        for number, on in enumerate(on_sheets, start=1):
            place = number, len(on_sheets)
            make = partial(self._sheet, layout, on, place)
            asked.append(press.get(self.known("card sheet", on, make, place)))
        return await press.join(joined, await each(asked))

    async def _sheet(
        self, layout: Layout, slugs: Sequence[str], place: tuple[int, int], press: PaperPress
    ) -> bytes:
        edition = edition_of(self.worked.row(slug) for slug in slugs)
        house = self.collection.house
        stamp = language(house.language).gettext("edition %(stamp)s", stamp=edition)
        legend = f"{house.name} · {stamp}"
        cards = [self._sides(press, slug) for slug in slugs]
        tag = house.language
        return await print_sheets(cards, layout, self.theme, [legend], "long", *place, press, tag)

    async def _sides(self, press: PaperPress, slug: str) -> Printed:
        both = await press.get(self.known("card", (slug,), partial(self._set, slug)))
        length, _, sides = both.partition(b" ")
        return Printed(sides[: int(length)], sides[int(length) :])

    async def _set(self, slug: str, press: PaperPress) -> bytes:
        """Both sides in one: how long the front is, a blank, the front, the back."""
        one, house = self.worked[slug], self.collection.house
        at = partial(self.collection.at, one.recipe)
        size = card_size(house)
        card = await print_card(self.worked.card(slug), one, self.theme, size, at, press)
        return b"%d " % len(card.front) + card.front + card.back


def edition_of(recipes: Iterable[RecipeRow | Card]) -> str:
    """The edition of some recipes together."""
    return stamp(sorted((one.slug, one.edition) for one in recipes))


def card_size(house: House) -> Paper:
    """The size of the house's bar cards."""
    return papers.card_paper("4x6" if _letter(house) else "A6")


def sheet_size(house: House) -> Paper:
    """The sheet in the house's own printer."""
    return papers.sheet_paper("Letter" if _letter(house) else "A4")


def book_size(house: House) -> Paper:
    """The page of the house's spec book."""
    return papers.book_paper("Half-Letter" if _letter(house) else "A5")


def label_size(house: House) -> LabelSheet:
    """The house's usual label sheet."""
    return papers.label_sheet("Letter-2x3" if _letter(house) else "A4-2x4")


def _letter(house: House) -> bool:
    return house.place.partition("-")[0] in LETTER


async def _bound(
    collection: Collection,
    worked: WorkedRecipes,
    theme: Theme,
    ledger: Mapping[str, Any],
    slugs: Sequence[str],
    volume: Volume,
    known: Known,
    pictures: Pictures,
    press: PaperPress,
) -> bytes:
    computed = {slug: worked[slug] for slug in slugs}
    cards = {slug: worked.card(slug) for slug in slugs}
    paper = book_size(collection.house)
    return await print_book(
        collection, computed, cards, theme, ledger, paper, volume, known, press, pictures
    )


async def _labels(
    collection: Collection,
    worked: WorkedRecipes,
    slugs: Sequence[str],
    theme: Theme,
    press: PaperPress,
) -> bytes:
    labels = [
        (
            make_label(worked[slug], worked.card(slug), collection.house),
            collection.at(worked[slug].recipe),
        )
        for slug in slugs
        if worked[slug].keeping is not None
    ]
    return await print_labels(labels, label_size(collection.house), theme, press=press)


async def _prep(
    collection: Collection,
    worked: WorkedRecipes,
    serves: Mapping[str, float],
    theme: Theme,
    press: PaperPress,
) -> bytes:
    return await prep_pdf(
        make_prep(worked, collection, serves), theme, sheet_size(collection.house), press
    )
