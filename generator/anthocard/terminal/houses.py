"""What commands share: where the house is, and reading and working it out whole."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, nullcontext, suppress
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # every command imports this module, not every command reads a house
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake
    from anthocard.engine.results import Computed
    from anthocard.house.model import Recipe
    from anthocard.house.reader import Collection
    from anthocard.press.data.worked import WorkedRecipes
    from anthocard.press.store.store import Store


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
            _finish_import(folder)
            return folder
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place

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


def house_to_read(options: argparse.Namespace, near: Path | None = None) -> Path:
    """`house_folder` for a command that writes nothing but what `--out` names: it is shut in from
    here on, before it reads what a stranger may have written. Raises AuthorError.
    """
    folder = house_folder(options.house, near)
    from anthocard.press.store.store import usual_folder

    # Where nothing was ever kept, nothing is from here: the room for it would be all of a home.
    kept = [usual_folder()] if usual_folder().is_dir() else []
    out = getattr(options, "out", None)
    shut_in(options, *kept, *([out] if isinstance(out, Path) else []))
    return folder


def build_of(folder: Path) -> Path:
    """Where a house is published unless somebody says otherwise: beside it, from wherever that is
    asked, so that it has one history; `build` for a folder of `recipes`, else `NAME-build`.
    """
    name = folder.resolve().name
    return (
        folder / ".." / f"{name}-build"
        if folder == Path()
        else folder.parent / ("build" if name == "recipes" else f"{name}-build")
    )


#: What processes share: locks, and nothing.
_SYSTEM: Final = ("/dev/shm", "/dev/null")
#: Stands in a house while many files are put there; see disk/transaction.py, loaded only for it.
_UNFINISHED: Final = ".anthocard-unfinished"


def _finish_import(folder: Path) -> None:
    """Put the last files of an import in their places that was killed in the middle of it."""
    if not os.path.lexists(folder / _UNFINISHED):
        return
    from anthocard.disk.refused import Refused
    from anthocard.disk.transaction import finish

    try:
        paths = finish(folder)
    except (OSError, Refused):  # another is at work, or this house is not ours to write to
        return
    tell_aside(*(f"finished what was stopped: wrote {folder / path}" for path in paths))


def sound_house(
    folder: Path, instead: Mapping[str, str] = MappingProxyType({})
) -> tuple[Collection, tuple[Mistake, ...]]:
    """The part of a house that rests on nothing broken, and every mistake that is an error.

    For commands that look at one thing: a slip in another file is none of their business. Raises
    AuthorError where house.yaml or stock.yaml cannot be read at all.
    """
    from anthocard.house.reader import read_sound

    collection, mistakes = read_sound(folder, instead)
    return collection, tuple(one for one in mistakes if one.severity == "error")


def not_sound(missing: Mistake, mistakes: tuple[Mistake, ...]) -> AuthorError:
    """What to say of a thing that is not in the sound part: what is broken, or that it is not."""
    from anthocard.diagnostics.diagnostic import AuthorError

    return AuthorError(mistakes or (missing,))


def tell_aside(*lines: str) -> None:
    """Say something beside what is printed, so that it can be piped on its own."""
    for line in lines:
        print(line, file=sys.stderr)


def tell_elsewhere(mistakes: tuple[Mistake, ...]) -> None:
    """One closing line, beside what is printed, of what is to be mended in the rest of a house."""
    from anthocard.diagnostics.report import tally

    if mistakes:
        first = min(one.place for one in mistakes)
        at = f"{first.path}:{first.line}:{first.column}"
        tell_aside(f"elsewhere in the house: {tally(mistakes)}, from {at} on (anthocard proofread)")


def worked_out(
    folder: Path, at_c: float | None = None
) -> tuple[Collection, Mapping[str, Computed], tuple[Mistake, ...]]:
    """Read a house and compute all of it: the book, its recipes by slug, every warning."""
    from anthocard.engine.compute import compute
    from anthocard.house.reader import read_house

    collection = read_house(folder)
    computed, warnings = compute(collection, at_c)
    return collection, computed, (*collection.warnings, *warnings)


def house_computed(
    folder: Path, store: Store | None = None
) -> tuple[Collection, WorkedRecipes, tuple[Mistake, ...]]:
    """The same, but only what a store, this user's own, does not know is worked out."""
    from anthocard.house.reader import read_house
    from anthocard.press.build.recipe_cache import work_out
    from anthocard.press.store.store import Store, usual_folder

    collection = read_house(folder)
    used = store or Store(usual_folder())
    worked, warnings = work_out(collection, used)
    if store is None:
        tell_aside(*used.notices)
    return collection, worked, (*collection.warnings, *warnings)


