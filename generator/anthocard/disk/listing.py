"""The list in a folder we made of every file we made in it: whatever is not in it is not ours.

Belongs here: reading and writing such a list, what it does not name, moving that over to the next
folder, and removing what it does name. Does not belong here: when (swap.py).

The list lies in its folder, so both always come and go together, wherever the folder is moved.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator, Set
from contextlib import suppress
from typing import Final

from anthocard.disk.folder import Folder

LIST: Final = ".anthocard-files"
_HEAD: Final = "# Made by anthocard publish, and made anew by it. What is not in this list stays."


def read_list(folder: Folder) -> frozenset[str] | None:
    """The paths below `folder` that are ours; None where there is no list."""
    content = folder.read(LIST)
    if content is None:
        return None
    head, *paths = content.decode(errors="surrogateescape").split("\n")
    return frozenset(filter(None, paths)) if head == _HEAD else None


def write_list(folder: Folder, paths: Iterable[str]) -> None:
    """Put the list into a folder that has none yet: the same files, the same list."""
    text = "\n".join([_HEAD, *sorted(paths), ""])
    folder.write_new(LIST, text.encode(errors="surrogateescape"))


def strangers(folder: Folder, ours: Set[str]) -> Iterator[str]:
    """Whatever stands in a folder and is not ours: files and links, and whole folders, by path."""
    above = {path[:at] for path in ours for at in _steps(path)}

    def walk(at: Folder, before: str) -> Iterator[str]:
        for entry in sorted(at.entries(), key=lambda one: one.name):
            path = f"{before}{entry.name}"
            if path in above and entry.is_dir(follow_symlinks=False):
                with at.below(entry.name) as inner:
                    yield from walk(inner, f"{path}/")
            elif path != LIST and not (path in ours and entry.is_file(follow_symlinks=False)):
                yield path

    return walk(folder, "")


def in_the_way(folder: Folder, paths: Iterable[str]) -> list[str]:
    """Which of these paths are taken in another folder, so that nothing can be moved there."""
    taken = []
    for path in paths:
        *above, name = path.split("/")
        try:
            with folder.down(above) as at:
                if at.state(name) is not None:
                    taken.append(path)
        except FileNotFoundError:
            continue
        except NotADirectoryError:  # a file where a folder is wanted
            taken.append(path)
    return taken


def link_over(folder: Folder, to: Folder, paths: Iterable[str]) -> None:
    """Let files that are not ours stand in the next folder too, so that they are never missing.

    Where that cannot be they are moved over later, as folders are.
    """
    for path in paths:
        *above, name = path.split("/")
        with suppress(OSError), folder.down(above) as at:
            state = at.state(name)
            if state is not None and stat.S_ISREG(state.st_mode):
                with to.down(above, make=True) as there:
                    at.link(name, there, name)


def move_over(folder: Folder, to: Folder, paths: Iterable[str]) -> list[str]:
    """Move what is not ours into another folder, unless something stands there; returns what went.

    Raises OSError, with what went moved back.
    """
    moved: list[str] = []
    try:
        for path in paths:
            *above, name = path.split("/")
            with folder.down(above) as at, to.down(above, make=True) as there:
                mine, theirs = at.state(name), there.state(name)
                if mine is None or (theirs is not None and not os.path.samestat(mine, theirs)):
                    continue
                moved.append(path)
                _move(at, there, name, theirs is not None)
    except BaseException:
        move_over(to, folder, moved)
        raise
    return moved


def _move(at: Folder, to: Folder, name: str, linked: bool) -> None:
    if linked:  # to rename a file over its other name does nothing
        at.unlink(name)
    else:
        at.rename(name, to, name)


def remove_ours(folder: Folder) -> None:
    """Remove what the list names, the folders that are empty then, and last the list.

    Raises OSError, with the list still there, so that the same call again goes on.
    """
    ours = read_list(folder) or frozenset()
    by_folder: dict[tuple[str, ...], list[str]] = {}
    for path in ours:
        *above, name = path.split("/")
        by_folder.setdefault(tuple(above), []).append(name)
    for steps, names in by_folder.items():
        with suppress(FileNotFoundError), folder.down(steps) as at:
            for name in names:
                at.unlink(name)
    folders = {path[:at] for path in ours for at in _steps(path)}
    for path in sorted(folders, key=lambda one: -one.count("/")):
        *up, name = path.split("/")
        with suppress(FileNotFoundError), folder.down(up) as at:
            at.rmdir(name)
    folder.unlink(LIST)


def _steps(path: str) -> Iterator[int]:
    """Where the names of the folders on a path end."""
    return (at for at, letter in enumerate(path) if letter == "/")
