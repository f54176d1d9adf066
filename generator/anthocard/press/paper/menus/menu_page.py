"""A menu in words, as the template sets it: what of a card guests read on paper.

Belongs here: which words of a card stand on a menu, in which order, and how lines end. Does not
belong here: looks (the themes), sizes and pages (menu_papers.py, pagination.py). No amount,
supplier, cost or staff word reaches the template.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from itertools import count, pairwise

from markupsafe import Markup

from anthocard.house.collection import fold
from anthocard.house.model import Menu, Section
from anthocard.house.settings import House
from anthocard.press.base.languages import language
from anthocard.press.base.markdown import markdown_html
from anthocard.press.base.theme import Theme
from anthocard.press.draw.strip import Stop
from anthocard.press.html.pictures import Pictures, PrintedPicture
from anthocard.press.paper.job import FIT
from anthocard.press.words.card import Card
from anthocard.press.words.guest import days_of

#: Reference marks in the order that printers use them; both faces have all of them.
MARKS = ("*", "†", "‡", "§", "¶")
#: The smallest letters of a menu, pt, and how large they are beside its text; chosen to be read
#: by a candle.
SMALL_PT, SMALL = 8.0, 0.86
#: What ends a paragraph or a name without marks: its last two words.
_LAST = re.compile(r"([^\s<>]+) ([^\s<>]+)(?=(?:\s|</(?:span|em|strong|a)>)*</(p|li|h[1-3])>)")
#: What ends a name with marks.
_MARKED = re.compile(r'(?:([^\s<>]+) )?([^\s<>]+)(\u202f(?:<span class="mark">[^<]*</span>)+)</h3>')
#: They stay on one line if they have no more letters; chosen: they fit any column.
MOST_TIED, MOST_TIED_OF_NAME = 22, 12
_PART = re.compile(r"(?= data-part=)")


@dataclass(frozen=True, slots=True)
class MenuEntry:
    """One drink as guests read it on paper."""

    name: str
    price: str
    strength: str
    turning: str
    made_of: str
    text: Markup
    notes: tuple[str, ...]
    marks: tuple[str, ...]  # of notes printed once at the foot
    stops: tuple[str, ...]  # of its turn, as CSS writes them
    pictures: tuple[PrintedPicture, ...]  # from above, before and after


@dataclass(frozen=True, slots=True)
class MenuPage:
    """A printed menu in words: its house, its sections and what stands at its foot."""

    house: str
    voice: str
    currency: str  # what prices are in, where that is not beside each of them
    menu: str
    days: str  # when it is on, in words
    text: Markup
    sections: tuple[tuple[str, str, list[MenuEntry]], ...]  # each its name, its note, its drinks
    turns: tuple[tuple[str, ...], ...]  # the stops of every drink, in rows
    marked: tuple[tuple[str, str], ...]  # a mark and the note it stands for
    notes: tuple[str, ...]
    checked: tuple[str, ...]  # days on which allergens were looked at
    format: str  # folded, long or board
    layout: str  # by how many drinks: single, card, cover or columns
    prices: str  # where the house wants them: margin, name, or nothing
    size: str  # of its text, pt
    small: str  # of its smallest letters, pt


def menu_html(
    menu: Menu,
    cards: Mapping[str, Card],
    house: House,
    theme: Theme,
    format_: str,
    layout: str = "cover",
    pictures: Pictures | None = None,
) -> str:
    """The page of a menu; its sizes stand open, for `sized`."""
    listed = [cards[fold(name)] for section in menu.sections for name in section.drinks]
    marks, tongue = marked_notes(listed), language(house.language)
    apart = house.prices.currency == "none" and any(card.price for card in listed)
    page = MenuPage(
        house=house.name,
        voice=house.voice or "",
        currency=tongue.currency(house.currency) if apart else "",
        menu=menu.name,
        days=days_of(menu, tongue),
        text=markdown_html(menu.guest_text),
        sections=tuple(
            (one.name, one.note or "", _entries(one, cards, marks, house, pictures))
            for one in menu.sections
        ),
        turns=_rows([_stops(card) for card in listed]),
        marked=tuple((mark, note) for note, mark in marks.items()),
        notes=tuple(dict.fromkeys(note for card in listed for note in card.house_notes)),
        checked=tuple(dict.fromkeys(card.checked for card in listed if card.checked)),
        format=format_,
        layout=layout,
        prices=house.prices.stand or "",
        size=FIT,
        small=f"{FIT}-small",
    )  # fmt: skip
    values = {field.name: getattr(page, field.name) for field in fields(page)}
    html = theme.render("menu_paper.html", values, house.language)
    numbers = count()
    return _PART.sub(lambda _: f' data-n="{next(numbers)}"', kept_together(html))


def kept_together(html: str) -> str:
    """No line of a single word at the end of a paragraph or a name, no mark apart from its name."""

    def pair(found: re.Match[str]) -> str:
        first, last, closed = found.groups()
        most = MOST_TIED_OF_NAME if closed.startswith("h") else MOST_TIED
        return f"{first}\N{NO-BREAK SPACE}{last}" if len(found[0]) <= most else found[0]

    def name(found: re.Match[str]) -> str:
        first, last, marks = found.groups("")
        apart = f"{first} " if first else ""
        if first and len(first) + len(last) < MOST_TIED_OF_NAME:
            apart, last = "", f"{first}\N{NO-BREAK SPACE}{last}"
        return f'{apart}<span class="end">{last}{marks}</span></h3>'  # .end is a box of its own

    return _MARKED.sub(name, _LAST.sub(pair, html))


def sized(html: str, size_pt: float, rules: str = "") -> str:
    """A page of menu_html in a size of its text, with more rules of style."""
    small = max(SMALL_PT, SMALL * size_pt)
    html = html.replace(f"{FIT}-small", f"{small:g}").replace(FIT, f"{size_pt:g}")
    return html.replace("</head>", f"<style>{rules}</style></head>", 1) if rules else html


def marked_notes(cards: Sequence[Card]) -> dict[str, str]:
    """The mark of each note that stands once at the foot: those that more than one drink shares."""
    counts = Counter(note for card in cards for note in card.shared_notes)
    often = [note for note, count in counts.items() if count > 1]
    return {note: MARKS[n % len(MARKS)] * (1 + n // len(MARKS)) for n, note in enumerate(often)}


def _entries(
    section: Section,
    cards: Mapping[str, Card],
    marks: Mapping[str, str],
    house: House,
    pictures: Pictures | None,
) -> list[MenuEntry]:
    return [_drink(cards[fold(name)], marks, house, pictures) for name in section.drinks]


def _drink(
    card: Card, marks: Mapping[str, str], house: House, pictures: Pictures | None
) -> MenuEntry:
    seen = pictures.printed(card.slug, language(house.language), "menu") if pictures else ()
    return MenuEntry(
        name=card.name,
        price=_price(card.price, house) if card.price else "",
        strength=card.strength.replace(" ", "\N{NO-BREAK SPACE}"),
        turning=card.turning,
        made_of=card.made_of,
        text=markdown_html(card.guest_text),
        notes=(
            *filter(None, (card.holds_short, card.diets)),
            *(note for note in card.guest_notes if note not in marks),
        ),
        marks=tuple(marks[note] for note in card.guest_notes if note in marks),
        stops=_stops(card),
        pictures=tuple(one for one in seen if one.view == "above"),
    )


def _price(price: str, house: House) -> str:
    """A price, already spelt, with what the house wants to stand beside it."""
    if house.prices.currency == "code":
        return f"{price}\N{NO-BREAK SPACE}{house.currency}"
    if house.prices.currency == "symbol":
        return language(house.language).price(0, house.currency).replace("0", price)
    return price


def _stops(card: Card) -> tuple[str, ...]:
    if not card.stops:
        return ()
    last = Stop(card.stops[-1].hex, "100")  # what is round ends hard
    return tuple(f"{stop.hex} {stop.percent}%" for stop in (*card.stops, last))


def _rows(turns: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """The turns of all drinks in rows as even as they can be, about three rows to two columns."""
    said = [", ".join(stops) for stops in turns if stops]
    rows = max(1, round((1.5 * len(said)) ** 0.5))
    ends = [round(len(said) * n / rows) for n in range(rows + 1)]
    return tuple(tuple(said[low:high]) for low, high in pairwise(ends) if low < high)
