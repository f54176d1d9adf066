"""The page of a bar card, in every setting that could suit it.

Belongs here: how a card gives way when it is full. Does not belong here: its size and bleed
(bar_cards.py), what it says (words/card.py), how it looks (the themes).
"""

from __future__ import annotations

from anthocard.press.base.theme import Theme
from anthocard.press.paper.job import FIT
from anthocard.press.words.card import Card, lines_of

#: How a card gives way when it is full: each step sets less air, then smaller type.
FITS = ("grand", "roomy", "even", "close", "snug", "tight")
#: Up to how many lines (lines_of) each of them is worth trying; measured on the shipped themes.
LINES = (3.4, 5.2, 6.2, 7.8, 11.8)


def card_fits(card: Card) -> tuple[str, ...]:
    """Every setting that could suit a card, the roomiest first."""
    return FITS[sum(lines_of(card) > most for most in LINES) :]


def card_page(card: Card, theme: Theme, fit: str = FIT) -> str:
    """One bar card as a page of its own, for paper; `fit` is one of FITS, or stands for any."""
    return theme.render_paper("card.html", {"card": card, "fit": fit}, card.language)
