"""Several files, all or none: a full disk leaves none of them, and a death is made good later.

Belongs here: putting many files in their places as one. Does not belong here: one file
(atomic_file.py), whole folders (swap.py).

All of them are written into a scratch folder first, so that a full disk shows itself before
anything has moved. New files then get a plan: once it stands, whoever looks next into the folder
(`finish`) moves what a dead process did not. A plan only ever moves our files to where nothing is,
so one that came with a stranger's folder can put nothing in the place of anybody's. Files that
replace others have no plan: after a death each of them is the old or the new one, whole.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Final

from anthocard.disk import completed, scratch
from anthocard.disk.atomic_file import drop_folders, make_folders
from anthocard.disk.folder import Folder
from anthocard.disk.lock import held
from anthocard.disk.refused import Refused

CLAIM: Final = ".anthocard-unfinished"
_PREFIX: Final = ".anthocard-files-"
_PLAN: Final = "plan"


def put_all(folder: Path, contents: Mapping[str, bytes], over: bool = False) -> None:
    """Put files in their places by their paths below `folder`, which is made if need be.

    Where files are there already they are replaced if `over`, and FileExistsError is raised if not.
    Raises Refused where anything but a file is in the way, Busy where another process does the
    same, and OSError; then everything is as it was.
    """
    made = make_folders(folder)
    try:
        with held(folder), Folder.at(folder) as home:
            _finish(home)
            _put_all(home, contents, over)
    except BaseException:
        drop_folders(made)
        raise
    for path in contents:
        completed.note(folder / path)


def finish(folder: Path) -> tuple[str, ...]:
    """Move what a process that died had still to move; the paths of all its files, or none.

    Raises Busy while that process, or another, is at work, and OSError.
    """
    with held(folder), Folder.at(folder) as home:
        return _finish(home)


def _put_all(home: Folder, contents: Mapping[str, bytes], over: bool) -> None:
    name = scratch.make(home, home, _PREFIX, CLAIM)
    try:
        with home.below(name) as staged:
            for number, (path, content) in enumerate(contents.items()):
                staged.write_new(str(number), content, _stands(home, path) if over else None)
            if not over:
                staged.flush()
                staged.write_new(_PLAN, json.dumps(list(contents)).encode())
            _move_in(home, staged, list(contents), over)
    finally:
        with suppress(OSError):
            scratch.remove(home, home, name, CLAIM)
    with suppress(OSError):  # they stand; what a sudden loss of power would leave is the disk's
        home.flush()


def _stands(home: Folder, path: str) -> os.stat_result | None:
    """The state of a file that is to be replaced; raises Refused where it is none."""
    *above, name = path.split("/")
    try:
        with home.down(above) as at:
            state = at.state(name)
    except FileNotFoundError:
        return None
    if state is not None and not stat.S_ISREG(state.st_mode):
        why = "this is no file, and nothing is put in its place"
        raise Refused(f"{home.path}/{path}", why, "move it away, or name another folder")
    return state


def _finish(home: Folder) -> tuple[str, ...]:
    name = scratch.claimed(home, home, _PREFIX, CLAIM)
    paths: tuple[str, ...] = ()
    if name is not None:
        with home.below(name) as staged:
            paths = _plan(staged)
            for number, path in enumerate(paths):
                *above, last = path.split("/")
                if staged.state(str(number)) is not None:
                    in_the_way = suppress(FileExistsError, NotADirectoryError)  # not ours to move
                    with in_the_way, home.down(above, make=True) as at:
                        staged.move_new(str(number), at, last)
        scratch.remove(home, home, name, CLAIM)
    home.unlink(CLAIM)
    return paths


def _plan(staged: Folder) -> tuple[str, ...]:
    try:
        plan = json.loads(staged.read(_PLAN) or b"[]")
    except (OSError, ValueError, RecursionError):
        return ()
    sound = isinstance(plan, list) and all(isinstance(path, str) and _leads(path) for path in plan)
    return tuple(plan) if sound else ()


def _leads(path: str) -> bool:
    """Whether every step of a path is one step down."""
    return "\0" not in path and not {"", ".", ".."} & set(path.split("/"))


def _move_in(home: Folder, staged: Folder, paths: list[str], over: bool) -> None:
    missing = _missing(home, paths)
    states: list[os.stat_result | None] = []
    try:
        for number, path in enumerate(paths):
            states.append(staged.state(str(number)))
            *above, name = path.split("/")
            with home.down(above, make=True) as at:
                _place(staged, number, at, name, over)
    except BaseException:
        for number, state in reversed(list(enumerate(states))):
            *above, name = paths[number].split("/")
            with suppress(FileNotFoundError), home.down(above) as at:
                _take_back(staged, number, at, name, state)
        staged.unlink(_PLAN)
        for path in missing:
            *above, name = path.split("/")
            with suppress(OSError), home.down(above) as at:
                at.rmdir(name)
        raise


def _missing(home: Folder, paths: list[str]) -> list[str]:
    """The folders on the way to some files that are not there yet, the deepest first."""
    folders = {path[:at] for path in paths for at, sign in enumerate(path) if sign == "/"}
    missing = []
    for path in folders:
        *above, name = path.split("/")
        try:
            with home.down(above) as at:
                if at.state(name) is None:
                    missing.append(path)
        except FileNotFoundError:
            missing.append(path)
    return sorted(missing, key=lambda path: -path.count("/"))


def _place(staged: Folder, number: int, at: Folder, name: str, over: bool) -> None:
    if not over or at.state(name) is None:
        staged.move_new(str(number), at, name)
    elif not staged.exchange(str(number), at, name):
        at.rename(name, staged, _old(number))
        staged.rename(str(number), at, name)


def _take_back(
    staged: Folder, number: int, at: Folder, name: str, new: os.stat_result | None
) -> None:
    """Undo as much of `_place` as was done; what is not the very file we put there stays."""
    here, there = at.state(name), staged.state(str(number))
    if here is not None and new is not None and os.path.samestat(here, new):
        if there is None:
            at.rename(name, staged, str(number))
        elif os.path.samestat(there, new):  # it has both names
            at.unlink(name)
        else:
            staged.exchange(str(number), at, name)
    if staged.state(_old(number)) is not None:
        staged.rename(_old(number), at, name)


def _old(number: int) -> str:
    return f"old-{number}"
