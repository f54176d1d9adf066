"""Bar cards on paper: front and back of one drink at any size, and all of them on sheets.

Belongs here: how a card's size, bleed and legend are set. Does not belong here: what a card says
(card.py), how it looks (the themes), where it lies on a sheet (impose.py).

A card is drawn on a page at least as wide and as tall as an A6 and then enlarged, so that the
letters of a larger card are larger; nothing is ever set smaller than on A6. From 5 × 7 in on the
front has a layout of its own, with the method on it, drawn on a page of that size.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, TypeAlias

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.diagnostics.yaml_reader import Location
from anthocard.engine.results import Computed
from anthocard.press.base import sizes as papers
from anthocard.press.base.languages import ENGLISH, Language, language
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme
from anthocard.press.paper.archive import boxed
from anthocard.press.paper.card_page import FITS, back_fits, card_fits, card_page, large_fits
from anthocard.press.paper.impose import Flip, Layout, impose
from anthocard.press.paper.job import FIT, HERE, PaperPress, card_pdf, each, paper_pdf
from anthocard.press.paper.lost_words import style_errors_of
from anthocard.press.words.back import Back, make_back
from anthocard.press.words.card import Card

At: TypeAlias = Callable[[Location], Place]

TOO_FULL = "card-too-full"
DRAWN = Paper("A6", 105.0, 148.0)
LARGE = Paper("5x7", 127.0, 177.8)


@dataclass(frozen=True, slots=True)
class Printed:
    """One drink's card as two one-page PDFs with bleed, tagged, with exact boxes."""

    front: bytes
    back: bytes


async def print_card(
    card: Card, computed: Computed, theme: Theme, paper: Paper, at: At, press: PaperPress = HERE
) -> Printed:
    """Both sides of a card. Raises AuthorError naming recipe and field when something is too long.

    `at` tells where a value of the recipe is written, by its location in the front-matter.
    """
    back, sides = make_back(computed, card), _Sides(theme, paper, at, press)
    return Printed(*await each([sides.front(card), sides.back(card, back)]))


@dataclass(frozen=True, slots=True)
class _Sides:
    """Sets sides of cards on one paper."""

    theme: Theme
    paper: Paper
    at: At
    press: PaperPress

    async def front(self, card: Card) -> bytes:
        try:
            return await self._front(card, self._fits(card))
        except AuthorError as error:
            if all(mistake.kind != TOO_FULL for mistake in error.mistakes):
                raise
            raise AuthorError([await self._blamed(card)]) from error

    async def back(self, card: Card, back: Back) -> bytes:
        try:
            return await self._back(card, back, back_fits(back, self.theme, card.room))
        except AuthorError as error:
            if all(mistake.kind != TOO_FULL for mistake in error.mistakes):
                raise
            short = replace(card, name=card.name[:12])
            try:
                await self._back(short, back, FITS[-1:])
            except AuthorError:
                raise AuthorError([self._too_long(card, ("pours",))]) from error
            raise AuthorError([self._too_long(card, ("name",))]) from error

    @property
    def _large(self) -> bool:
        return _zoom(self.paper, LARGE) >= 1.0

    def _fits(self, card: Card) -> tuple[str, ...]:
        return (large_fits if self._large else card_fits)(card, self.theme)

    async def _front(self, card: Card, fits: tuple[str, ...], loc: Location = ()) -> bytes:
        page = partial(card_page, card, self.theme, large=self._large)
        if self._large:
            sheets = "card.css", "card_large.css"
            return await self._side(page, fits, sheets, card, self.at(loc), LARGE)
        return await self._side(page, fits, ("card.css",), card, self.at(loc))

    async def _back(self, card: Card, back: Back, fits: tuple[str, ...]) -> bytes:
        values = {"card": card, "back": back, "fit": FIT}
        page = partial(self.theme.render_paper, "card_back.html", values, card.language)
        return await self._side(page, fits, ("card_back.css",), card, self.at(()))

    async def _side(
        self, page: Callable[[], str], fits: tuple[str, ...], sheets: tuple[str, ...], card: Card,
        place: Place, drawn: Paper = DRAWN,
    ) -> bytes:  # fmt: skip
        zoom = max(1.0, _zoom(self.paper, drawn))
        style = self.theme.style(*sheets) + _size(self.paper, zoom) + _room(card.room, zoom)
        with style_errors_of(self.theme, *sheets):
            pdf = await card_pdf(
                page, fits, style, card.name, place, self.theme.fonts, zoom,
                press=self.press, decides=len(fits) == 1, find=partial(self._written, card),
            )  # fmt: skip
        return boxed(pdf, self.paper, papers.mark("bleed"))

    def _written(self, card: Card, words: str) -> Place:
        """Where words of a card are written, as far as they are a field of the recipe's own."""
        single = len(card.reveals) == 1
        fields: list[tuple[Location, str]] = [
            (("name",), card.name), (("serve",), card.serve),
            *((("reveal", "served") if single else ("reveals", n, "served"), one.served)
              for n, one in enumerate(card.reveals)),
            (("rim",), card.rim), (("garnish",), ", ".join(card.garnish)),
            *((("pours", n), pour.name) for n, pour in enumerate(card.pours)),
        ]  # fmt: skip
        return self.at(next((loc for loc, text in fields if words.rstrip("-") in text), ()))

    async def _blamed(self, card: Card) -> Mistake:
        """The one field without which the card would fit; the pours when none is to blame alone."""
        unsaid = tuple(replace(one, served="") for one in card.reveals)
        shown = ("reveal" if len(card.reveals) == 1 else "reveals", "served")
        without: dict[tuple[str, ...], Card] = {
            shown: replace(card, reveals=unsaid),
            ("serve",): replace(card, serve=""),
            ("garnish",): replace(card, garnish=()),
            ("rim",): replace(card, rim=""),
            ("name",): replace(card, name=card.name[:12]),
        }
        for loc, lighter in without.items():
            if lighter != card:
                with suppress(AuthorError):
                    await self._front(lighter, self._fits(lighter)[-1:], loc)
                    return self._too_long(card, loc)
        return self._too_long(card, ("pours",))

    def _too_long(self, card: Card, loc: tuple[str, ...]) -> Mistake:
        field, size = ".".join(loc), self.paper.name
        message = f"“{card.name}” does not fit its {size} card: there is too much in {field}"
        mend = f"shorten {field}, or print a larger card" + (
            "; the tightest setting was tried" if field == "pours" else ""
        )
        return Mistake(TOO_FULL, message, self.at(loc), mend)


