"""The page of a bar card, in every setting that could suit it.

Belongs here: how a card gives way when it is full. Does not belong here: its size and bleed
(bar_cards.py), what it says (words/card.py), how it looks (the themes).
"""

from __future__ import annotations

import re
from math import ceil

from anthocard.press.base.markdown import steps_in
from anthocard.press.base.theme import Theme
from anthocard.press.paper.job import FIT
from anthocard.press.words.back import Back
from anthocard.press.words.card import Card

#: How a card gives way when it is full: each step sets less air, then smaller type.
FITS = ("grand", "roomy", "even", "close", "snug", "tight")
#: A large card lets go of its method last and whole, and then has more air again.
LARGE_FITS = (*FITS, *(f"{fit} bare" for fit in FITS[-4:]))
#: Up to how high a front (_front_mm) each of them is worth trying; measured on the base theme with
#: 86 drinks: 8 of them are tried twice, 3 are set one step smaller than they could be.
FRONT_MM = (62.0, 80.0, 84.0, 103.5, 131.5)
#: The same of large cards, by their lines; from the demo's cards, chosen with room to spare.
LARGE_LINES = (6.0, 8.0, 10.0, 12.0, 17.0)
#: The same of backs, by their lines; beyond the last each is tried in turn.
BACK_LINES = (16.1, 17.0)
#: About how much of a front the room for a hole or a clip takes; it only saves trials.
ROOM_MM = 8.0
_TIMES = re.compile(r"[0-3]\.\d+")


def card_fits(card: Card, theme: Theme) -> tuple[str, ...]:
    """Every setting that could suit a card, the roomiest first; a theme whose cards hold more than
    the base's says how many times as much by its token `--card-holds`.
    """
    high_mm = (_front_mm(card) + (ROOM_MM if card.room else 0.0)) / _holds(theme)
    return FITS[sum(high_mm > most for most in FRONT_MM) :]


def large_fits(card: Card, theme: Theme) -> tuple[str, ...]:
    """The same of a large card, by its lines of amounts and of the method."""
    steps = steps_in(card.staff_text)
    lines = len(card.pours) + len(card.reveals) + sum(ceil(len(step) / 46) for step in steps)
    lines += 1 if card.room else 0
    return LARGE_FITS[sum(lines / _holds(theme) > most for most in LARGE_LINES) :]


def back_fits(back: Back, theme: Theme, room: str = "") -> tuple[str, ...]:
    """Every setting that could suit the back of a card, the roomiest first."""
    why = sum(ceil(len(line) / 55) for line in back.why)
    care = sum(ceil(len(line) / 66) for line in (back.allergens, *back.care))
    lines = len(back.figures) + len(back.batch) + why + 0.8 * care + (2.0 if room else 0.0)
    return FITS[sum(lines / _holds(theme) > most for most in BACK_LINES) :]


def card_page(card: Card, theme: Theme, fit: str = FIT, large: bool = False) -> str:
    """One bar card as a page of its own, for paper; `fit` is one of FITS, or stands for any.

    A `large` one has a layout of its own, with the steps of its method; its fits are LARGE_FITS.
    """
    values = {"card": card, "fit": fit, "strip": theme.strip}
    if large:
        steps = steps_in(card.staff_text)
        return theme.render_paper("card_large.html", {**values, "method": steps}, card.language)
    return theme.render_paper("card.html", values, card.language)


def _holds(theme: Theme) -> float:
    held = theme.token("card-holds")
    return float(held) if _TIMES.fullmatch(held) else 1.0


def _front_mm(card: Card) -> float:
    """About how high the words of a front stand in the setting “close”, with their glasses.

    Letters are counted, not measured: 24 of a name, 44 of small type and so on go into a line.
    """
    rows = [*card.pours, *(one.pour for one in card.reveals)]
    small = [one.served for one in card.reveals] + [card.window]
    facts = (card.strength, card.volume, card.drinks, *card.garnish, card.serve)
    care = " · ".join(facts), " ".join(card.rail), " " * (90 if card.cautions else 62)
    how = card.method * 2 + card.ice + card.glass + card.rim
    return sum(
        (
            8.8 * ceil(len(card.name) / 24),
            6.2 * ceil(len(how) / 62),
            6.8 * sum(ceil(len(pour.name) / 20) for pour in rows),
            7.5 if card.reveals else 0.0,
            4.1 * sum(ceil(len(line) / 44) for line in small),
            20.0,
            7.2 * ceil(len(card.holds_short) / 32),
            3.8 * sum(ceil(len(line) / 60) for line in care),
        )
    )
