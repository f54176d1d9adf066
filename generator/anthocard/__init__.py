"""Anthocard: spec cards and menus for drinks that turn, with the pH and the colour computed.

Five functions, each taking what the one before gave:

>>> import anthocard
>>> from anthocard.commands.begin import STARTER
>>> book = anthocard.read(STARTER)
>>> sorted(book.drinks)
['First Light', 'Slow Morning']
>>> computed = anthocard.compute(book)
>>> drink = computed["first-light"]
>>> drink.before.colour.name == drink.after.colour.name
False
>>> drink.after.ph < drink.before.ph
True
>>> card = anthocard.card(drink, book)
>>> card.name, card.pours[0].number, card.pours[0].unit, card.pours[0].name
('First Light', '50', 'ml', 'blue gin')
>>> "First Light" in anthocard.render(card)
True

and, where Pango is installed, `anthocard.print(card)` is the card as a PDF.

Belongs here: the public names, documented and lazy: nothing is imported before it is called. Does
not belong here: anything done by them.
"""

from __future__ import annotations

TYPE_CHECKING = False  # what type checkers know it by: typing itself takes 10 ms to import
if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from anthocard.engine.results import Computed
    from anthocard.house.collection import Collection
    from anthocard.press.words.card import Card

__all__ = ["card", "compute", "print", "read", "render"]


def read(folder: str | Path) -> Collection:
    """Read the house in `folder`: its recipes, stock and menus, checked and frozen.

    Warnings stand in `Collection.warnings`. Raises diagnostics.diagnostic.AuthorError with every
    mistake at once, each with its place and how to mend it, in `AuthorError.mistakes`.

    >>> read("no-such-folder")
    Traceback (most recent call last):
    anthocard.diagnostics.diagnostic.AuthorError: no-such-folder:1:1
      there is no such folder
      Mend: give its path
    """
    from pathlib import Path

    from anthocard.house.reader import read_house

    return read_house(Path(folder))


def compute(collection: Collection, at_c: float | None = None) -> Mapping[str, Computed]:
    """Work out every recipe of a house; by the recipe's slug, in the order written.

    `at_c` asks for all figures at that temperature in °C instead of the serving temperature.
    Volumes are ml at 20 °C, strength % vol, acidity g/l as citric acid, pH what a meter calibrated
    in aqueous buffers reads. Warnings stand in `Computed.warnings`. Raises AuthorError.
    """
    from anthocard.engine.compute import compute as work_out

    return work_out(collection, at_c)[0]


def card(computed: Computed, collection: Collection) -> Card:
    """Round and word one computed recipe for its house: strings only, ready to be set."""
    from anthocard.press.words.card import make_card

    return make_card(computed, collection.house)


def render(card: Card, theme: str = "base") -> str:
    """The card as one HTML page, for paper. Raises AuthorError for an unknown or broken theme."""
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.card_page import card_fits, card_page

    looks = find_theme(theme)
    return card_page(card, looks, card_fits(card, looks)[0])


def print(card: Card, theme: str = "base") -> bytes:
    """The card as a one-sheet PDF; the same bytes on the same versions of the libraries.

    Raises press.base.refusals.PaperUnavailable where Pango is not installed, and AuthorError for
    a card that no sheet can hold or a character that no face has.
    """
    from anthocard.diagnostics.diagnostic import Place
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.card_page import card_fits, card_page
    from anthocard.press.paper.job import HERE, card_pdf

    looks, place = find_theme(theme), Place(card.slug)
    fits = card_fits(card, looks)
    asked = card_pdf(
        lambda: card_page(card, looks), fits, looks.style("card.css"), card.name, place, looks.fonts
    )
    return HERE.now(asked)
