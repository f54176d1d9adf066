"""What a publish prints for the house: which papers, on which sheets, under which names.

Belongs here: the list of papers and the house's usual sizes. Does not belong here: how any of them
looks or is laid out (bar_card, book, labels, prep, menu_paper), writing files (site.py).

    guest/  menu.pdf, menu-long.pdf        A5 to be folded, and long narrow; numbered from a second
                                           menu on (menu-2.pdf)
    staff/  cards/<slug>.pdf               the front of a card, A6, accessible
            cards.pdf                      all cards n-up with backs, bleed and crop marks
            book.pdf                       the spec book
            labels.pdf                     a label for everything the house makes, dates to write in
            prep.pdf                       what to make for one service, where the house has `par`
            menu-sheets.pdf                the folded menu on sheets: both sides, short edge
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, partial
from typing import Any

from generator.bench.edition import stamp
from generator.bench.figures import Computed
from generator.press import papers
from generator.press.archive import cut
from generator.press.bar_card import Printed, print_card, print_sheets
from generator.press.book import print_book
from generator.press.card import Card
from generator.press.impose import lay_out
from generator.press.labels import make_label, print_labels
from generator.press.menu_paper import menu_pdf, menu_sheets
from generator.press.papers import LabelSheet, Paper
from generator.press.prep import make_prep, par_of, prep_pdf
from generator.press.theme import Theme
from generator.recipe.book import Book, fold
from generator.recipe.house import House

#: Places that print on Letter; the rest of the world uses ISO 216. Common practice, no source.
LETTER = ("US", "CA")


def printed(
    book: Book,
    computed: Mapping[str, Computed],
    cards: Mapping[str, Card],
    theme: Theme,
    ledger: Mapping[str, Any],
) -> dict[str, Callable[[], bytes]]:
    """Every paper by its path below `out`, made when it is called for."""
    house = book.house
    drinks = {slug: card for slug, card in cards.items() if card.kind == "drink"}

    @cache
    def both(slug: str) -> Printed:
        at = partial(book.at, computed[slug].recipe)
        return print_card(cards[slug], computed[slug], theme, card_size(house), at)

    def sheets() -> bytes:
        layout = lay_out(card_size(house), sheet_size(house))
        legend = f"{house.name} · edition {book_edition(cards)}"
        return print_sheets([both(slug) for slug in drinks], layout, theme, legend, "long")

    made: dict[str, Callable[[], bytes]] = {
        f"staff/cards/{slug}.pdf": partial(lambda slug: cut(both(slug).front), slug)
        for slug in drinks
    }
    if drinks:
        made["staff/cards.pdf"] = sheets
    made["staff/book.pdf"] = lambda: print_book(
        book, computed, cards, theme, ledger, book_size(house)
    )
    if any(one.keeping is not None for one in computed.values()):
        made["staff/labels.pdf"] = partial(_labels, book, computed, cards, theme)
    if house.par:
        made["staff/prep.pdf"] = lambda: prep_pdf(
            make_prep(computed, book, par_of(book)), theme, sheet_size(house)
        )
    return {**made, **_menus(book, drinks, theme)}


def book_edition(cards: Mapping[str, Card]) -> str:
    """The edition of everything together."""
    return stamp(sorted((card.slug, card.edition) for card in cards.values()))


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


def _labels(
    book: Book, computed: Mapping[str, Computed], cards: Mapping[str, Card], theme: Theme
) -> bytes:
    labels = [
        (make_label(one, cards[slug], book.house), book.at(one.recipe))
        for slug, one in computed.items()
        if one.keeping is not None
    ]
    return print_labels(labels, label_size(book.house), theme)


def _menus(book: Book, drinks: Mapping[str, Card], theme: Theme) -> dict[str, Callable[[], bytes]]:
    listed = {fold(card.name): card for card in drinks.values()}
    made: dict[str, Callable[[], bytes]] = {}
    for number, menu in enumerate(book.menus.values(), start=1):
        mark = "" if number == 1 else f"-{number}"
        set_ = cache(partial(menu_pdf, menu, listed, book.house, theme))
        made[f"guest/menu{mark}.pdf"] = partial(set_, "folded")
        made[f"guest/menu-long{mark}.pdf"] = partial(set_, "long")
        made[f"staff/menu-sheets{mark}.pdf"] = partial(_folded, set_)
    return made


def _folded(set_: Callable[[str], bytes]) -> bytes:
    return menu_sheets(set_("folded"), papers.menu_paper("folded"))
