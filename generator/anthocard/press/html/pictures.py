"""Which traced pictures a house's pages and papers show: their names, and their making.

Belongs here: a picture's address, size and words, and the targets that make it. Does not belong
here: how it is drawn (draw/traced.py), where a page or a paper puts it (the themes).

A picture is named by the key of its recipe, so that pages know its address before it is made. A
glass is traced once for all of them, as finely as paper needs it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import product
from typing import Any, Final

import numpy as np

from anthocard.engine.mix.appearance import along
from anthocard.engine.mix.chill import how_worked
from anthocard.engine.optics.floating import FrozenLot
from anthocard.engine.optics.paint import backdrops
from anthocard.engine.results import Computed, State
from anthocard.facts.ice_pieces import pieces
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.settings import House
from anthocard.press.base.languages import Language
from anthocard.press.base.theme import Theme
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.draw import traced
from anthocard.press.draw.shown_glass import ShownGlass, shown_glass
from anthocard.press.draw.traced import FINER, TALL, WIDE, PictureSubject, map_bytes
from anthocard.press.html.assets import FOLDER
from anthocard.press.store.key import Target, key

#: What the turn is called in an address, as frames beside one another.
REEL: Final = "above-reel"
#: The tokens of a theme that say what pictures are painted for, by the light a machine asks for.
BY_DAY, BY_NIGHT = "backdrop", "night-backdrop"
#: The papers that may show pictures, as the token `--paper-pictures` names them.
PAPERS: Final = ("book", "menu")
VIEWS: Final = ("side", "above")
WHENS: Final = ("before", "after")
STOPS: Final = 12  # absorbances told apart along a turn: between them colours are mixed


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as a page shows it: where it lies for a light page and for a dark one (the same
    where the theme has one backdrop for both), what it shows, its size in pixels.
    """

    day: str
    night: str
    alt: str = ""
    wide: int = WIDE
    tall: int = TALL

    def seen_from(self, up: str) -> Picture:
        """The same from a page elsewhere; `up` leads from it to where this one counts from."""
        return replace(self, day=f"{up}{self.day}", night=f"{up}{self.night}")


@dataclass(frozen=True, slots=True)
class PrintedPicture:
    """A picture as a paper shows it: by what address its page asks for it, what it shows, the
    words for classes of style from where (side, above) and when (before, after), and how it is
    looked at, in words.
    """

    src: str
    alt: str
    view: str
    when: str
    way: str


