"""anthocard publish: read, compute, write build/guest and build/staff, swapped in whole."""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.commands.houses import (
    add_house,
    chooser,
    house_folder,
    recalled,
)
from anthocard.commands.typed import whole
from anthocard.diagnostics.plain_letters import json_text
from anthocard.press.build.unchanged import (
    fingerprint,
    forget,
    glance,
    sources,
    still_stands,
    take_note,
)

if TYPE_CHECKING:  # a publish that finds nothing changed is over before these would be loaded
    from collections.abc import Callable

    from anthocard.diagnostics.diagnostic import Mistake
    from anthocard.press.build.recall import Worked
    from anthocard.press.store.cache import Cache

EXAMPLE = """\
Nothing is written while there is something to mend, and a failed run leaves the last good
build standing. A second run with nothing changed does nothing.

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
        "--out", metavar="DIR", type=Path, default=Path("build"), help="where to write (build)"
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
        "--no-paper", action="store_true", help="pages only: needs no Pango on this machine"
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
        help="where papers are kept once they are set; may be shared, may be deleted",
    )
    parser.add_argument(
        "--cache-most",
        metavar="MB",
        type=_megabytes,
        help="let go of what was used longest ago in --cache, down to this (a folder that --cache"
        " names keeps all, the usual one 2000)",
    )
    parts = parser.add_mutually_exclusive_group()
    parts.add_argument(
        "--share",
        metavar="I/N",
        help="set only this part of the papers, into --cache, and write nothing else",
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


class _Summary:
    """What the closing lines tell."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.files = 0
        self.written: tuple[Path, ...] = ()
        self.unchanged = False
        self.anew = {"recipes": 0, "pages": 0, "papers": 0}
        self.mistakes: list[Mistake] = []


def run(options: argparse.Namespace) -> int:
    """Publish; warnings are counted, mistakes stop it before anything is written."""
    start = time.perf_counter()
    folder, out = house_folder(options.house), options.out
    words = (str(folder.resolve()), options.theme, f"papers: {not options.no_paper}", sys.version)
    summary = _Summary(out)
    if options.share:
        return _set_share(options, folder)
    code = 0
    anew = options.again or options.only
    stands = None if anew else glance(out, folder, words)
    if stands is None:
        # Both are taken before anything is read: what an author writes meanwhile is new next time.
        state, key = sources(folder)[0], fingerprint(folder, words)
        stands = None if anew else still_stands(out, key)
        if stands is None:
            code = _build(options, folder, summary)
        if options.only:
            forget(out)
        elif code == 0 and sources(folder)[0] == state:
            take_note(out, key, words, state, stands or summary.files)
    if stands is not None:
        summary.files, summary.unchanged = stands, True
    _close(options, summary, time.perf_counter() - start)
    return code


def _build(options: argparse.Namespace, folder: Path, summary: _Summary) -> int:
    from anthocard.press.build.processes import get_ready
    from anthocard.press.build.workers import Typesetter

    if not options.no_paper:
        get_ready()  # while the house is read
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.share import join
    from anthocard.press.build.site import publish
    from anthocard.press.build.standing import forget as forget_made
    from anthocard.press.paper.typeset import PaperStopped, PaperUnavailable
    from anthocard.press.store.cache import Cache, usual_folder
    from anthocard.press.store.keeper import Keeper

    if options.again:
        forget_made(options.out)
    theme = find_theme(options.theme, folder)
    typesetter = Typesetter(Cache(options.cache or usual_folder()), options.processes)
    join((Cache(part) for part in options.join), typesetter.cache)
    book, computed, warnings = recalled(folder)
    only = chooser(options.only, {slug: computed.listed(slug).name for slug in computed})
    summary.mistakes += warnings
    tell, wipe = _progress(options)
    keeper = Keeper(typesetter.cache)
    code, papers = 0, not options.no_paper
    try:
        with keeper.at_work():
            try:
                written = publish(
                    book, computed, options.out, papers, theme, only, tell, typesetter
                )
            except PaperUnavailable as missing:
                wipe()
                print(f"{missing}\nPages are written without paper.", file=sys.stderr)
                written = publish(book, computed, options.out, False, theme, only, tell)
                code = missing.exit_code
    finally:
        wipe()
    summary.written, summary.files = written, len(written)
    summary.anew = {
        "recipes": len(computed.anew), "pages": len(keeper.anew), "papers": typesetter.set_anew
    }  # fmt: skip
    _make_room(options, typesetter.cache, computed)
    for mistake in sorted(typesetter.stopped, key=lambda one: one.place):
        print(mistake, file=sys.stderr)
    return PaperStopped.exit_code if typesetter.stopped else code


