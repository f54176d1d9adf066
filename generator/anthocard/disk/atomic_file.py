"""One file, whole: the old one stands until the new one is complete.

Belongs here: putting a single file in its place. Does not belong here: several at once
(transaction.py), whole folders (swap.py).

A new file grows without a name where the system can do that, so that a death leaves nothing but
what it leaves between two calls.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from anthocard.disk import completed
from anthocard.disk.folder import Folder
from anthocard.disk.refused import Changed, Refused


@dataclass(frozen=True, slots=True)
class FileState:
    """A file as it was read: `content` is None where there was none."""

    path: Path
    content: bytes | None


def see(path: Path) -> FileState:
    """Read a file that is to be changed; `put` then knows whether somebody saved it meanwhile.

    Raises Refused where something else stands there.
    """
    real = Path(os.path.realpath(path))
    if not real.parent.is_dir():
        return FileState(path, None)
    with Folder.at(real.parent) as folder:
        refuse_others(folder, real.name, path)
        return FileState(path, folder.read(real.name))


def put(
    path: Path, content: bytes, seen: FileState | None = None, within: Path | None = None
) -> None:
    """Put a file in its place, with the mode and the owner of the one before.

    An author's link stays, and what it leads to is changed. Folders on the way are made. Raises
    Refused where anything but a file is in the way, where the path leads out of `within`, and
    (Changed) where the file is not what was `seen`; raises OSError. The old file stands then.
    """
    stands_in(path, within)
    with room_for(path) as (folder, name):
        refuse_others(folder, name, path)
        passing = f".{name[:200]}-{os.urandom(4).hex()}"
        if not replace(folder, name, content, passing, seen):
            raise Changed(path)
    completed.note(path)


def write_whole(path: Path, content: bytes) -> None:
    """Put a file of a private name of ours in its place."""
    with Folder.at(path.parent) as folder:
        write_own(folder, path.name, content)


def write_own(folder: Folder, name: str, content: bytes) -> None:
    """The same in an open folder."""
    passing = f"{name}.new"
    folder.unlink(passing)  # of a run that died
    replace(folder, name, content, passing)


def drop_own(path: Path) -> None:
    """Remove a file of a private name of ours, if it is there."""
    with suppress(FileNotFoundError, NotADirectoryError), Folder.at(path.parent) as folder:
        folder.unlink(path.name)


def replace(
    folder: Folder, name: str, content: bytes, passing: str, seen: FileState | None = None
) -> bool:
    """Make a file under the name `passing` and move it over the old one, in one step.

    False, and nothing done, where the old one is not what was `seen`.
    """
    try:
        folder.write_new(passing, content, folder.state(name), unnamed=True)
        if seen is not None and folder.read(name) != seen.content:
            folder.unlink(passing)
            return False
        folder.rename(passing, folder, name)
    except BaseException:
        with suppress(OSError):
            folder.unlink(passing)
        raise
    with suppress(OSError):  # it stands; what a sudden loss of power would leave is the disk's
        folder.flush()
    return True


def stands_in(path: Path, within: Path | None) -> None:
    """Raise Refused where a path leads out of a folder."""
    if within is not None and not path.resolve().is_relative_to(within.resolve()):
        raise Refused(path, "this link leads out of the house", "copy the file instead")


def refuse_others(folder: Folder, name: str, path: Path) -> None:
    """Raise Refused where anything but a file stands: a device, a pipe, a folder."""
    state = folder.state(name)
    if state is not None and not stat.S_ISREG(state.st_mode):
        what = "a folder" if stat.S_ISDIR(state.st_mode) else "a device, no file"
        raise Refused(path, f"this is {what}, and nothing is put in its place", "name a file")


@contextmanager
def room_for(path: Path) -> Iterator[tuple[Folder, str]]:
    """The folder that a file is to stand in, made if need be, and its name there."""
    real = Path(os.path.realpath(path))
    if not real.name:
        raise Refused(path, "this is a folder, and nothing is put in its place", "name a file")
    made = make_folders(real.parent)
    try:
        with Folder.at(real.parent) as folder:
            yield folder, real.name
    except BaseException:
        drop_folders(made)
        raise


def make_folders(path: Path) -> list[Path]:
    """Make a folder and those above it; returns those that were missing, the uppermost first."""
    missing = [one for one in (*reversed(path.parents), path) if not one.exists()]
    for number, one in enumerate(missing):
        try:
            one.mkdir(exist_ok=True)
        except BaseException:
            drop_folders(missing[:number])
            raise
    return missing


def drop_folders(made: list[Path]) -> None:
    """Take folders that were made away again, as far as they are empty."""
    for one in reversed(made):
        with suppress(OSError):
            one.rmdir()