class Pictures:
    """The pictures of a house's drinks by slug, painted for the pages and papers of a theme."""

    def __init__(self, collection: Collection, worked: WorkedRecipes, theme: Theme) -> None:
        self._collection, self._worked = collection, worked
        self._on = {token: theme.one_of(token, backdrops()) for token in (BY_DAY, BY_NIGHT)}
        self._papers = theme.one_of("paper-pictures", ("all", *PAPERS, "none"))
        drinks = {collection.slug(one): one for one in collection.drinks.values()}
        self._drinks = {slug: drinks[slug] for slug in worked if slug in drinks}
        self._look = cache(self._looked)

    def _picture(self, slug: str, what: str, alt: str = "") -> Picture:
        day, night = (self._address(slug, what, on) for on in self._on.values())
        return Picture(day, night, alt)

    def _address(self, slug: str, what: str, on: str) -> str:
        """Where a picture lies from a page: `side-before`, `above-before`, `above-reel` …"""
        return f"{FOLDER}/{slug}.{what}-{on}.{self._print(slug)[:8]}.webp"

    def reel(self, slug: str) -> Picture:
        """The pictures on the way from before to after, beside one another."""
        return self._picture(slug, REEL)

    def side(self, slug: str, tongue: Language) -> tuple[Picture, ...]:
        """The drink as it stands on the bar: before, and where there is a pour after."""
        return self._views(slug, "side", tongue, tongue.gettext("from the side"))

    def _views(self, slug: str, view: str, tongue: Language, where: str) -> tuple[Picture, ...]:
        if slug not in self._drinks:
            return ()
        one = self._worked[slug]
        if not one.before.colour.shown:
            return ()  # a picture would invent it
        house = self._collection.house
        made = []
        for when, state in zip(WHENS, (one.before, one.after), strict=True):
            if state is not None:
                seen = state.seen.side if view == "side" else state.seen.above
                alt = alt_text(one, house, state, seen.name, tongue, where)
                made.append(self._picture(slug, f"{view}-{when}", alt))
        return tuple(made)

    def above(self, slug: str, tongue: Language) -> tuple[Picture, ...]:
        """The drink as a guest looks into the glass: before, and where there is a pour after."""
        return self._views(slug, "above", tongue, tongue.gettext("from above"))

    def printed(self, slug: str, tongue: Language, paper: str) -> tuple[PrintedPicture, ...]:
        """The drink for a paper of `PAPERS` before, and where there is a pour after; each time from
        the side and from above. None where the theme wants none on it.
        """
        if self._papers not in ("all", paper):
            return ()
        seen = zip(self.side(slug, tongue), self.above(slug, tongue), strict=True)
        words = tongue.gettext("from the side"), tongue.gettext("from above")
        return tuple(
            PrintedPicture(self._on_paper(slug, view, when), one.alt, view, when, way)
            for when, both in zip(WHENS, seen, strict=False)
            for view, one, way in zip(VIEWS, both, words, strict=True)
        )

    def drawn(self, slugs: Iterable[str]) -> dict[str, Target]:
        """What makes each picture of some drinks for paper, by its address."""
        return {
            self._on_paper(slug, view, when): self._still(
                slug, view, when, self._on[BY_DAY], traced.print_still
            )
            for slug in slugs
            if slug in self._drinks
            for when, view in product(self._whens(slug), VIEWS)
        }

    def _on_paper(self, slug: str, view: str, when: str) -> str:
        return f"picture:{slug}.{view}-{when}-{self._on[BY_DAY]}.{self._print(slug)}"

    def guest(self, slugs: Iterable[str]) -> Iterator[tuple[str, Target]]:
        """What the menu shows of those drinks, by path below its folder."""
        for slug, on in product(slugs, dict.fromkeys(self._on.values())):
            path = self._address(slug, "above-before", on)
            yield path, self._still(slug, "above", "before", on)
            if len(self._whens(slug)) > 1:
                yield self._address(slug, REEL, on), self._reel(slug, on)

    def staff(self) -> Iterator[tuple[str, Target]]:
        """What the spec book shows, by path below its folder."""
        for slug, on in product(self._drinks, dict.fromkeys(self._on.values())):
            for when in self._whens(slug):
                path = self._address(slug, f"side-{when}", on)
                yield path, self._still(slug, "side", when, on)

    def films(self, slugs: Iterable[str]) -> Iterator[tuple[str, Target]]:
        """The turns of those drinks to be shown elsewhere, by path below the guest folder."""
        for slug in slugs:
            if len(self._whens(slug)) > 1:
                yield film_file(slug), self._turn(slug, f"film of {slug}", traced.film)

    def _whens(self, slug: str) -> tuple[str, ...]:
        return WHENS if self._drinks[slug].revealing else WHENS[:1]

    def _reel(self, slug: str, on: str) -> Target:
        return self._turn(slug, f"turn of {slug}", traced.reel, on)

    def _turn(self, slug: str, name: str, draw: Callable[..., bytes], *on: str) -> Target:
        async def make(press: Any) -> bytes:
            subject = self._look(slug, "above")
            ends = (subject.before, subject.after)
            maps = [await press.get(_maps(one, subject.elevation_deg)) for one in ends]
            made: bytes = await press.elsewhere(draw, subject, *maps, *on)
            return made

        return Target(name, self._key(slug, name, *on), make)

    def _key(self, slug: str, *parts: str) -> str:
        """None where nobody knows what the recipe rests on: it is made each time."""
        return key(*parts, self._print(slug)) if slug in self._worked.prints else ""

    def _print(self, slug: str) -> str:
        own = self._worked.prints.get(slug) or self._worked[slug].edition
        return key("picture", own)

    def _still(
        self, slug: str, view: str, when: str, on: str, draw: Callable[..., bytes] = traced.still
    ) -> Target:
        async def make(press: Any) -> bytes:
            subject, last = self._look(slug, view), when == "after"
            maps = await press.get(
                _maps(subject.after if last else subject.before, subject.elevation_deg)
            )
            made: bytes = await press.elsewhere(draw, subject, maps, last, on)
            return made

        name = f"{draw.__name__} of {slug}, {view} {when}"
        return Target(name, self._key(slug, name, on), make)

    def _looked(self, slug: str, view: str) -> PictureSubject:
        one, house = self._worked[slug], self._collection.house
        way = along(one.before, one.after, one.turn, STOPS)
        views = house.views
        layers = one.glassful.layers if one.glassful else ()
        lies = [layer.absorbs for layer in layers if layer.absorbs]
        frozen = one.glassful.frozen if one.glassful else ()
        return PictureSubject(
            shown_glass(one, house, one.before),
            shown_glass(one, house, one.after or one.before),
            views.side if view == "side" else views.above,
            way.absorbs,
            way.share,
            next((reveal.how for reveal in self._drinks[slug].revealing), "poured"),
            lies=np.array(lies) if len(lies) > 1 else None,
            frozen=np.mean([lot.absorbs for lot in frozen], axis=0) if frozen else None,
        )