def _set_share(options: argparse.Namespace, folder: Path) -> int:
    """Fill a cache with one part of the papers, for a publish elsewhere to join."""
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.share import read_share, set_share
    from anthocard.press.build.site import contents
    from anthocard.press.build.workers import Typesetter
    from anthocard.press.paper.typeset import PaperStopped
    from anthocard.press.store.cache import Cache, usual_folder
    from anthocard.press.words.history import LEDGER, read_ledger

    share = read_share(options.share)
    cache = Cache(options.cache or usual_folder())
    typesetter = Typesetter(cache, options.processes)
    book, computed, _ = recalled(folder)
    before = options.out / LEDGER  # the book tells what changed since the last build
    ledger = read_ledger(before.read_text(encoding="utf-8") if before.is_file() else None)
    wanted = contents(book, computed, find_theme(options.theme, folder), ledger=ledger)
    found = set_share(wanted, share, typesetter)
    _make_room(options, cache, computed)
    for mistake in sorted(typesetter.stopped, key=lambda one: one.place):
        print(mistake, file=sys.stderr)
    if not options.quiet:
        print(f"Share {share.number} of {share.of}: {found} papers stand in {cache.folder}.")
    return PaperStopped.exit_code if typesetter.stopped else 0


def _make_room(options: argparse.Namespace, papers: Cache, worked: Worked) -> None:
    """Let go of what was used longest ago: a folder given by --cache may be others' too."""
    from anthocard.press.store.cache import (
        USUAL_MB,
        Cache,
        usual_folder,
    )

    most_mb = options.cache_most
    if most_mb is None and options.cache is None:
        most_mb = USUAL_MB["papers"]
    if most_mb is not None:
        papers.hold_to(most_mb * 1_000_000)
    recipes = Cache(usual_folder("recipes"))
    recipes.used.update(worked.entries)
    recipes.hold_to(USUAL_MB["recipes"] * 1_000_000)


def _megabytes(text: str) -> int:
    """A bound as it is written; raises ArgumentTypeError."""
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(f"“{text}” is no number of megabytes")
    return int(text)


def _progress(
    options: argparse.Namespace,
) -> tuple[Callable[[int, int, str], None], Callable[[], None]]:
    """One line that is written over, on a terminal that can; silence anywhere else."""
    able = sys.stderr.isatty() and os.environ.get("TERM", "") not in ("", "dumb")
    if options.quiet or options.json or not able:
        return (lambda done, total, path: None), (lambda: None)

    def tell(done: int, total: int, path: str) -> None:
        width = max(20, os.get_terminal_size(sys.stderr.fileno()).columns - 1)
        line = f"{done + 1} of {total}  {path}"[:width]
        sys.stderr.write(f"\r{line:<{width}}")
        sys.stderr.flush()

    def wipe() -> None:
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()

    return tell, wipe


def _close(options: argparse.Namespace, summary: _Summary, seconds: float) -> None:
    """What was written, where to look, what to mend."""
    menu, book = (summary.out / folder / "index.html" for folder in ("guest", "staff"))
    if options.json:
        from anthocard.diagnostics.report import as_rows, counted

        shape = {
            "out": str(summary.out),
            "unchanged": summary.unchanged,
            "files": summary.files,
            "anew": summary.anew,
            "written": [path.as_posix() for path in summary.written],
            "guest": menu.as_posix(),
            "staff": book.as_posix(),
            "counts": counted(summary.mistakes),
            "mistakes": as_rows(summary.mistakes),
            "seconds": round(seconds, 3),
        }
        print(json_text(shape))
        return
    if options.quiet:
        return
    if summary.unchanged:
        print(
            f"Nothing has changed: {summary.files} files in {summary.out} stand ({seconds:.2f} s)."
        )
    else:
        print(f"Wrote {summary.files} files to {summary.out} in {seconds:.1f} s.")
    print(f"  menu for guests  {menu}")
    print(f"  spec book        {book}")
    if summary.mistakes:
        number = len(summary.mistakes)
        noun = "warning" if number == 1 else "warnings"
        print(f"{number} {noun} to look at: anthocard proofread tells them.")
