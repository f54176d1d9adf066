"""The menu on paper: folded A5 and a long narrow card, from the same menu files as the web page.

Belongs here: what of a card guests read on paper. Does not belong here: looks (the themes). No
amount, supplier, cost or staff word reaches the template.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache, partial
from io import BytesIO
from typing import NamedTuple

from markupsafe import Markup

from anthocard.diagnostics.diagnostic import Place
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Menu, Section
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.languages import language
from anthocard.press.base.markdown import markdown_html
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme
from anthocard.press.data.worked import Worked
from anthocard.press.paper.archive import boxed, cut
from anthocard.press.paper.faults import told_of
from anthocard.press.paper.impose import fold as folded
from anthocard.press.paper.job import FIT, HERE, Press, paper_pdf
from anthocard.press.paper.spec_book import Known
from anthocard.press.store.key import Target
from anthocard.press.words.card import Card
from anthocard.press.words.guest import days_of

#: The formats of a menu, and how the names of their files begin.
FORMATS = {"folded": "menu", "long": "menu-long"}
#: How a menu gives way where that saves a page: the roomiest that saves as much is printed.
FITS = ("airy", "roomy", "even", "snug", "close")
#: How the pages of a menu are laid out, up to so many drinks: one card, a cover and pages of one
#: column, a cover and pages of two. Chosen: what two sides of A5, and sixteen, hold well.
LAYOUTS = {"card": 5, "cover": 24}
#: How high the turns of all drinks stand on a cover together, mm; chosen.
SPINES_MM = 72.0
#: Reference marks in the order that printers use them; both faces have all of them.
MARKS = ("*", "†", "‡", "§", "¶")


@dataclass(frozen=True, slots=True)
class Listed:
    """One drink as guests read it on paper."""

    name: str
    price: str
    strength: str
    turning: str
    made_of: str
    text: Markup
    notes: tuple[str, ...]
    marks: tuple[str, ...]  # of notes printed once at the foot
    stops: tuple[str, ...]  # of its turn strip, as CSS writes them


@dataclass(frozen=True, slots=True)
class MenuPage:
    """A printed menu in words: its house, its sections and what stands at its foot."""

    house: str
    voice: str
    currency: str
    menu: str
    days: str  # when it is on, in words
    text: Markup
    sections: tuple[tuple[str, str, list[Listed]], ...]  # each its name, its note, its drinks
    marked: tuple[tuple[str, str], ...]  # a mark and the note it stands for
    notes: tuple[str, ...]
    checked: tuple[str, ...]  # days on which allergens were looked at
    format: str  # folded or long
    layout: str  # of a folded menu, by how many drinks: card, cover or columns
    spine: str  # how high each turn stands on a cover, mm
    fit: str  # how tightly it is set


async def menu_pdf(
    menu: Menu,
    cards: Mapping[str, Card],
    house: House,
    theme: Theme,
    format_: str,
    press: Press = HERE,
    place: Place | None = None,
) -> bytes:
    """One menu in reading order, tagged: `format_` is folded (A5 pages) or long (99 × 297 mm).

    With bleed and exact boxes, as for a press; closer where that saves a page. `cards` goes by a
    drink's folded name, `place` is where the menu is written. Raises AuthorError for another format
    and for words that would be lost.
    """
    paper = papers.menu_paper(format_)
    margins = "; margin: 11mm 9mm 12mm" if format_ == "long" else ""
    bleed = papers.mark("bleed")
    size = f"{paper.width_mm:g}mm {paper.height_mm:g}mm; bleed: {bleed:g}mm{margins}"
    style = f"{theme.style('menu_paper.css')}@page {{ size: {size} }}"
    page = cache(partial(menu_html, menu, cards, house, theme, format_))
    pages, best = 0, b""
    for fit in reversed(FITS):  # the closest tells how little paper will do
        with told_of(theme, "menu_paper.css"):
            pdf = await paper_pdf(
                partial(_as, page, fit), style, theme.fonts, menu.name, press,
                decides=True, place=place,
            )  # fmt: skip
        if pages and _count(pdf) > pages:
            break
        pages, best = _count(pdf), pdf
    return boxed(best, paper, bleed)


def _layout(menu: Menu) -> str:
    """One of LAYOUTS by the drinks of a menu, else “columns”."""
    drinks = sum(len(section.drinks) for section in menu.sections)
    return next((layout for layout, most in LAYOUTS.items() if drinks <= most), "columns")


def _as(page: Callable[[], str], fit: str) -> str:
    return page().replace(FIT, fit)


def menu_html(
    menu: Menu, cards: Mapping[str, Card], house: House, theme: Theme, format_: str, fit: str = FIT
) -> str:
    """The page that menu_pdf sets; `fit` is one of FITS, or stands for any of them."""
    listed = [cards[fold(name)] for section in menu.sections for name in section.drinks]
    marks = marked_notes(listed)
    page = MenuPage(
        house=house.name,
        voice=house.voice or "",
        currency=house.currency,
        menu=menu.name,
        days=days_of(menu, language(house.language)),
        text=markdown_html(menu.guest_text),
        sections=tuple((s.name, s.note or "", _listed(s, cards, marks)) for s in menu.sections),
        marked=tuple((mark, note) for note, mark in marks.items()),
        notes=tuple(dict.fromkeys(note for card in listed for note in card.house_notes)),
        checked=tuple(dict.fromkeys(card.checked for card in listed if card.checked)),
        format=format_,
        layout=_layout(menu) if format_ == "folded" else "",
        spine=f"{min(4.0, SPINES_MM / len(listed)):.2f}",
        fit=fit,
    )
    values = {field.name: getattr(page, field.name) for field in fields(page)}
    return theme.render("menu_paper.html", values, house.language)


def menu_sheets(menu: bytes, paper: Paper) -> bytes:
    """The folded menu on sheets of twice its width: print on both sides, turn the short edge."""
    return folded(_pages(menu), paper)


def marked_notes(cards: Sequence[Card]) -> dict[str, str]:
    """The mark of each note that stands once at the foot: those that more than one drink shares."""
    told = Counter(note for card in cards for note in card.shared_notes)
    often = [note for note, count in told.items() if count > 1]
    return {note: MARKS[n % len(MARKS)] * (1 + n // len(MARKS)) for n, note in enumerate(often)}


def _listed(section: Section, cards: Mapping[str, Card], marks: Mapping[str, str]) -> list[Listed]:
    return [_drink(cards[fold(name)], marks) for name in section.drinks]


def _drink(card: Card, marks: Mapping[str, str]) -> Listed:
    return Listed(
        name=card.name,
        price=card.price,
        strength=card.strength,
        turning=card.turning,
        made_of=card.made_of,
        text=markdown_html(card.guest_text),
        notes=(
            *filter(None, (card.holds_short, card.diets)),
            *(note for note in card.guest_notes if note not in marks),
        ),
        marks=tuple(marks[note] for note in card.guest_notes if note in marks),
        stops=tuple(f"{stop.hex} {stop.percent}%" for stop in card.stops),
    )


def _told(card: Card) -> Iterator[str]:
    """What is told of every drink in a few words: allergens, diets, how much alcohol."""
    counted = f"{card.drinks}." if card.drinks else ""
    yield from filter(None, (card.holds_short, card.diets, counted))


def _count(pdf: bytes) -> int:
    import pikepdf

    with pikepdf.open(BytesIO(pdf)) as whole:
        return len(whole.pages)


def _pages(pdf: bytes) -> list[bytes]:
    import pikepdf

    pages = []
    with pikepdf.open(BytesIO(pdf)) as whole:
        for page in whole.pages:
            with pikepdf.new() as single:
                single.pages.append(page)
                out = BytesIO()
                single.save(out, deterministic_id=True)
                pages.append(out.getvalue())
    return pages


class HouseMenu(NamedTuple):
    """A menu in one format: the paper with its bleed, and what it is made from."""

    whole: Target
    at: Place
    slugs: tuple[str, ...]
    parts: tuple[object, ...]


def house_menus(
    collection: Collection, worked: Worked, drinks: Mapping[str, str], theme: Theme, known: Known
) -> dict[str, HouseMenu]:
    """Each menu in each format, by the path of what guests get of it."""
    made = {}
    for number, menu in enumerate(collection.menus.values(), start=1):
        mark = "" if number == 1 else f"-{number}"
        names = {fold(name) for section in menu.sections for name in section.drinks}
        on = {name: drinks[name] for name in sorted(names)}
        for format_, stem in FORMATS.items():
            make = partial(_menu, collection, worked, on, theme, menu, format_)
            parts = (menu, collection.house)
            whole = known(f"menu {format_}", [*on.values()], make, *parts)
            of = HouseMenu(whole, collection.at(menu), tuple(on.values()), parts)
            made[f"guest/{stem}{mark}.pdf"] = of
    return made


async def _menu(
    collection: Collection,
    worked: Worked,
    on: Mapping[str, str],
    theme: Theme,
    menu: Menu,
    format_: str,
    press: Press,
) -> bytes:
    cards = {name: worked.card(slug) for name, slug in on.items()}
    at = collection.at(menu)
    return await menu_pdf(menu, cards, collection.house, theme, format_, press, at)


def menu_targets(menus: Mapping[str, HouseMenu], known: Known) -> dict[str, Target]:
    """The menus as cut, for guests; those to fold on sheets, for whoever prints them."""
    made: dict[str, Target] = {}
    for path, menu in menus.items():
        made[path] = known("menu cut", menu.slugs, partial(_cut, menu.whole), path, *menu.parts)
        if path.startswith(f"guest/{FORMATS['folded']}") and "-long" not in path:
            sheets = f"staff/menu-sheets{path.removeprefix('guest/menu')}"
            on_sheets = partial(_on_sheets, made[path])
            made[sheets] = known("menu sheets", menu.slugs, on_sheets, *menu.parts)
    return made


async def _cut(whole: Target, press: Press) -> bytes:
    return cut(await press.get(whole))


async def _on_sheets(folded: Target, press: Press) -> bytes:
    return menu_sheets(await press.get(folded), papers.menu_paper("folded"))
