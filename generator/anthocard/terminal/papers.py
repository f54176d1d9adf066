"""What the paper commands share: naming recipes, and naming a file.

Belongs here: options of more than one paper command. Does not belong here: what a paper is.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.terminal.houses import add_house
from anthocard.terminal.output import put

if TYPE_CHECKING:
    from anthocard.engine.results import Computed

__all__ = ["add_paper", "chosen", "put"]


def add_paper(parser: argparse.ArgumentParser, out: str) -> None:
    """House, theme and the file to write."""
    add_house(parser)
    parser.add_argument("--theme", metavar="NAME", default="base", help="the look (base)")
    parser.add_argument(
        "--out", metavar="FILE", type=Path, default=Path(out), help=f"the PDF to write ({out})"
    )


def chosen(
    names: Sequence[str], computed: Mapping[str, Computed], drinks: bool | None
) -> dict[str, Computed]:
    """Recipes by slug, those named or all: drinks, what the house makes, or (None) either.

    Raises AuthorError for a name that is none of them.
    """
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean
    from anthocard.house.collection import fold

    known = {s: one for s, one in computed.items() if drinks in (None, one.is_drink)}
    if not names:
        return known
    names = [Path(name).stem if name.endswith(".md") else name for name in names]
    by_name = {fold(one.name): slug for slug, one in known.items()} | {slug: slug for slug in known}
    wrong = [name for name in names if fold(name) not in by_name and name not in by_name]
    if wrong:
        kinds = {True: "drink", False: "infusion, solution or syrup", None: "recipe"}
        what = kinds[drinks]
        every = [one.name for one in known.values()]
        raise AuthorError(
            Mistake("no-such-recipe", f"no {what} is called “{name}”", Place(name),
                    did_you_mean(name, every))
            for name in wrong
        )  # fmt: skip
    slugs = [by_name.get(name) or by_name[fold(name)] for name in names]
    return {slug: known[slug] for slug in slugs}