def at_hand(folder: Path) -> tuple[Collection, WorkedRecipes, tuple[Mistake, ...]]:
    """The sound part of a house worked out, for a question on a busy night, and its mistakes: where
    all is known, what concerns only whoever wrote the house down is not looked for again.
    """
    from anthocard.press.build.recipe_cache import known_or_worked_out
    from anthocard.press.store.store import Store, usual_folder

    collection, mistakes = sound_house(folder)
    store = Store(usual_folder())
    worked = known_or_worked_out(collection, store)
    tell_aside(*store.notices)
    return collection, worked, mistakes


def known_glass(recipe: Recipe, collection: Collection) -> AbstractContextManager[None]:
    """While one recipe is worked out: light is traced through its glass only where this user's
    store does not know its ways, and they are kept there.
    """
    from anthocard.engine.mix.appearance import sight_of
    from anthocard.house.model import Drink
    from anthocard.press.build.sights import known_ways
    from anthocard.press.store.store import Store, usual_folder

    if not isinstance(recipe, Drink):
        return nullcontext()
    return known_ways([sight_of(recipe, collection.house)], Store(usual_folder()))


def shut_in(options: argparse.Namespace, *writable: Path, connect: bool = False) -> None:
    """Let this process write nowhere but to passing files and below some folders (or, where one is
    not there yet, the next above it that is), and make no connection unless it may `connect`; where
    the system can.

    Called before anything is read that a stranger may have written; it cannot be undone.
    """
    if not getattr(options, "own", False):  # called by a program that has other things to do
        return
    from tempfile import gettempdir

    from anthocard.guard.compiling import is_kept
    from anthocard.guard.enclosure import enclose

    if not is_kept():  # once: who is shut in could not keep it, and would compile it each time
        from anthocard.engine.optics.paint import compile_ahead

        compile_ahead()
    there = [next(p for p in (at, *at.parents) if p.is_dir()) for at in map(Path.resolve, writable)]
    with suppress(FileNotFoundError):  # a full disk: the first write will tell
        there.append(Path(gettempdir()))
    enclose([*there, *_SYSTEM], run=True, connect=connect)


def chooser(wanted: list[str] | None, recipes: dict[str, str]) -> Callable[[str], bool] | None:
    """A test of paths below the build folder, from the words after --only; None without any.

    `recipes` are names by slug. Raises AuthorError for a word that means nothing.
    """
    if not wanted:
        return None
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean

    names = {name.casefold(): slug for slug, name in recipes.items()}
    folders: set[str] = set()
    slugs: set[str] = set()
    for word in wanted:
        stem = Path(word).stem if word.endswith(".md") else word
        if word in ("guest", "staff"):
            folders.add(word)
        elif stem in recipes or stem.casefold() in names:
            slugs.add(stem if stem in recipes else names[stem.casefold()])
        else:
            known = ["guest", "staff", *recipes, *recipes.values()]
            message = f"there is nothing called “{word}” to publish"
            place = Place("--only")
            raise AuthorError([Mistake("no-such-part", message, place, did_you_mean(word, known))])
    return lambda path: (
        path.partition("/")[0] in folders or Path(path).name.partition(".")[0] in slugs
    )
