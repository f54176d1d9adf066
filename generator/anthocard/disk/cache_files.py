"""Files that may be lost at any time, and never are half there: caches, and whose they are.

Belongs here: putting, touching and dropping them by their path below a folder; a folder and a
secret that are this user's alone. Does not belong here: what is kept and for how long. Nothing is
flushed to the disk: whoever reads them checks them.

Whoever may look into a folder may read what is put there: it takes over the folder's mode and
group, whatever the habits (umask) of the one who puts it.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from anthocard.disk.folder import Folder

#: How the names of files begin that a dead process left half written.
HALF: Final = ".new-"
_SECRET: Final = "key"
_SECRET_BYTES: Final = 32


def own_folder(folder: Path) -> os.stat_result:
    """A folder that only this user can look into, made if need be, narrowed if it only could be
    read. Raises OSError, which says why and how to mend it where others may have put something
    there.
    """
    folder.parent.mkdir(parents=True, exist_ok=True)
    with suppress(FileExistsError):
        folder.mkdir(mode=0o700)
    state = folder.lstat()
    if not stat.S_ISDIR(state.st_mode):
        raise OSError(errno.ENOTDIR, "this is no folder: move it away", str(folder))
    if hasattr(os, "geteuid"):
        if state.st_uid != os.geteuid():
            raise OSError(errno.EPERM, "this belongs to somebody else: move it away", str(folder))
        if state.st_mode & 0o022:
            mend = f"others may write here: look into it, then chmod 700 {folder}"
            raise OSError(errno.EPERM, mend, str(folder))
        if state.st_mode & 0o077:
            folder.chmod(0o700)
    return state


def own_secret(folder: Path) -> bytes:
    """Bytes that only this user knows, made at the first call. Raises as `own_folder` does."""
    own = own_folder(folder)
    for _ in range(2):  # another process may make it at this very moment
        with Folder.at(folder) as home, suppress(FileExistsError):
            state, found = home.state(_SECRET), home.read(_SECRET) or b""
            if state is not None and len(found) == _SECRET_BYTES and state.st_uid == own.st_uid:
                return found
            home.unlink(_SECRET)
            home.write_new(_SECRET, os.urandom(_SECRET_BYTES), own, unnamed=True)
    raise OSError(errno.EBUSY, "the secret of this user is not to be had", str(folder / _SECRET))


def write_entry(home: Path, path: str, content: bytes) -> None:
    """Put a file in its place below `home`, whole or not at all; raises OSError."""
    home.mkdir(parents=True, exist_ok=True)
    like = home.stat()
    with _folder_of(home, path, like) as (folder, name):
        passing = f"{HALF}{os.urandom(8).hex()}"
        try:
            folder.write_new(passing, content, like, flushed=False)
            folder.rename(passing, folder, name)
        except BaseException:
            with suppress(OSError):
                folder.unlink(passing)
            raise


def touch(home: Path, path: str) -> None:
    """Set a file's time of writing to now; raises OSError."""
    with _folder_of(home, path) as (folder, name):
        folder.touch(name)


def drop(home: Path, path: str) -> None:
    """Remove a file, if it is there; raises OSError."""
    with _folder_of(home, path) as (folder, name):
        folder.unlink(name)


@contextmanager
def _folder_of(
    home: Path, path: str, like: os.stat_result | None = None
) -> Iterator[tuple[Folder, str]]:
    """The folder a file lies in, made `like` another where it is missing; and its name there."""
    *above, name = path.split("/")
    with Folder.at(home) as outer:
        if above and like is not None and outer.state(above[0]) is None:
            with outer.below(above[0], make=True) as made:
                made.dress(like)
        with outer.down(above) as folder:
            yield folder, name
