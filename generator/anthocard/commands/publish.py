"""anthocard publish: read, compute, write build/guest and build/staff, swapped in whole."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.press.build.fingerprint import Record, fingerprint, forget, sources
from anthocard.terminal.houses import (
    add_house,
    build_of,
    chooser,
    house_computed,
    house_folder,
    shut_in,
    tell_aside,
)
from anthocard.terminal.printing_condition import condition_of, print_of
from anthocard.terminal.publish_summary import Summary
from anthocard.terminal.typed import share_of, whole

if TYPE_CHECKING:  # a publish that finds nothing changed is over before these would be loaded
    from anthocard.diagnostics.diagnostic import Mistake
    from anthocard.press.store.store import Store

EXAMPLE = """\
Nothing is written while there are mistakes, and a failed run leaves the last good
build standing. A paper that cannot be set leaves the one of before, crossed out; all else is
written. A second run with nothing changed does nothing.

examples:
  anthocard publish
  anthocard publish --house ../other-bar --out ../other-bar-build
  anthocard publish --only guest
  anthocard publish --only drinks/NAME.md --only syrups/NAME.md
  anthocard publish --theme NAME --quiet
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_house(parser)
    parser.add_argument(
        "--out",
        metavar="DIR",
        type=Path,
        help="where to write (beside the house: build for recipes, else its name with -build)",
    )
    parser.add_argument(
        "--only",
        metavar="WHAT",
        action="append",
        help="guest, staff, or one recipe by its file or name; may be given again",
    )
    parser.add_argument(
        "--theme", metavar="NAME", default="base", help="the look of pages and papers (base)"
    )
    parser.add_argument(
        "--no-paper",
        action="store_true",
        help="pages only: needs no Pango on this machine; papers of before stay as they are",
    )
    parser.add_argument(
        "--again", action="store_true", help="make everything anew, even if nothing changed"
    )
    parser.add_argument(
        "--processes",
        metavar="N",
        type=whole(1, 256),
        help="processes that set papers (as many as this machine has processors)",
    )
    parser.add_argument(
        "--cache",
        metavar="DIR",
        type=Path,
        help="where what was made is kept for the next run; may be shared, may be deleted",
    )
    parser.add_argument(
        "--cache-key",
        metavar="FILE",
        type=Path,
        help="the key of those who share --cache and --join; without one only what you made here is"
        " taken from there (or in the environment, as ANTHOCARD_CACHE_KEY)",
    )
    parser.add_argument(
        "--cache-most",
        metavar="MB",
        type=_megabytes,
        help="let go of what was used longest ago in --cache, down to this (a folder that --cache"
        " names keeps all, the usual one 2150)",
    )
    parser.add_argument(
        "--headers",
        action="store_true",
        help="sample header files too, _headers and .htaccess, for a host of static files",
    )
    parser.add_argument(
        "--pack",
        action="store_true",
        help="each page, sheet and script once more as .gz and .br, for a host that serves those",
    )
    parts = parser.add_mutually_exclusive_group()
    parts.add_argument(
        "--share",
        metavar="I/N",
        help="set only this part of the papers, into --cache, and write nothing else",
    )
    parser.add_argument(
        "--press",
        metavar="FILE",
        type=Path,
        help="put cards and menus into the inks of this ICC profile as well, for a printing house",
    )
    parts.add_argument(
        "--join",
        metavar="DIR",
        action="append",
        type=Path,
        default=[],
        help="a --cache filled by --share elsewhere; may be given again",
    )
    loud = parser.add_mutually_exclusive_group()
    loud.add_argument("--quiet", action="store_true", help="say nothing unless something is wrong")
    loud.add_argument(
        "--json", action="store_true", help="the summary as one JSON object, for tools"
    )


def run(options: argparse.Namespace) -> int:
    """Publish; warnings are counted, mistakes stop it before anything is written."""
    start = time.perf_counter()
    folder = house_folder(options.house)
    out = options.out = options.out or build_of(folder)
    if options.share:
        return _set_share(options, folder)
    words, summary = words_of(options), Summary(out)
    home, anew, record = folder.resolve(), options.again or options.only, Record(out)
    # Taken before anything is read: what an author writes meanwhile is new next time.
    code, (state, newest_ns) = 0, sources(home, words)
    stands = None if anew else record.glance(state, newest_ns)
    if stands is None:
        key = fingerprint(home, words)
        stands = None if anew else record.stands(key)
        if stands is None:
            code = _build(options, folder, summary)
        if code == 0 and not options.only and sources(home, words)[0] == state:
            if stands is None:
                Record(out).take_note(key, state, summary.changes_on, summary.counts)
            else:
                Record(out).renew(state)
    if stands is not None:
        summary.files, summary.unchanged = stands, True
        summary.counts = record.counts
    _close(options, summary, time.perf_counter() - start)
    return code


