"""The plan of a house: every file that can be made of it, each a target, and how they are written.

Belongs here: which file is where, what its key is made from, whole builds. Does not belong here:
what is in a file (html/, paper/, words/), who makes it (run.py), how finished folders take the
place of the last ones (disk/swap.py).

    guest/  index.html, <language>.html, assets/   host this folder as it is
    staff/  index.html, <slug>.html, assets/       the spec book
            tables.html                            codes for the tables, where the house has a `web`
            editions.json                          what changed, see words/history.py
            cards/<slug>.pdf, cards.pdf …          papers, see paper/house_papers.py
            data/<slug>.json                       one a recipe, see data/recipe_json.py
"""

from __future__ import annotations

import json
import re
from asyncio import CancelledError
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from functools import cache, partial
from pathlib import Path
from typing import Any, TypeAlias

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.digest import digest
from anthocard.disk.swap import Scratch, alone, scratch_beside
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.house.collection import Collection
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.build.fingerprint import Record
from anthocard.press.build.run import Run
from anthocard.press.data.recipe_json import as_json
from anthocard.press.data.scaling import Scaling, make_scaling
from anthocard.press.data.worked import Worked, as_worked
from anthocard.press.html.assets import FOLDER, Assets
from anthocard.press.html.house_assets import guest_assets, letters, staff_assets
from anthocard.press.html.leaks import leaks, refuse
from anthocard.press.html.menu import languages_of, menu_file, menu_page, offered_slugs
from anthocard.press.html.staff import spec_page, staff_page, tables_page
from anthocard.press.paper.job import HERE, PaperStopped, Press, each
from anthocard.press.store.key import Keep, Target, key, make_it, print_of
from anthocard.press.words.history import LEDGER, Step, follow, read_ledger, steps_of

FOLDERS = ("guest", "staff")

#: Files by path below `out`.
Contents: TypeAlias = dict[str, Target]


def publish(
    collection: Collection,
    computed: Mapping[str, Computed],
    out: Path,
    papers: bool = True,
    theme: Theme | None = None,
    only: Callable[[str], bool] | None = None,
    tell: Callable[[int, int, str], None] = lambda done, total, path: None,
    press: Press = HERE,
) -> tuple[tuple[Path, ...], tuple[Mistake, ...]]:
    """Make every page and paper of `computed` (by slug) beside `out`, then swap both folders in.

    Returns the files written, and for each paper that had to be stopped, and was left out, why.
    `only` picks paths below `out`; what it leaves out stays as it stands. `tell` hears with each
    file how many are done, of how many, and which it is. Other things in `out` are left alone. On
    any error (AuthorError, PaperUnavailable, Busy, OSError) what `out` held before stands
    untouched. The same book gives the same bytes.
    """
    with alone(out), scratch_beside(out) as scratch:
        looks = theme or find_theme()
        wanted = contents(collection, computed, looks, papers, read_last(out), press.keep)
        chosen = _chosen(wanted, only)
        if only is not None:
            scratch.keep(sorted({path.partition("/")[0] for path in chosen}))
        build = _Build(scratch, Record(out), press, lambda at, path: tell(at, len(chosen), path))
        press.now(build.make({path: wanted[path] for path in chosen}))
        stopped = [path for path in chosen if path not in build.made]
        _unlink_stopped(scratch, [*build.made], stopped)
        guests = (path for path in scratch.files if path.startswith("guest/"))
        refuse(leaks(((path, scratch.read(path)) for path in guests), collection))
        scratch.swap_in(FOLDERS)
        if stopped:  # else pages without their links would pass for whole ones
            build.made = {path: how for path, how in build.made.items() if path.endswith(".pdf")}
        if any(key for key, _ in build.made.values()):  # else nothing is kept: nothing is known
            build.record.write_down(build.made)
    return tuple(out / path for path in chosen if path not in stopped), tuple(build.stopped)


def read_last(out: Path) -> Mapping[str, Any]:
    """What history.py kept of the last build in `out`; empty without one."""
    before = out / LEDGER
    return read_ledger(before.read_text(encoding="utf-8") if before.is_file() else None)


def set_papers(
    collection: Collection,
    computed: Mapping[str, Computed],
    theme: Theme,
    ledger: Mapping[str, Any],
    run: Run,
) -> tuple[Mistake, ...]:
    """Set the papers that fall to a share and write nothing; why some of them had to be stopped."""

    async def make(path: str, target: Target) -> None:
        with suppress(CancelledError):  # it waits for papers of other shares
            await run.get(target)

    wanted = contents(collection, computed, theme, ledger=ledger, keep=run.keep)
    papers = {path: target for path, target in wanted.items() if path.endswith(".pdf")}
    return tuple(run.now(make_each(papers, make)))


