"""Menus as papers, from the same menu files as the web page: measured, then set as they fit best.

Belongs here: which layout, how large, on how many pages, and the menus of a house. Does not belong
here: words (menu_page.py), breaks and gaps (pagination.py), looks (the themes).
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from functools import cache, partial
from io import BytesIO
from typing import Final, NamedTuple, TypeAlias

from anthocard.diagnostics.diagnostic import Place
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.html.pictures import Pictures
from anthocard.press.paper.archive import bound_at_right, boxed, cut
from anthocard.press.paper.impose import booklet as folded
from anthocard.press.paper.job import HERE, PaperPress, measured, paper_pdf
from anthocard.press.paper.lost_words import style_errors_of
from anthocard.press.paper.menus.menu_page import menu_html, sized
from anthocard.press.paper.menus.pagination import Measured
from anthocard.press.paper.spec_book import Known
from anthocard.press.store.key import Target
from anthocard.press.words.card import Card

#: The formats of a menu, and how the names of their files begin.
FORMATS: Final = {"folded": "menu", "long": "menu-long", "board": "menu-board"}
#: How large the text of a menu may be, pt, the largest first. Chosen: a step is hardly seen.
SIZES_PT: Final = (
    26.0, 23.0, 20.4, 18.0, 16.0, 14.6, 13.4, 12.4, 11.6, 10.9, 10.3, 9.8, 9.4, 9.0, 8.6, 8.2,
)  # fmt: skip
#: Of each layout, and of what is not folded, the largest and the smallest. Chosen: a card of one
#: drink is read like a poster, two columns like a newspaper, a board across a room.
LIMITS_PT: Final = {
    "single": (16.0, 8.2), "card": (14.6, 9.0), "cover": (12.4, 9.0), "columns": (10.9, 8.2),
    "long": (13.4, 8.2), "board": (26.0, 8.2),
}  # fmt: skip
#: The height of a menu goes by about this power of the size of its letters: where to look for its
#: size first. Measured in two themes, menus of 1 to 15 drinks.
GROWS: Final = {"single": 0.55, "columns": 0.85, "cover": 1.25, "card": 1.05}
#: Up to how many drinks a folded menu is one card, without a cover; more than one is no single.
CARD: Final = 5
#: How much of a page may stay empty at its foot before fewer pages are taken; chosen.
MOST_EMPTY: Final = 0.08
#: Longer than any menu, mm: on it all parts stand under one another.
ENDLESS_MM: Final = 60_000


class _Chosen(NamedTuple):
    """A page, the size of its text, what was measured of it, and on how many pages it goes."""

    html: str
    size_pt: float
    measured: Measured
    pages: int | None


#: Has a layout set in a size, once.
_SetPage: TypeAlias = Callable[[str, float], Awaitable[_Chosen]]


async def menu_pdf(
    menu: Menu,
    cards: Mapping[str, Card],
    house: House,
    theme: Theme,
    format_: str,
    press: PaperPress = HERE,
    place: Place | None = None,
    pictures: Pictures | None = None,
) -> bytes:
    """One menu in reading order, tagged: `format_` is folded (A5 pages), long (99 × 297 mm) or
    board (A3, for the wall).

    With bleed and exact boxes, as for a press; as large as its pages let it be. `cards` goes by a
    drink's folded name, `place` is where the menu is written, `pictures` has those of its drinks.
    Raises AuthorError for another format and for words that would be lost.
    """
    paper, bleed = papers.menu_paper(format_), papers.mark("bleed")
    at = place or Place(menu.name)

    def style(height_mm: float) -> str:
        size = f"size: {paper.width_mm:g}mm {height_mm:g}mm; bleed: {bleed:g}mm"
        return f"{theme.style('menu_paper.css')}@page {{ {size} }}"

    page = cache(partial(menu_html, menu, cards, house, theme, format_, pictures=pictures))
    drawn = pictures.drawn(card.slug for card in cards.values()) if pictures else {}
    looked: dict[tuple[str, float], _Chosen] = {}

    async def set_page(layout: str, size_pt: float) -> _Chosen:
        if (layout, size_pt) not in looked:
            html = page(layout)
            json = await measured(
                partial(sized, html, size_pt), style(ENDLESS_MM), theme.fonts, menu.name, at, press,
                drawn,
            )  # fmt: skip
            found = Measured.read(json, paper.height_mm)
            looked[layout, size_pt] = _Chosen(html, size_pt, found, found.pages())
        return looked[layout, size_pt]

    with style_errors_of(theme, "menu_paper.css"):
        chosen = await _choose(set_page, format_, sum(len(one.drinks) for one in menu.sections))
        rules = chosen.measured.rules(chosen.pages) if chosen.pages else ""
        make = partial(sized, chosen.html, chosen.size_pt, rules)
        pdf = await paper_pdf(
            make, style(paper.height_mm), theme.fonts, menu.name, press, place=place, drawn=drawn
        )
    return boxed(pdf, paper, bleed)


async def _choose(set_page: _SetPage, format_: str, drinks: int) -> _Chosen:
    """The layout that takes the fewest sheets, as large as they let it be."""
    layouts, a_sheet = _layouts(format_, drinks)
    least: dict[str, _Chosen] = {}
    for layout in layouts:
        least[layout] = await set_page(layout, _sizes(layout, format_)[-1])
        if (least[layout].pages or a_sheet + 1) <= a_sheet:
            break  # fewer sheets than one there are none
    few = {layout: found.pages for layout, found in least.items() if found.pages is not None}
    if not few:  # a part is higher than a page: it is set as it comes
        return [*least.values()][-1]
    most = min(-(-count // a_sheet) * a_sheet for count in few.values())
    layout = next(layout for layout in layouts if few.get(layout, most + 1) <= most)
    sizes = _sizes(layout, format_)
    low, high = 0, len(sizes) - 1  # the largest that may do, and one that does
    known, grown = least[layout].measured, [(size / sizes[high]) ** GROWS[layout] for size in sizes]
    at = next(n for n in range(high + 1) if n == high or known.enlarged(grown[n]).goes_on(most))
    step = 1
    while low < high:
        at = min(max(at, low), high - 1)
        if (await set_page(layout, sizes[at])).measured.goes_on(most):
            high, at = at, at - step
        else:
            low, at = at + 1, at + step
        step *= 2
    best = await set_page(layout, sizes[high])
    assert best.pages is not None
    # All pages of its sheets, unless one of them would stay empty.
    counts = range(most, best.pages - 1, -1)
    pages = next((n for n in counts if best.measured.emptiest(n) <= MOST_EMPTY), None)
    pages = pages or min(counts, key=best.measured.emptiest)
    return best._replace(pages=pages)


def _layouts(format_: str, drinks: int) -> tuple[tuple[str, ...], int]:
    """The layouts that a menu may have, the best first, and how many pages a sheet of it has."""
    if drinks == 1:
        return ("single",), 1
    if format_ != "folded":
        return ("card",), 2 if format_ == "long" else 1
    return (("card",), 1) if drinks <= CARD else (("cover", "columns"), 4)


def _sizes(layout: str, format_: str) -> list[float]:
    """The sizes of a layout, the largest first."""
    of_format = format_ == "board" or (format_ == "long" and layout != "single")
    largest, smallest = LIMITS_PT[format_ if of_format else layout]
    return [size for size in SIZES_PT if smallest <= size <= largest]


def menu_sheets(menu: bytes, paper: Paper) -> bytes:
    """The folded menu on sheets of twice its width: print on both sides, turn the short edge.

    Its last page is the back of the whole. A card that is not folded stands there twice, to be cut.
    """
    pages, from_right = _pages(menu), bound_at_right(menu)
    if len(pages) <= 2:
        return folded([pages[0], *(pages[1:] * 2 or [b"", b""]), pages[0]], paper, from_right)
    return folded([*pages[:-1], *[b""] * (-len(pages) % 4), pages[-1]], paper, from_right)


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

    format: str
    whole: Target
    at: Place
    slugs: tuple[str, ...]
    parts: tuple[object, ...]


def house_menus(
    collection: Collection,
    worked: WorkedRecipes,
    drinks: Mapping[str, str],
    theme: Theme,
    known: Known,
    pictures: Pictures | None = None,
) -> dict[str, HouseMenu]:
    """Each menu in each format, by the path of what guests get of it."""
    made = {}
    for number, menu in enumerate(collection.menus.values(), start=1):
        mark = "" if number == 1 else f"-{number}"
        names = {fold(name) for section in menu.sections for name in section.drinks}
        on = {name: drinks[name] for name in sorted(names)}
        for format_, stem in FORMATS.items():
            make = partial(_menu, collection, worked, on, theme, menu, format_, pictures)
            parts = (menu, collection.house)
            whole = known(f"menu {format_}", [*on.values()], make, *parts)
            of = HouseMenu(format_, whole, collection.at(menu), tuple(on.values()), parts)
            made[f"guest/{stem}{mark}.pdf"] = of
    return made


async def _menu(
    collection: Collection,
    worked: WorkedRecipes,
    on: Mapping[str, str],
    theme: Theme,
    menu: Menu,
    format_: str,
    pictures: Pictures | None,
    press: PaperPress,
) -> bytes:
    cards = {name: worked.card(slug) for name, slug in on.items()}
    at = collection.at(menu)
    return await menu_pdf(menu, cards, collection.house, theme, format_, press, at, pictures)


def menu_targets(menus: Mapping[str, HouseMenu], known: Known) -> dict[str, Target]:
    """The menus as cut, for guests; those to fold on sheets, for whoever prints them."""
    made: dict[str, Target] = {}
    for path, menu in menus.items():
        made[path] = known("menu cut", menu.slugs, partial(_cut, menu.whole), path, *menu.parts)
        if menu.format == "folded":
            sheets = f"staff/menu-sheets{path.removeprefix('guest/menu')}"
            on_sheets = partial(_on_sheets, made[path])
            made[sheets] = known("menu sheets", menu.slugs, on_sheets, *menu.parts)
    return made


async def _cut(whole: Target, press: PaperPress) -> bytes:
    return cut(await press.get(whole))


async def _on_sheets(folded: Target, press: PaperPress) -> bytes:
    return menu_sheets(await press.get(folded), papers.menu_paper("folded"))
