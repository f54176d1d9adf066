"""What a publish makes of a house for browsers: which pages and data, and what each is made from.

Belongs here: the list of files that are no papers (those: paper/house_papers.py). Does not belong
here: what is on a page (the modules beside this one), writing files (build/plan.py).

    guest/  index.html, <language>.html, assets/
            drinks/<slug>.html, <slug>.<language>.html, <slug>.png    to be shared one by one
            drinks/<slug>.jpg                      instead of .png, where the house took a picture
            drinks/<slug>.webp                     its turn, moving, to be shown elsewhere
            404.html                                                  for an address that is gone
    staff/  index.html, <slug>.html, assets/       pages: html/staff_book.py
            offline.js                             keeps it where there is no network
            plants.html                            the wall chart of every plant
            tables.html                            codes for the tables, where the house has a `web`
            editions.json                          what changed, see words/history.py
            data/<slug>.json                       one a recipe, see data/recipe_json.py
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, TypeAlias

from anthocard.digest import digest
from anthocard.house.collection import Collection
from anthocard.press.base.theme import Theme
from anthocard.press.data.recipe_json import as_json
from anthocard.press.data.worked import WorkedRecipes
from anthocard.press.draw.photograph import published
from anthocard.press.html.assets import Assets
from anthocard.press.html.find import index_files
from anthocard.press.html.for_guest_page import guest_files
from anthocard.press.html.guest_pages import (
    NOT_FOUND,
    drink_page,
    lost_page,
    menu_page,
    own_picture,
    picture_file,
    taken_of,
)
from anthocard.press.html.house_assets import guest_assets, letters, staff_assets
from anthocard.press.html.menu import drink_file, languages_of, menu_file, offered_slugs
from anthocard.press.html.pictures import Pictures
from anthocard.press.html.staff_book import staff_pages
from anthocard.press.store.key import Memo, Target, key, print_of
from anthocard.press.words.history import LEDGER

Pages: TypeAlias = dict[str, Target]


def shown_pages(
    collection: Collection,
    worked: WorkedRecipes,
    theme: Theme,
    editions: Mapping[str, Any],
    on_paper: tuple[tuple[str, str], ...],
    papers: bool,
    memo: Memo,
) -> Pages:
    """Every page and all it loads, by path below `out`.

    `on_paper` are the papers for all staff with what each is called; what pages load is asked of
    `memo`, because their names are made from their bytes.
    """
    words = letters(collection)
    guest = guest_assets(collection, worked, theme, words, memo)
    staff = staff_assets(collection, worked, theme, words, memo)
    return {
        **_guest_files(collection, worked, theme, guest, papers),
        **_staff_files(collection, worked, theme, staff, on_paper, editions, memo),
    }


def _guest_files(
    collection: Collection, worked: WorkedRecipes, theme: Theme, assets: Assets, papers: bool
) -> Pages:
    made, house = _files("guest", assets), collection.house
    pictures, slugs = Pictures(collection, worked, theme), offered_slugs(collection, worked)
    drawn = (*pictures.guest(slugs), *pictures.films(slugs))
    made |= {f"guest/{path}": target for path, target in drawn}
    on = [worked.prints[slug] for slug in slugs if worked.prints]
    looks = _page_inputs(theme, assets, papers)
    parts = (looks, house, *collection.menus.values(), on)
    recipes = {collection.slug(drink): drink for drink in collection.drinks.values()}
    taken = {slug: taken_of(collection, recipes[slug]) for slug in slugs}
    for tongue in languages_of(house):
        path = f"guest/{menu_file(house, tongue)}"
        page = partial(menu_page, collection, worked, theme, assets, tongue, papers, pictures)
        made[path] = _target(path, (tongue, *parts) if worked.prints else (), page)
        for slug in slugs:
            path = f"guest/{drink_file(house, slug, tongue)}"
            seen = digest(taken[slug] or b"").hex()
            own = (tongue, looks, house, worked.prints[slug], seen) if worked.prints else ()
            page = partial(drink_page, collection, worked, theme, assets, tongue, slug, pictures)
            made[path] = _target(path, own, page)
    for slug in slugs:
        photograph = taken[slug]
        path = f"guest/{picture_file(slug, photograph)}"
        if photograph is not None:
            name = f"photograph of {slug}"
            shown = key(name, photograph) if worked.prints else ""
            made[path] = Target(name, shown, partial(_photograph, photograph))
            continue
        named = key(path, house, worked.prints[slug]) if worked.prints else ""
        made[path] = Target(path, named, partial(_picture, collection, worked, slug))
    path = f"guest/{NOT_FOUND}"
    known = (looks, house) if worked.prints else ()
    made[path] = _target(path, known, partial(lost_page, collection, theme))
    return made


def _picture(collection: Collection, worked: WorkedRecipes, slug: str, press: object) -> bytes:
    return own_picture(collection, worked[slug])


async def _photograph(taken: bytes, press: Any) -> bytes:
    small: bytes = await press.elsewhere(published, taken)
    return small


def _staff_files(
    collection: Collection,
    worked: WorkedRecipes,
    theme: Theme,
    assets: Assets,
    on_paper: tuple[tuple[str, str], ...],
    editions: Mapping[str, Any],
    memo: Memo,
) -> Pages:
    index = index_files(map(worked.row, worked), collection.house.glasses, bool(on_paper))
    files = assets.with_files({**index, **guest_files(collection, worked, memo)})
    made = _files("staff", files)
    pictures = Pictures(collection, worked, theme)
    made |= {f"staff/{path}": target for path, target in pictures.staff()}
    made[LEDGER] = _target("editions", (), partial(_json, editions))
    looks = _page_inputs(theme, assets, bool(on_paper))  # the index changes with any recipe
    for page in staff_pages(collection, worked, theme, files, on_paper, editions, pictures):
        made[page.path] = _target(page.path, page.parts and (*page.parts, looks), page.make)
    for slug in worked:
        own = (worked.prints[slug],) if worked.prints else ()
        figures = partial(lambda slug: _json(as_json(worked[slug])), slug)
        made[f"staff/data/{slug}.json"] = _target(f"figures of {slug}", own, figures)
    return made


def _target(name: str, parts: tuple[object, ...], make: Callable[[], str]) -> Target:
    """A file of text; without `parts` it has no key."""
    return Target(name, key(name, *parts) if parts else "", lambda press: make().encode())


def _page_inputs(theme: Theme, assets: Assets, papers: bool) -> str:
    """A key of all that decides how a page looks, whatever stands on it."""
    return key(print_of(theme.folders), sorted(assets.addresses.items()), papers)


def _json(values: Mapping[str, Any]) -> str:
    return f"{json.dumps(values, ensure_ascii=False, indent=2)}\n"


def _files(folder: str, assets: Assets) -> Pages:
    return {
        f"{folder}/{path}": Target(path, "", partial(_given, content))
        for path, content in assets.files.items()
    }


def _given(content: bytes, press: object) -> bytes:
    return content