def words_of(options: argparse.Namespace) -> tuple[str, ...]:
    """The options that what is written depends on, and the Python that writes it."""
    inks = f"press: {print_of(options.press)}"
    hosting = f"headers: {options.headers}, packed: {options.pack}"
    return options.theme, f"papers: {not options.no_paper}", inks, hosting, sys.version


def _build(options: argparse.Namespace, folder: Path, summary: Summary) -> int:
    from anthocard.press.build.worker import get_ready

    papers = not options.no_paper
    if papers:
        get_ready()  # while the house is read
    from datetime import date

    from anthocard.diagnostics.report import counted
    from anthocard.guard.secret import shared_secret
    from anthocard.press.base.refusals import PaperStopped, PaperUnavailable
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.plan import publish
    from anthocard.press.build.run import Run
    from anthocard.press.data.hosting import Hosting
    from anthocard.press.proof.house_warnings import house_warnings
    from anthocard.press.proof.theme_warnings import theme_warnings
    from anthocard.press.store.store import Store

    if options.again:
        forget(options.out)
    store = _store(options)
    shut_in(options, options.out.resolve().parent, store.folder)
    theme = find_theme(options.theme, folder)
    for part in options.join:
        other = Store(part, shared_secret(options.cache_key))
        store.take_in(other)
        tell_aside(*other.notices)
    collection, computed, warnings = house_computed(folder, store)
    condition = condition_of(options.press, folder, collection)
    only = chooser(options.only, {slug: computed.row(slug).name for slug in computed})
    doubted = house_warnings(collection, computed, warnings, date.today())
    summary.warnings = (*doubted, *theme_warnings(theme))
    summary.counts = counted(summary.warnings)
    summary.changes_on = tuple(day.isoformat() for day in collection.changes_on)
    from anthocard.terminal.output import progress  # nothing is said of nothing

    tell, wipe = progress(options.quiet or options.json)
    run, code = Run(store, options.processes), 0
    asked = collection, computed, options.out
    hosting = Hosting(options.headers, options.pack)
    try:
        try:
            done = publish(*asked, papers, theme, only, tell, run, condition, hosting)
        except PaperUnavailable as missing:
            wipe()
            print(f"{missing}\nPages are written without paper.", file=sys.stderr)
            done = publish(*asked, False, theme, only, tell, run, hosting=hosting)
            code = missing.exit_code
    finally:
        wipe()
    summary.written, stopped, summary.news = done.written, done.stopped, done.news
    summary.files = len(summary.written)
    summary.anew = {"recipes": len(computed.anew), "pages": len(run.anew), "papers": run.set_anew}
    _make_room(options, store)
    _tell_stopped(stopped)
    for path in done.old:
        tell_aside(f"{options.out / path} is the one of before, crossed out.")
    return PaperStopped.exit_code if stopped else code


def _set_share(options: argparse.Namespace, folder: Path) -> int:
    """Fill a store with one part of the papers, for a publish elsewhere to join."""
    from anthocard.press.base.refusals import PaperStopped
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.plan import read_last, set_papers
    from anthocard.press.build.run import BuildShare, Run

    options.out = options.out or build_of(folder)
    share, store = BuildShare(*share_of(options.share)), _store(options)
    shut_in(options, store.folder)
    run = Run(store, options.processes, share=share)
    collection, computed, _ = house_computed(folder, store)
    theme, last = find_theme(options.theme, folder), read_last(options.out)  # the book tells of it
    stopped = set_papers(collection, computed, theme, last, run)
    _make_room(options, store)
    _tell_stopped(stopped)
    if not options.quiet:
        found = sum(store.get(key) is not None for key in run.papers)
        print(f"Share {share.number} of {share.of}: {found} papers stand in {store.folder}.")
    return PaperStopped.exit_code if stopped else 0


def _store(options: argparse.Namespace) -> Store:
    from anthocard.guard.secret import shared_secret
    from anthocard.press.store.store import Store, usual_folder

    if options.cache is None:
        return Store(usual_folder())
    return Store(options.cache, shared_secret(options.cache_key))


def _tell_stopped(stopped: tuple[Mistake, ...]) -> None:
    for mistake in sorted(stopped, key=lambda one: one.place):
        print(mistake, file=sys.stderr)


def _make_room(options: argparse.Namespace, store: Store) -> None:
    """Tell what was not used, and let go of what was used longest ago: a folder given by --cache
    may be others' too.
    """
    from anthocard.press.store.store import USUAL_MB

    tell_aside(*store.notices)
    most_mb = options.cache_most
    if most_mb is None and options.cache is None:
        most_mb = USUAL_MB
    if most_mb is not None:
        store.shrink(most_mb * 1_000_000)


def _megabytes(text: str) -> int:
    """A bound as it is written; raises ArgumentTypeError."""
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(f"“{text}” is no number of megabytes")
    return int(text)


def _close(options: argparse.Namespace, summary: Summary, seconds: float) -> None:
    if options.json:
        print(summary.as_json(seconds))
    elif not options.quiet:
        print(*summary.lines(seconds), sep="\n")