def alt_text(
    one: Computed, house: House, state: State, colour: str, tongue: Language, where: str
) -> str:
    """What a picture shows, in words: colour, view, ice, frozen pieces, foam and bubbles."""
    recipe = one.recipe
    assert isinstance(recipe, Drink)
    stands = shown_glass(one, house, state)
    parts = [tongue.word("colour", colour), where]
    layers = one.glassful.layers if one.glassful and state is one.before else ()
    if layers:
        names = ", ".join(tongue.word("colour", layer.colour.name) for layer in layers)
        parts[:1] = [tongue.gettext("in layers from the bottom: {colours}").format(colours=names)]
    if stands.filling.ice != "none":
        parts.append(tongue.word("served", how_worked(recipe)[1]))
    parts += [_frozen_words(lot, tongue) for lot in stands.filling.frozen]
    if stands.filling.foam_ml:
        parts.append(tongue.gettext("with a head of foam"))
    if stands.filling.sparkling:
        parts.append(tongue.gettext("with bubbles"))
    return ", ".join(parts)


def _frozen_words(lot: FrozenLot, tongue: Language) -> str:
    n = lot.count
    match pieces()[lot.kind].shape:
        case "ball":
            return tongue.ngettext("with a frozen ball in it", "with %(n)d frozen balls in it", n)
        case "cube":
            return tongue.ngettext("with a frozen cube in it", "with %(n)d frozen cubes in it", n)
        case "bar":
            return tongue.ngettext("with a frozen bar in it", "with %(n)d frozen bars in it", n)


def film_file(slug: str) -> str:
    """Where the moving turn of a drink lies in the guest folder, beside its picture."""
    return f"drinks/{slug}.webp"


def _maps(stands: ShownGlass, elevation_deg: float) -> Target:
    """The maps of a glass, kept by all that decides them."""
    parts = (stands.glass, stands.filling, elevation_deg, FINER * WIDE, FINER * TALL)
    make = partial(_traced, stands, elevation_deg)
    return Target("maps of a glass", key("maps", *parts), make)


async def _traced(stands: ShownGlass, elevation_deg: float, press: Any) -> bytes:
    made: bytes = await press.elsewhere(map_bytes, stands, elevation_deg, FINER)
    return made
