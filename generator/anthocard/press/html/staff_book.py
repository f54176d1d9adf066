"""The folder of the spec book: which pages it has, what each rests on, and what makes it.

Belongs here: pages, addresses and what a change of one touches. Does not belong here: what stands
on a page (staff.py, book_list.py), papers, keys and how files are written (build/plan.py).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.digest import digest
from anthocard.engine.mix.shelf import Shelf
from anthocard.house.collection import Collection
from anthocard.press.base.languages import language
from anthocard.press.base.theme import Theme
from anthocard.press.data.scaling import Scaling, make_scaling
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.draw.drift import Drift, drift_of
from anthocard.press.html.assets import Assets
from anthocard.press.html.book_list import LINKS, ROWS, cut, in_order, list_page, used_page
from anthocard.press.html.for_guest_page import PIECE, for_guest_page, rows_of, shares
from anthocard.press.html.palette_page import ADDRESS as PLANTS, plants_page
from anthocard.press.html.pictures import Pictures
from anthocard.press.html.staff import FEW, Named, spec_page, tables_page
from anthocard.press.words.history import steps_of

#: How the names of what the book needs without a network end; papers and figures are not kept.
CACHED_OFFLINE = (".html", ".js", ".css", ".woff2", ".png", ".webp", ".webmanifest")


@dataclass(frozen=True, slots=True)
class Page:
    """A page by its path below the build; without `parts` nothing says whether it still stands."""

    path: str
    parts: tuple[object, ...]
    make: Callable[[], str]


def staff_pages(
    collection: Collection,
    worked: WorkedRecipes,
    theme: Theme,
    assets: Assets,
    on_paper: Sequence[Named],
    editions: Mapping[str, Any],
    pictures: Pictures,
) -> Iterator[Page]:
    """Every page of the spec book. `assets` hold the index of its search."""
    house, papers = collection.house, bool(on_paper)
    listed = in_order(worked.row(slug) for slug in worked)
    for address in cut(listed, "index", ROWS):
        make = partial(list_page, address, listed, house, theme, assets, on_paper, editions)
        yield Page(f"staff/{address}", (), make)
    if house.web is not None:
        yield Page("staff/tables.html", (), partial(tables_page, house, theme, assets))
    looks = (house.name, house.language) if worked.prints else ()
    yield Page(f"staff/{PLANTS}", looks, partial(plants_page, house, theme, assets))
    yield from _for_guests(collection, worked, theme, assets)
    used_in: dict[str, list[Named]] = {}
    for row in listed:
        for slug in row.made_of:
            used_in.setdefault(slug, []).append((row.slug, row.name))
    scaling = _scaling(collection, worked)
    spec = partial(_spec, worked, pictures, theme, assets)
    named: list[Named | None] = [None, *((row.slug, row.name) for row in listed), None]
    for at, row in enumerate(listed):
        slug, used = row.slug, tuple(used_in.get(row.slug, ()))
        beside, steps = (
            (named[at], named[at + 2]),
            steps_of(editions, slug, language(house.language)),
        )
        own = (worked.prints[slug], papers) if worked.prints else ()
        lots, drift = collection.lots_of(row.name), partial(drift_of, collection, row.name)
        page = partial(spec, slug, steps, papers, used, scaling, beside, drift)
        yield Page(f"staff/{slug}.html", own and (*own, steps, used, beside, lots), page)
        if len(used) > FEW:
            for address in cut(used, f"{slug}.used", LINKS):
                make = partial(_used, worked, slug, address, used, theme, assets)
                yield Page(f"staff/{address}", own and (*own, used), make)


def offline_script(theme: Theme, prints: Mapping[str, str]) -> bytes:
    """The service worker that keeps the book; `prints` of its files by path below its folder."""
    edition = digest(json.dumps(prints, sort_keys=True).encode()).hex()[:16]
    files = json.dumps(prints, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    head = f'const EDITION = "{edition}";\nconst FILES = {files};\n'
    return f"{head}{theme.text('offline.js')}".encode()


def _spec(
    worked: WorkedRecipes, pictures: Pictures, theme: Theme, assets: Assets, slug: str, steps: Any,
    papers: bool, used: Sequence[Named], scaling: Callable[[str], Scaling | None],
    beside: tuple[Named | None, Named | None], drift: Callable[[], Drift | None],
) -> str:  # fmt: skip
    card, one, batch = worked.card(slug), worked[slug], scaling(slug)
    seen = pictures.side(slug, language(card.language))
    return spec_page(card, one, theme, assets, steps, papers, used, batch, beside, drift(), seen)


def _for_guests(
    collection: Collection, worked: WorkedRecipes, theme: Theme, assets: Assets
) -> Iterator[Page]:
    """Each rests on its own drinks, whose answers a piece holds, and on where all pieces are."""
    house, cuts = collection.house, shares(collection, worked)
    pages = [(at, worked.row(slugs[0]).name if slugs else "") for at, slugs in cuts.items()]
    loaded = sorted(assets.addresses.items())

    def make(address: str, piece: str) -> str:
        rows = rows_of(assets.files[piece], house)
        return for_guest_page(address, rows, pages, house, theme, assets)

    for (address, slugs), piece in zip(cuts.items(), assets.named(PIECE), strict=True):
        own = [worked.prints[slug] for slug in slugs] if worked.prints else []
        parts = (address, own, pages, loaded, house) if worked.prints else ()
        yield Page(f"staff/{address}", parts, partial(make, address, piece))


def _used(
    worked: WorkedRecipes,
    slug: str,
    address: str,
    used: Sequence[Named],
    theme: Theme,
    assets: Assets,
) -> str:
    return used_page(address, worked.card(slug), used, theme, assets)


def _scaling(collection: Collection, worked: WorkedRecipes) -> Callable[[str], Scaling | None]:
    """The batch of a recipe by slug; the shelf is filled once, and only if one is asked for."""
    shelf = cache(lambda: Shelf(collection, MistakeLog()))
    return lambda slug: make_scaling(worked[slug], collection, shelf())