async def make_each(
    targets: Mapping[str, Target], make: Callable[[str, Target], Awaitable[None]]
) -> list[Mistake]:
    """Await `make` for each; why papers had to be stopped. Papers begin first: workers set them
    while all that takes none is made. Mistakes of authors are told together, at the end."""
    stopped: dict[Mistake, None] = {}

    async def one(path: str, target: Target) -> None:
        try:
            await make(path, target)
        except PaperStopped as told:
            stopped[told.mistake] = None

    in_order = sorted(targets, key=lambda path: not path.endswith(".pdf"))
    await each(one(path, targets[path]) for path in in_order)
    return [*stopped]


class _Build:
    """Files as they come into a scratch folder; `made` are key and print of each by path."""

    def __init__(
        self, scratch: Scratch, record: Record, press: Press, tell: Callable[[int, str], None]
    ) -> None:
        self.record = record
        self.made: dict[str, tuple[str, str]] = {}
        self.stopped: list[Mistake] = []
        self._scratch, self._press, self._tell = scratch, press, tell

    async def make(self, targets: Mapping[str, Target]) -> None:
        """Take over what stands, make the rest."""
        self.stopped = await make_each(targets, self._one)

    async def _one(self, path: str, target: Target) -> None:
        stands = bool(target.key) and self.record.has(path, target.key)
        if stands and self._scratch.take_over(path):
            how = target.key, self.record.made(path)
            if self._press.store is not None:
                self._press.store.used.add(target.key)  # unread, it is in use like what was got
        else:
            content = await self._press.get(target)
            self._scratch.write(path, content)
            how = target.key, digest(content).hex()
        self._tell(len(self.made), path)
        self.made[path] = how


def _unlink_stopped(scratch: Scratch, done: list[str], gone: list[str]) -> None:
    """Take links to papers that had to be stopped out of the pages: they would lead nowhere."""
    for page in (path for path in done if gone and path.endswith(".html")):
        folder = f"{page.partition('/')[0]}/"
        names = "|".join(re.escape(p.removeprefix(folder)) for p in gone if p.startswith(folder))
        html = scratch.read(page).decode()
        left = re.sub(rf'<a\b[^>]*\bhref="(?:{names})"[^>]*>.*?</a>', "", html, flags=re.DOTALL)
        if names and left != html:
            scratch.write(page, left.encode())


def _chosen(wanted: Contents, only: Callable[[str], bool] | None) -> list[str]:
    """The paths to make: with a page also what it loads, whose names change as it changes."""
    if only is None:
        return list(wanted)
    folders = {path.partition("/")[0] for path in wanted if only(path)}
    loaded = tuple(f"{folder}/{FOLDER}/" for folder in folders)
    return [path for path in wanted if only(path) or path.startswith(loaded)]


def contents(
    collection: Collection,
    computed: Mapping[str, Computed],
    theme: Theme,
    papers: bool = True,
    ledger: Mapping[str, Any] | None = None,
    keep: Keep = make_it,
) -> Contents:
    """Everything that can be written of a house.

    `ledger` is what history.py kept of the build before; what pages load is asked of `keep`.
    """
    worked = as_worked(collection.house, computed)
    editions = follow(
        ledger or {},
        {slug: worked.listed(slug).edition for slug in worked},
        lambda slug: as_json(worked[slug]),
    )
    words = letters(collection)
    guest = guest_assets(collection, worked, theme, words, keep)
    staff = staff_assets(collection, worked, theme, words, keep)
    set_, listed = _papers(collection, worked, theme, editions) if papers else ({}, ())
    return {
        **_guest_files(collection, worked, theme, guest, papers),
        **_staff_files(collection, worked, theme, staff, listed, editions),
        **set_,
    }


def _papers(
    collection: Collection, worked: Worked, theme: Theme, editions: Mapping[str, Any]
) -> tuple[Contents, tuple[tuple[str, str], ...]]:
    from anthocard.press.paper.house_papers import on_paper, printed  # pages alone never load it

    made = printed(collection, worked, theme, editions)
    return made, on_paper(made)


def _guest_files(
    collection: Collection, worked: Worked, theme: Theme, assets: Assets, papers: bool
) -> Contents:
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
) -> Contents:
    papers = bool(on_paper)
    listed = [worked.listed(slug) for slug in worked]
    used_in: dict[str, list[tuple[str, str]]] = {}
    for row in listed:
        for slug in row.made_of:
            used_in.setdefault(slug, []).append((row.slug, row.name))
    index = partial(staff_page, listed, collection.house, theme, assets, on_paper)
    made: Contents = {
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


def _files(folder: str, assets: Assets) -> Contents:
    return {
        f"{folder}/{path}": Target(path, "", partial(_given, content))
        for path, content in assets.files.items()
    }


def _given(content: bytes, press: Press) -> bytes:
    return content
