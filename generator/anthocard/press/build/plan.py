"""The plan of a house: every file that can be made of it, each a target, and how they are written.

Belongs here: whole builds, and what becomes of a paper that cannot be set. Does not belong here:
what is in a file (html/, paper/, words/), who makes it (run.py), how finished folders take the
place of the last ones (disk/swap.py).
    guest/  host this folder as it is
    staff/  the spec book

Pages are listed in html/house_pages.py, papers in paper/house_papers.py.
"""

from __future__ import annotations

from asyncio import CancelledError
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeAlias

from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.digest import digest
from anthocard.disk.swap import Scratch, alone, scratch_beside
from anthocard.engine.results import Computed
from anthocard.guard.reading import bounded
from anthocard.house.collection import Collection
from anthocard.press.base.refusals import PaperStopped
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.build.fingerprint import Record
from anthocard.press.build.paper_links import mark_links
from anthocard.press.build.run import Run
from anthocard.press.data.hosting import NO_HOST, PACKINGS, Hosting, for_hosts
from anthocard.press.data.worked import as_worked
from anthocard.press.html.assets import FOLDER
from anthocard.press.html.guest_pages import NOT_FOUND
from anthocard.press.html.house_pages import shown_pages
from anthocard.press.html.leaks import leaks, refuse
from anthocard.press.html.staff_book import CACHED_OFFLINE, offline_script
from anthocard.press.paper.archive import crossed_out
from anthocard.press.paper.job import HERE, LOST, PaperPress, each
from anthocard.press.plates.condition import Condition
from anthocard.press.store.key import Memo, Target, make_it
from anthocard.press.words.history import LEDGER, News, follow, news_of, read_ledger, shown

FOLDERS = ("guest", "staff")

#: Files by path below `out`.
Contents: TypeAlias = dict[str, Target]
#: What is wrong with one paper alone: all others can be set, and all pages.
OF_ONE_PAPER: Final = frozenset({"card-too-full", "no-glyph", LOST})


class Published(NamedTuple):
    """What a publish wrote; why papers could not be set; which of them stand as they were before,
    crossed out, by path below `out`; and what is new on the wall.
    """

    written: tuple[Path, ...]
    stopped: tuple[Mistake, ...]
    old: tuple[str, ...]
    news: News


def publish(
    collection: Collection,
    computed: Mapping[str, Computed],
    out: Path,
    papers: bool = True,
    theme: Theme | None = None,
    only: Callable[[str], bool] | None = None,
    tell: Callable[[int, int, str], None] = lambda done, total, path: None,
    press: PaperPress = HERE,
    condition: Condition | None = None,
    hosting: Hosting = NO_HOST,
) -> Published:
    """Make every page and paper of `computed` (by slug) beside `out`, then swap both folders in.

    A paper that cannot be set, or had to be stopped, leaves the one of before, crossed out. `only`
    picks paths below `out`; what it leaves out stays as it stands. `tell` hears with each file how
    many are done, of how many, and which it is. With a printing `condition` papers are put into its
    inks as well; what a host may want is added as `hosting` says. Other things in `out` are left
    alone. On any error (AuthorError, PaperUnavailable, Busy, OSError) what `out` held before stands
    untouched. The same book gives the same bytes.
    """
    with alone(out), scratch_beside(out) as scratch:
        look = theme or find_theme()
        last = read_last(out)
        wanted = contents(collection, computed, look, papers, last, press.memo, condition)
        chosen = _chosen(wanted, only)
        if only is not None:
            begun = sorted({path.partition("/")[0] for path in chosen})
            scratch.carry_over(begun, lambda path: not path.endswith(PACKINGS))
        elif not papers:
            scratch.carry_over(FOLDERS, lambda path: path.endswith(".pdf"))
        build = _Build(scratch, Record(out), press, lambda at, path: tell(at, len(chosen), path))
        press.now(build.make({path: wanted[path] for path in chosen}))
        stopped = [path for path in chosen if path not in build.made]
        old = _leave_old(scratch, stopped)
        for page in (path for path in scratch.files if stopped and path.endswith(".html")):
            html = scratch.read(page)
            marked = mark_links(page, html, stopped, old, collection.house.language)
            if marked != html:
                scratch.write(page, marked)  # and it does not pass for a whole one:
                build.made[page] = "", digest(marked).hex()
        cached = _offline_cache(scratch, look, build.made)
        guests = (path for path in scratch.files if path.startswith("guest/"))
        worked = as_worked(collection.house, computed)
        costs = [cost for slug in worked for cost in worked.row(slug).costs]
        refuse(leaks(((path, scratch.read(path)) for path in guests), collection, costs))
        house = collection.house
        hosts = {FOLDERS[0]: (house.web, NOT_FOUND), FOLDERS[1]: (house.staff_web, "")}
        for path, content in for_hosts(hosting, hosts, scratch.files, scratch.read):
            scratch.write(path, content)
            cached += (path,)
        scratch.swap_in(FOLDERS)
        if press.store is not None:  # else nothing is kept: nothing is known
            build.record.write_down(build.made)
    written = (*(path for path in chosen if path not in stopped), *cached)
    news = news_of(last, read_last(out))
    return Published(tuple(out / path for path in written), tuple(build.stopped), tuple(old), news)


