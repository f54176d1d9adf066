"""Files that may be lost at any time, and never are half there: caches.

Belongs here: putting, touching and dropping them by their path below a folder. Does not belong
here: what is kept and for how long. Nothing is flushed to the disk: whoever reads them checks them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from anthocard.disk.folder import Folder

#: How the names of files begin that a dead process left half written.
HALF: Final = ".new-"


def keep(home: Path, path: str, content: bytes) -> None:
    """Put a file in its place below `home`, whole or not at all; raises OSError."""
    home.mkdir(parents=True, exist_ok=True)
    with _folder_of(home, path, make=True) as (folder, name):
        passing = f"{HALF}{os.urandom(8).hex()}"
        try:
            folder.write_new(passing, content, flushed=False)
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
def _folder_of(home: Path, path: str, make: bool = False) -> Iterator[tuple[Folder, str]]:
    *above, name = path.split("/")
    with Folder.at(home) as outer, outer.down(above, make) as folder:
        yield folder, name
