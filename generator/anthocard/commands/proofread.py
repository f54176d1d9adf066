"""anthocard proofread: read everything, compute everything, publish nothing, tell every mistake."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.diagnostics.plain_letters import json_text
from anthocard.diagnostics.report import as_rows, counted, grouped, tally, worst
from anthocard.press.store.store import Store, usual_folder
from anthocard.terminal.houses import add_house, house_computed, house_folder, shut_in, tell_aside

EXAMPLE = """\
Errors stop a publish. Warnings do not: a default from memory, an old calibration, a pour that
may hardly stray, a label nobody read. Hints are loose ends. Every one says how to put it right.

What may not fit its paper is set, so that a publish after a clean proofread goes through; what
was set is kept for it. With a theme of the house's own that is everything.

The exit code is 1 when there are mistakes, else 0, warnings or not.

examples:
  anthocard proofread
  anthocard proofread --house ../other-bar
  anthocard proofread --all
  anthocard proofread --json
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_house(parser)
    parser.add_argument(
        "--theme", metavar="DIR", default="base", help="the look that is published (base)"
    )
    parser.add_argument(
        "--json", action="store_true", help="one JSON object on standard output, for tools"
    )
    parser.add_argument(
        "--all", action="store_true", help="tell each warning and hint, file by file, not the worst"
    )
    parser.add_argument(
        "--errors", action="store_true", help="leave warnings and hints out of what is told"
    )


def run(options: argparse.Namespace) -> int:
    """Tell every mistake, then a closing line; 1 when an error is among them."""
    folder = house_folder(options.house)
    store = Store(usual_folder())
    shut_in(options, store.folder)
    count, mistakes = proofread(folder, options.theme, store)
    wrong = counted(mistakes)["error"]
    shown = [m for m in mistakes if m.severity == "error" or not options.errors]
    if options.json:
        shape = {
            "house": str(folder),
            "ok": not wrong,
            "recipes": count,
            "counts": counted(mistakes),
            "mistakes": as_rows(shown),
        }
        print(json_text(shape))
    else:
        text, more = (grouped(shown), "") if options.all else worst(shown)
        if text:
            print(text, end="\n\n")
        worked = "" if wrong else f"{count} recipes worked out: "
        print(f"{worked}{tally(mistakes)}.{more}")
    return 1 if wrong else 0


def proofread(
    folder: Path, theme: str, store: Store | None = None
) -> tuple[int, tuple[Mistake, ...]]:
    """How many recipes were worked out, and everything that can be said about them."""
    from anthocard.press.base.refusals import PaperUnavailable
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.run import Run
    from anthocard.press.proof.house_warnings import house_warnings
    from anthocard.press.proof.letters import unprintable
    from anthocard.press.proof.set_ahead import set_ahead
    from anthocard.press.proof.theme_warnings import theme_warnings

    store = store or Store(usual_folder())
    try:
        collection, computed, warnings = house_computed(folder, store)
    except AuthorError as error:
        return 0, error.mistakes
    looks = find_theme(theme, folder)
    found = [
        *house_warnings(collection, computed, warnings, date.today()),
        *unprintable(collection, looks.fonts),
        *theme_warnings(looks),
    ]
    if not counted(found)["error"]:  # else setting would only tell the same, in other words
        try:
            found += set_ahead(collection, computed, looks, Run(store))
        except PaperUnavailable as missing:
            tell_aside(f"{missing}\nWhat may not fit its paper was not looked at.")
    tell_aside(*store.notices)
    return len(computed), tuple(found)