async def print_sheets(
    cards: Sequence[Awaitable[Printed]],
    layout: Layout,
    theme: Theme,
    legends: Sequence[str],
    flip: Flip | None,
    first: int = 1,
    of: int | None = None,
    press: PaperPress = HERE,
    tag: str = ENGLISH,
) -> bytes:
    """All cards n-up with crop marks; `flip` adds mirrored backs, None prints fronts alone.

    `legends` open the line printed in the margin, one a sheet: the house, edition and date; the
    rest of it is in the language of `tag`. Sheets are counted from `first`, `of` so many (as many
    as legends). Cards are awaited together.
    """
    parts = _legend_parts(legends, flip, first, of or len(legends), language(tag))
    margins = [_legend(some, layout, theme, press, tag) for some in parts]
    asked: list[Awaitable[list[Any]]] = [each(cards), each(margins)]
    made, lines = await each(asked)
    backs = [card.back for card in made] if flip else []
    return impose(layout, [card.front for card in made], backs, lines, flip or "long")


def _zoom(paper: Paper, drawn: Paper) -> float:
    return min(paper.width_mm / drawn.width_mm, paper.height_mm / drawn.height_mm)


def _room(room: str, zoom: float) -> str:
    """What a card hangs by keeps its size when a card is enlarged."""
    if not room:
        return ""
    lengths = papers.room(room).items()
    told = "; ".join(f"--room-{name}: {length / zoom:.4f}mm" for name, length in lengths)
    return f":root {{ {told} }}\n"


def _size(paper: Paper, zoom: float) -> str:
    wide, tall, bleed = (
        length / zoom for length in (paper.width_mm, paper.height_mm, papers.mark("bleed"))
    )
    return (
        f"\n@page {{ size: {wide:.4f}mm {tall:.4f}mm; bleed: {bleed:.4f}mm }}\n"
        f":root {{ --bleed: {bleed:.4f}mm; --page-wide: {wide:.4f}mm;"
        f" --page-tall: {tall:.4f}mm; --zoom: {zoom:.4f} }}\n"
    )


def _legend_parts(
    legends: Sequence[str], flip: Flip | None, first: int, of: int, tongue: Language
) -> Iterable[tuple[str, str]]:
    turn = {
        None: "",
        "long": tongue.gettext("turn over the long edge") + " · ",
        "short": tongue.gettext("turn over the short edge") + " · ",
    }[flip]
    trim = tongue.gettext("trim, then laminate; keep 3 mm seal")
    for sheet, legend in enumerate(legends, start=first):
        number = {"sheet": sheet, "of": of}
        faces = [tongue.gettext("sheet %(sheet)d/%(of)d front", **number)]
        if flip:
            faces.append(tongue.gettext("sheet %(sheet)d/%(of)d back", **number))
        yield from ((f"{legend} · {face}", f"{turn}{trim}") for face in faces)


async def _legend(
    parts: tuple[str, str], layout: Layout, theme: Theme, press: PaperPress, tag: str
) -> bytes:
    """Both parts of a legend, clear of crop marks: under two cards, on two lines, else on one."""
    spot, line_mm = layout.legend, papers.mark("legend")
    long, high = max(spot.width_mm, spot.height_mm), min(spot.width_mm, spot.height_mm)
    room = layout.legend_room_mm
    texts: tuple[str, ...] = parts
    if long > room + 1.0:
        corners = [(0.0, 0.0), (long - room, 0.0)]
    elif high > line_mm + 1.0:
        corners = [(0.0, 0.0), (0.0, line_mm)]
    else:
        texts, corners = (" · ".join(parts),), [(0.0, 0.0)]
    longest = max(map(len, texts))
    size_pt = min(8.0, room * papers.POINTS_PER_MM / (0.54 * longest))  # Fira: 0.54 em a letter
    style = (
        f"@page {{ size: {long:.3f}mm {high:.3f}mm; margin: 0 }} body {{ margin: 0 }}"
        f" p {{ position: absolute; margin: 0; white-space: nowrap;"
        f" font: {size_pt:.2f}pt/{line_mm:.3f}mm 'Fira Sans' }}"
    )
    placed = [
        (text, f"left: {left:.3f}mm; top: {top:.3f}mm")
        for text, (left, top) in zip(texts, corners, strict=True)
    ]
    page = partial(theme.render_paper, "legend.html", {"parts": placed}, tag)
    pdf = await paper_pdf(page, style, theme.fonts, "the legend of a sheet", press, safe_mm=0.0)
    return boxed(pdf, Paper("legend", long, high), 0.0)
