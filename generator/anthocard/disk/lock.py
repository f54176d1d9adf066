"""One process at a time in a folder, for as long as it lives.

Belongs here: taking hold of a folder. Does not belong here: what is done while it is held.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from anthocard.disk.refused import Busy

LOCK: Final = ".anthocard-lock"  # on Windows alone, where it can only go once nobody has it open


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a folder against others who do the same; raises Busy when one does.

    The system lets it go when this process ends, however. Where the file system knows no locks
    nobody is held off.
    """
    handle = _lock(folder)
    try:
        yield
    finally:
        if handle is not None:
            with suppress(OSError):  # all was done or undone: the system lets it go in any case
                os.close(handle)
        if sys.platform == "win32":
            with suppress(OSError):
                (folder / LOCK).unlink()


def _lock(folder: Path) -> int | None:
    if sys.platform == "win32":  # folders cannot be opened there
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT)
    else:
        handle = os.open(folder, os.O_RDONLY)
    try:
        _hold(handle)
    except (BlockingIOError, PermissionError):
        os.close(handle)
        raise Busy(folder) from None
    except OSError:
        os.close(handle)
        return None
    return handle


def _hold(handle: int) -> None:
    """Lock what was opened, or raise: BlockingIOError (PermissionError on Windows) when held."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
