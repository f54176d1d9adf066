"""One folder changing places with the next one: forwards, back again, and on after a death.

Belongs here: the steps of one folder between `new`, `old` and where it is to stand. Does not belong
here: their order with other folders and the journal (swap.py).

`left` is the scratch folder: what grows stands in its `new`, what was replaced in its `old`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from typing import Final

from anthocard.disk import scratch
from anthocard.disk.folder import Folder
from anthocard.disk.listing import move_over, read_list, remove_ours, strangers

NEW: Final = "new"
OLD: Final = "old"


def put(left: Folder, name: str, home: Folder) -> None:
    """One folder of `new` into `home`; what stood there is in `old` then."""
    with left.below(NEW) as new, left.below(OLD) as old:
        if home.state(name) is None:
            new.rename(name, home, name)
        elif new.exchange(name, home, name):
            new.rename(name, old, name)
        else:
            home.rename(name, old, name)
            new.rename(name, home, name)


def take_back(left: Folder, name: str, home: Folder, number: int) -> None:
    """Undo as much of `put` as was done."""
    with left.below(NEW) as new, left.below(OLD) as old:
        if inode(home, name) == number:
            if new.state(name) is not None:
                new.rename(name, old, name)
            if old.state(name) is None or not old.exchange(name, home, name):
                home.rename(name, new, name)
            else:
                old.rename(name, new, name)
        if old.state(name) is not None:
            old.rename(name, home, name)


def finish(left: Folder, name: str, home: Folder, number: int) -> None:
    """Do what is not done yet of one folder's swap."""
    try:
        new = left.down([NEW])
    except OSError:  # it died before there was one
        return
    with new, left.below(OLD, make=True) as old:
        if inode(home, name) != number and inode(new, name) == number:
            put(left, name, home)
        elif inode(home, name) == number and new.state(name) is not None:
            new.rename(name, old, name)
    if inode(home, name) == number:
        carry(left, name, home)


def carry(left: Folder, name: str, home: Folder) -> list[str]:
    """Move what others put into a folder that was replaced over to its successor."""
    with left.below(OLD) as old, suppress(FileNotFoundError), old.below(name) as before:
        others = list(strangers(before, read_list(before) or frozenset()))
        with home.below(name) as now:
            return move_over(before, now, others)
    return []


def carry_back(left: Folder, name: str, home: Folder, moved: Sequence[str]) -> None:
    """Undo that."""
    with left.below(OLD) as old, old.below(name) as before, home.below(name) as now:
        move_over(now, before, moved)


def clear(home: Folder, place: Folder, name: str, claim: str, folders: Iterable[str]) -> None:
    """Remove a scratch folder; of folders that were replaced only what their lists name."""
    with place.below(name) as left, left.below(OLD, make=True) as old:
        for folder in folders:
            with suppress(FileNotFoundError), old.below(folder) as before:
                remove_ours(before)
                old.rmdir(folder)  # raises where anything came into it meanwhile: then all stays
    scratch.remove(home, place, name, claim)


def inode(folder: Folder, name: str) -> int | None:
    """What tells one folder from another; None where there is none."""
    state = folder.state(name)
    return None if state is None else state.st_ino
