"""What commands share: where the house is, and reading and working it out whole."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # every command imports this module, not every command reads a house
    from anthocard.diagnostics.diagnostic import Mistake
    from anthocard.engine.results import Computed
    from anthocard.house.reader import Book
    from anthocard.press.build.recall import Worked


def add_house(parser: argparse.ArgumentParser) -> None:
    """The option every command has: which folder is the house."""
    parser.add_argument(
        "--house",
        metavar="DIR",
        type=Path,
        help="folder of the house (default: ./recipes, or this folder if it holds a house.yaml)",
    )


def house_folder(given: Path | None, near: Path | None = None) -> Path:
    """The folder of the house: the one given, the one around `near`, ./recipes, or here.

    Raises AuthorError when none of them holds a house.yaml.
    """
    if given is not None:
        candidates = [given]
    else:
        around = near.resolve().parents if near is not None else ()
        candidates = [*around, Path("recipes"), Path()]
    for folder in candidates:
        if (folder / "house.yaml").is_file():
            return folder
    from anthocard.diagnostics.diagnostic import (
        AuthorError,
        Mistake,
        Place,
    )

    raise AuthorError(
        [
            Mistake(
                "no-house",
                "there is no house.yaml in this folder",
                Place(str(candidates[-1] if given is None else given)),
                "name its folder with --house DIR, or make one: anthocard begin DIR",
            )
        ]
    )


def worked_out(
    folder: Path, at_c: float | None = None
) -> tuple[Book, Mapping[str, Computed], tuple[Mistake, ...]]:
    """Read a house and compute all of it: the book, its recipes by slug, every warning."""
    from anthocard.engine.compute import compute
    from anthocard.house.reader import read_house

    book = read_house(folder)
    computed, warnings = compute(book, at_c)
    return book, computed, (*book.warnings, *warnings)


def recalled(folder: Path) -> tuple[Book, Worked, tuple[Mistake, ...]]:
    """The same, but only what this user's cache of recipes does not know is worked out."""
    from anthocard.house.reader import read_house
    from anthocard.press.build.recall import work_out
    from anthocard.press.store.cache import Cache, usual_folder

    book = read_house(folder)
    worked, warnings = work_out(book, Cache(usual_folder("recipes")))
    return book, worked, (*book.warnings, *warnings)