def read_last(out: Path) -> Mapping[str, Any]:
    """What history.py kept of the last build in `out`; empty without one."""
    try:
        before = bounded(out / LEDGER, links=False)
    except OSError:
        before = None
    return read_ledger(None if before is None else before.decode(errors="replace"))


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

    wanted = contents(collection, computed, theme, ledger=ledger, memo=run.memo)
    papers = {path: target for path, target in wanted.items() if path.endswith(".pdf")}
    return tuple(run.now(make_each(papers, make)))


async def make_each(
    targets: Mapping[str, Target], make: Callable[[str, Target], Awaitable[None]]
) -> list[Mistake]:
    """Await `make` for each; why papers could not be set. Papers begin first: workers set them
    while all that takes none is made. Other mistakes of authors are told together, at the end."""
    stopped: dict[Mistake, None] = {}

    async def one(path: str, target: Target) -> None:
        try:
            await make(path, target)
        except PaperStopped as told:
            stopped[told.mistake] = None
        except AuthorError as error:
            if any(mistake.kind not in OF_ONE_PAPER for mistake in error.mistakes):
                raise
            stopped.update(dict.fromkeys(error.mistakes))

    in_order = sorted(targets, key=lambda path: not path.endswith(".pdf"))
    await each(one(path, targets[path]) for path in in_order)
    return [*stopped]


class _Build:
    """Files as they come into a scratch folder; `made` are key and print of each by path."""

    def __init__(
        self, scratch: Scratch, record: Record, press: PaperPress, tell: Callable[[int, str], None]
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


def _offline_cache(
    scratch: Scratch, theme: Theme, made: Mapping[str, tuple[str, str]]
) -> tuple[str, ...]:
    """What keeps the spec book without a network; `made` are key and print of what is known."""
    folder = f"{FOLDERS[1]}/"
    prints = {
        path.removeprefix(folder): (
            made[path][1] if path in made else digest(scratch.read(path)).hex()
        )[:16]
        for path in scratch.files
        if path.startswith(folder) and path.endswith(CACHED_OFFLINE)
    }
    if not prints:
        return ()
    scratch.write(f"{folder}offline.js", offline_script(theme, prints))
    return (f"{folder}offline.js",)


def _leave_old(scratch: Scratch, stopped: list[str]) -> list[str]:
    """Let papers of before stand where new ones could not be set, crossed out; returns which."""
    found = {path: scratch.before(path) for path in stopped}
    old = {path: content for path, content in found.items() if content is not None}
    for path, content in old.items():
        scratch.write(path, crossed_out(content))
    return [*old]


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
    memo: Memo = make_it,
    condition: Condition | None = None,
) -> Contents:
    """Everything that can be written of a house.

    `ledger` is what history.py kept of the build before; what pages load is asked of `memo`.
    """
    worked = as_worked(collection.house, computed)
    editions = follow(
        ledger or {},
        {slug: worked.row(slug).edition for slug in worked},
        lambda slug: shown(worked.card(slug), worked[slug]),
    )
    pages = partial(shown_pages, collection, worked, theme, editions, papers=papers, memo=memo)
    if not papers:
        return pages(())
    from anthocard.press.paper.house_papers import on_paper, printed  # pages alone never load it

    made = printed(collection, worked, theme, editions, condition)
    return {**pages(on_paper(made)), **made}
