"""What a publish makes of a house for browsers: which pages and data, and what each is made from.

Belongs here: the list of files that are no papers (those: paper/house_papers.py). Does not belong
here: what is on a page (the modules beside this one), writing files (build/plan.py).

    guest/  index.html, <language>.html, assets/
    staff/  index.html, <slug>.html, assets/
            tables.html                            codes for the tables, where the house has a `web`
            editions.json                          what changed, see words/history.py
            data/<slug>.json                       one a recipe, see data/recipe_json.py
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache, partial
from typing import Any, TypeAlias

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix.shelf import Shelf
from anthocard.house.collection import Collection
from anthocard.press.base.theme import Theme
from anthocard.press.data.recipe_json import as_json
from anthocard.press.data.scaling import Scaling, make_scaling
from anthocard.press.data.worked import Worked
from anthocard.press.html.assets import Assets
from anthocard.press.html.house_assets import guest_assets, letters, staff_assets
from anthocard.press.html.menu import languages_of, menu_file, menu_page, offered_slugs
from anthocard.press.html.staff import spec_page, staff_page, tables_page
from anthocard.press.store.key import Keep, Target, key, print_of
from anthocard.press.words.history import LEDGER, Step, steps_of

Pages: TypeAlias = dict[str, Target]


def shown_pages(
    collection: Collection,
    worked: Worked,
    theme: Theme,
    editions: Mapping[str, Any],
    on_paper: tuple[tuple[str, str], ...],
    papers: bool,
    keep: Keep,
) -> Pages:
    """Every page and all it loads, by path below `out`.

    `on_paper` are the papers for all staff with what each is called; what pages load is asked of
    `keep`, because their names are made from their bytes.
    """
    words = letters(collection)
    guest = guest_assets(collection, worked, theme, words, keep)
    staff = staff_assets(collection, worked, theme, words, keep)
    return {
        **_guest_files(collection, worked, theme, guest, papers),
        **_staff_files(collection, worked, theme, staff, on_paper, editions),
    }


def _guest_files(
    collection: Collection, worked: Worked, theme: Theme, assets: Assets, papers: bool
) -> Pages:
    made = _files("guest", assets)
    on = [worked.prints[slug] for slug in offered_slugs(collection, worked) if worked.prints]
    parts = (_looks(theme, assets, papers), collection.house, *collection.menus.values(), on)
    for tongue in languages_of(collection.house):
        path = f"guest/{menu_file(collection.house, tongue)}"
        page = partial(menu_page, collection, worked, theme, assets, tongue, papers)
        made[path] = _target(path, (tongue, *parts) if worked.prints else (), page)
    return made


def _staff_files(
    collection: Collection,
    worked: Worked,
    theme: Theme,
    assets: Assets,
    on_paper: tuple[tuple[str, str], ...],
    editions: Mapping[str, Any],
) -> Pages:
    papers = bool(on_paper)
    listed = [worked.listed(slug) for slug in worked]
    used_in: dict[str, list[tuple[str, str]]] = {}
    for row in listed:
        for slug in row.made_of:
            used_in.setdefault(slug, []).append((row.slug, row.name))
    index = partial(staff_page, listed, collection.house, theme, assets, on_paper)
    made: Pages = {
        "staff/index.html": _target("index", (), index),
        LEDGER: _target("editions", (), partial(_json, editions)),
        **_files("staff", assets),
    }
    if collection.house.web is not None:
        tables = partial(tables_page, collection.house, theme, assets)
        made["staff/tables.html"] = _target("tables", (), tables)
    looks, scaling = _looks(theme, assets, papers), _scaling(collection, worked)
    for slug in worked:
        own = (worked.prints[slug],) if worked.prints else ()
        used, steps = tuple(used_in.get(slug, ())), steps_of(editions, slug)
        page = partial(_spec, worked, slug, theme, assets, steps, papers, used, scaling)
        figures = partial(lambda slug: _json(as_json(worked[slug])), slug)
        made[f"staff/{slug}.html"] = _target(slug, own and (*own, looks, steps, used), page)
        made[f"staff/data/{slug}.json"] = _target(f"figures of {slug}", own, figures)
    return made


def _target(name: str, parts: tuple[object, ...], make: Callable[[], str]) -> Target:
    """A file of text; without `parts` it has no key."""
    return Target(name, key(name, *parts) if parts else "", lambda press: make().encode())


def _looks(theme: Theme, assets: Assets, papers: bool) -> str:
    """A key of all that decides how a page looks, whatever stands on it."""
    return key(print_of(theme.folders), sorted(assets.addresses.items()), papers)


def _spec(
    worked: Worked,
    slug: str,
    theme: Theme,
    assets: Assets,
    steps: tuple[Step, ...],
    papers: bool,
    used: tuple[tuple[str, str], ...],
    scaling: Callable[[str], Scaling | None],
) -> str:
    card, one = worked.card(slug), worked[slug]
    return spec_page(card, one, theme, assets, steps, papers, used, scaling(slug))


def _scaling(collection: Collection, worked: Worked) -> Callable[[str], Scaling | None]:
    """The batch of a recipe by slug; the shelf is filled once, and only if one is asked for."""
    shelf = cache(lambda: Shelf(collection, MistakeLog()))
    return lambda slug: make_scaling(worked[slug], collection, shelf())


def _json(values: Mapping[str, Any]) -> str:
    return f"{json.dumps(values, ensure_ascii=False, indent=2)}\n"


def _files(folder: str, assets: Assets) -> Pages:
    return {
        f"{folder}/{path}": Target(path, "", partial(_given, content))
        for path, content in assets.files.items()
    }


def _given(content: bytes, press: object) -> bytes:
    return content
