"""Write the house's papers and pages: guest/ and staff/, whole or not at all.

Belongs here: which file is written where. Does not belong here: what is in a file (html/,
paper/, data/recipe_json.py), how finished folders take the place of the last ones (swap.py).

    guest/  index.html, <language>.html, assets/   host this folder as it is
    staff/  index.html, <slug>.html, assets/       the spec book
            tables.html                            codes for the tables, where the house has a `web`
            editions.json                          what changed, see history.py
            cards/<slug>.pdf, cards.pdf …          papers, see printing.py
            data/<slug>.json                       one a recipe, see recipe_json.py
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache, partial
from pathlib import Path
from typing import Any, TypeAlias

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.house.collection import Book
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.build.recall import Worked, as_worked
from anthocard.press.build.standing import Standing
from anthocard.press.build.swap import (
    Scratch,
    alone,
    scratch_beside,
)
from anthocard.press.build.workers import Typesetter, made
from anthocard.press.data.recipe_json import as_json
from anthocard.press.html.assets import FOLDER, Assets
from anthocard.press.html.house_assets import (
    guest_assets,
    letters,
    staff_assets,
)
from anthocard.press.html.leaks import leaks, refuse
from anthocard.press.html.menu import (
    languages_of,
    menu_file,
    menu_page,
    offered_slugs,
)
from anthocard.press.html.staff import (
    spec_page,
    staff_page,
    tables_page,
)
from anthocard.press.store.keeper import (
    Keyed,
    hold,
    key_from,
    keyed,
    print_of,
)
from anthocard.press.words.history import (
    LEDGER,
    Step,
    follow,
    read_ledger,
    steps_of,
)
from anthocard.press.words.scaling import Scaling, make_scaling

FOLDERS = ("guest", "staff")

#: Files by path below `out`, each made only when it is called for.
Contents: TypeAlias = dict[str, Callable[[], bytes]]


def publish(
    book: Book,
    computed: Mapping[str, Computed],
    out: Path,
    papers: bool = True,
    theme: Theme | None = None,
    only: Callable[[str], bool] | None = None,
    tell: Callable[[int, int, str], None] = lambda done, total, path: None,
    typesetter: Typesetter | None = None,
) -> tuple[Path, ...]:
    """Make every page and paper of `computed` (by slug) beside `out`, then swap both folders in.

    Returns the files written. `only` picks paths below `out`; what it leaves out stays as it
    stands. `tell` hears before each file how many are done, of how many, and which is next. Other
    things in `out` are left alone. On any error (AuthorError, PaperUnavailable, Busy, OSError) what
    `out` held before stands untouched. The same book gives the same bytes. Papers are set by
    `typesetter`, in this process without one; those that had to be stopped are left out and stand
    in its `stopped`.
    """
    with alone(out), scratch_beside(out) as scratch:
        before = out / LEDGER
        ledger = read_ledger(before.read_text(encoding="utf-8") if before.is_file() else None)
        wanted = contents(book, computed, theme or find_theme(), papers, ledger)
        chosen = _chosen(wanted, only)
        if only is not None:
            scratch.keep(sorted({path.partition("/")[0] for path in chosen}))
        keys = {path: one.key for path in chosen if isinstance(one := wanted[path], Keyed)}
        standing = Standing(out)
        stands = {path for path, key in keys.items() if standing.has(path, key)}
        hold(keys[path] for path in stands)
        ways: dict[str, Callable[[], bytes | None]] = dict(wanted)
        ways |= {path: partial(_take_over, scratch, path, wanted[path]) for path in stands}
        done: list[str] = []
        in_order = sorted(chosen, key=lambda path: (path in stands, not path.endswith(".pdf")))
        for path, content in made(ways, in_order, typesetter):
            tell(len(done), len(chosen), path)
            if content is not None:
                scratch.write(path, content)
            done.append(path)
        stopped = [path for path in _without(chosen, done) if path.endswith(".pdf")]
        _unlink_stopped(scratch, done, stopped)
        guests = (path for path in scratch.files if path.startswith("guest/"))
        refuse(leaks(((path, scratch.read(path)) for path in guests), book))
        scratch.swap_in(FOLDERS)
        if keys and not stopped:  # else pages without their links would pass for whole ones
            standing.register(keys)
    return tuple(out / path for path in _without(chosen, stopped))


def _take_over(scratch: Scratch, path: str, make: Callable[[], bytes]) -> bytes | None:
    """None where a file that stands was taken over; else what it is to hold."""
    return None if scratch.take_over(path) else make()


def _unlink_stopped(scratch: Scratch, done: list[str], gone: list[str]) -> None:
    """Take links to papers that had to be stopped out of the pages: they would lead nowhere."""
    for page in (path for path in done if gone and path.endswith(".html")):
        folder = f"{page.partition('/')[0]}/"
        names = "|".join(re.escape(p.removeprefix(folder)) for p in gone if p.startswith(folder))
        html = scratch.read(page).decode()
        left = re.sub(rf'<a\b[^>]*\bhref="(?:{names})"[^>]*>.*?</a>', "", html, flags=re.DOTALL)
        if names and left != html:
            scratch.write(page, left.encode())


def _without(paths: Iterable[str], others: Iterable[str]) -> list[str]:
    left_out = set(others)
    return [path for path in paths if path not in left_out]


def _chosen(wanted: Contents, only: Callable[[str], bool] | None) -> list[str]:
    """The paths to make: with a page also what it loads, whose names change as it changes."""
    if only is None:
        return list(wanted)
    folders = {path.partition("/")[0] for path in wanted if only(path)}
    loaded = tuple(f"{folder}/{FOLDER}/" for folder in folders)
    return [path for path in wanted if only(path) or path.startswith(loaded)]


def contents(
    book: Book,
    computed: Mapping[str, Computed],
    theme: Theme,
    papers: bool = True,
    ledger: Mapping[str, Any] | None = None,
) -> Contents:
    """Everything that can be written of a house, each file made when it is called for.

    `ledger` is what history.py kept of the build before.
    """
    worked = as_worked(book.house, computed)
    editions = follow(
        ledger or {},
        {slug: worked.listed(slug).edition for slug in worked},
        lambda slug: as_json(worked[slug]),
    )
    words = letters(book)
    set_, listed = _papers(book, worked, theme, editions) if papers else ({}, ())
    return {
        **_guest_files(book, worked, theme, guest_assets(book, worked, theme, words), papers),
        **_staff_files(
            book, worked, theme, staff_assets(book, worked, theme, words), listed, editions
        ),
        **set_,
    }


def _papers(
    book: Book, worked: Worked, theme: Theme, editions: Mapping[str, Any]
) -> tuple[Contents, tuple[tuple[str, str], ...]]:
    from anthocard.press.build.printing import on_paper, printed  # pages alone never load it

    made = printed(book, worked, theme, editions)
    return made, on_paper(made)


def _guest_files(
    book: Book, worked: Worked, theme: Theme, assets: Assets, papers: bool
) -> Contents:
    made: Contents = {}
    for tongue in languages_of(book.house):
        path = f"guest/{menu_file(book.house, tongue)}"
        made[path] = partial(_menu, book, worked, theme, assets, tongue, papers)
        if worked.prints:
            on = [worked.prints[slug] for slug in offered_slugs(book, worked)]
            parts = (_looks(theme, assets, papers), tongue, book.house, *book.menus.values(), on)
            made[path] = keyed(path, parts, made[path])
    return {**made, **_kept("guest", assets)}


def _staff_files(
    book: Book,
    worked: Worked,
    theme: Theme,
    assets: Assets,
    on_paper: tuple[tuple[str, str], ...],
    editions: Mapping[str, Any],
) -> Contents:
    papers = bool(on_paper)
    listed = [worked.listed(slug) for slug in worked]
    used_in: dict[str, list[tuple[str, str]]] = {}
    for row in listed:
        for slug in row.made_of:
            used_in.setdefault(slug, []).append((row.slug, row.name))
    made: Contents = {
        "staff/index.html": lambda: staff_page(
            listed, book.house, theme, assets, on_paper
        ).encode(),
        LEDGER: lambda: _json(editions),
        **_kept("staff", assets),
    }
    if book.house.web is not None:
        made["staff/tables.html"] = lambda: tables_page(book.house, theme, assets).encode()
    looks = _looks(theme, assets, papers)
    scaling = _scaling(book, worked)
    for slug in worked:
        used, steps = tuple(used_in.get(slug, ())), steps_of(editions, slug)
        page = partial(_spec, worked, slug, theme, assets, steps, papers, used, scaling)
        made[f"staff/{slug}.html"] = _known(worked, slug, (looks, steps, used), page)
        made[f"staff/data/{slug}.json"] = _known(worked, slug, (), partial(_figures, worked, slug))
    return made


def _looks(theme: Theme, assets: Assets, papers: bool) -> str:
    """A key of all that decides how a page looks, whatever stands on it."""
    return key_from(print_of(theme.folders), repr(sorted(assets.addresses.items())), f"{papers}")


def _known(
    worked: Worked, slug: str, parts: tuple[object, ...], make: Callable[[], bytes]
) -> Callable[[], bytes]:
    """`make`, asked of the keeper first where the recipe has a key."""
    key = worked.prints.get(slug)
    return make if key is None else keyed(slug, (key, *parts), make)


def _menu(
    book: Book,
    computed: Mapping[str, Computed],
    theme: Theme,
    assets: Assets,
    tongue: str,
    papers: bool,
) -> bytes:
    return menu_page(book, computed, theme, assets, tongue, papers).encode()


def _spec(
    worked: Worked,
    slug: str,
    theme: Theme,
    assets: Assets,
    steps: tuple[Step, ...],
    papers: bool,
    used: tuple[tuple[str, str], ...],
    scaling: Callable[[str], Scaling | None],
) -> bytes:
    card = worked.card(slug)
    one = worked[slug]
    return spec_page(card, one, theme, assets, steps, papers, used, scaling(slug)).encode()


def _scaling(book: Book, worked: Worked) -> Callable[[str], Scaling | None]:
    """The batch of a recipe by slug; the shelf is filled once, and only if one is asked for."""
    shelf = cache(lambda: Shelf(book, MistakeLog()))
    return lambda slug: make_scaling(worked[slug], book, shelf())


def _figures(worked: Worked, slug: str) -> bytes:
    return _json(as_json(worked[slug]))


def _json(values: Mapping[str, Any]) -> bytes:
    return f"{json.dumps(values, ensure_ascii=False, indent=2)}\n".encode()


def _kept(folder: str, assets: Assets) -> Contents:
    return {f"{folder}/{path}": partial(bytes, made) for path, made in assets.files.items()}
