"""Folders for work in progress, and removing no folder that is not one of them.

Belongs here: making a scratch folder, knowing it again after a death, and removing it. Does not
belong here: what lies in it.

A name proves nothing: anybody may have a folder that is called like one of ours. So before one is
made a claim is written where the work is going to, with its name and a number nobody can guess;
the folder itself holds the same number. Only a folder that does is ever removed.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from anthocard.disk.folder import Folder

MARK: Final = ".anthocard-ours"


def make(home: Folder, place: Folder, prefix: str, claim: str) -> str:
    """Make a scratch folder in `place` for work that is going to `home`; returns its name.

    `claim` is the name of the file in `home` that says so.

    One at a time: `home` is held, and what a dead one left there was swept away.
    """
    name, number = f"{prefix}{os.urandom(4).hex()}", os.urandom(16).hex()
    home.unlink(claim)
    try:
        # Half of a claim counts for nothing, and so far there is nothing to claim.
        home.write_new(claim, json.dumps({"name": name, "number": number}).encode(), unnamed=True)
        place.mkdir(name, 0o700)
        with place.below(name) as folder:
            folder.write_new(MARK, number.encode(), flushed=False)
    except BaseException:
        with suppress(OSError):
            remove(home, place, name, claim)
        raise
    return name


def claimed(home: Folder, place: Folder, prefix: str, claim: str) -> str | None:
    """The name of the scratch folder that a dead one left in `place`; None if none is ours.

    Whatever else a claim says (that of a stranger's copy, or of another tool) counts for nothing.
    """
    try:
        claim_read = json.loads(home.read(claim) or b"")
        name, number = str(claim_read["name"]), str(claim_read["number"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    if not name.startswith(prefix) or "/" in name or "\0" in name or not number:
        return None
    state = place.state(name)
    if state is None or not stat.S_ISDIR(state.st_mode):
        return None
    with place.below(name) as folder:
        found = folder.read(MARK) or b""
        # Killed before its number was all there, it holds nothing else.
        new = number.encode().startswith(found) and {one.name for one in folder.entries()} <= {MARK}
    return name if new or found == number.encode() else None


def remove(home: Folder, place: Folder, name: str, claim: str) -> None:
    """Remove a scratch folder, its number last, and then the claim. Raises OSError."""
    if place.state(name) is not None:
        with place.below(name) as folder:
            folder.empty(but=MARK)
            folder.unlink(MARK)
        place.rmdir(name)
    home.unlink(claim)


#: Where the folder for passing files of a process and its children is told to them.
PASSING: Final = "ANTHOCARD_PASSING"
_AT_WORK: Final = "at-work-"


@contextmanager
def passing_folder(prefix: str) -> Iterator[Folder]:
    """A folder for files that a library wants to find by path, gone at the end.

    It lies in the one for passing files, if there is one: that goes even after a sudden death.
    """
    import tempfile

    place = os.environ.get(PASSING, "")
    room = place if os.path.isdir(place) else None  # noqa: PTH112
    with tempfile.TemporaryDirectory(prefix=prefix, dir=room) as path, Folder.at(path) as folder:
        yield folder


def at_work(out: Path) -> None:
    """Note in the folder for passing files, if there is one, where a build is being made."""
    place = os.environ.get(PASSING)
    if place:
        with suppress(OSError), Folder.at(place) as folder:
            name = f"{_AT_WORK}{os.urandom(4).hex()}"
            folder.write_new(name, os.fsencode(out.resolve()), flushed=False)


def leavings(place: str) -> tuple[Path, ...]:
    """Where builds were being made when a process died; its folder for passing files goes."""
    with Folder.at(place) as folder:
        notes = [one.name for one in folder.entries() if one.name.startswith(_AT_WORK)]
        found = tuple(Path(os.fsdecode(folder.read(name) or b"")) for name in notes)
        folder.empty()
    with suppress(OSError), Folder.at(Path(place).parent) as above:
        above.rmdir(Path(place).name)
    return found
