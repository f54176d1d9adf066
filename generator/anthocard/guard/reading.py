"""Reading a file that strangers may have put there: no pipe is waited for, no film read whole.

Belongs here: that, and nothing that takes long to import: a publish with nothing to do asks it.
Does not belong here: how much is too much (limits.yaml).
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

_NO_WAIT = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)


def bounded(path: Path | str, most: int | None = None, links: bool = True) -> bytes | None:
    """A file, and of one larger than `most` bytes no more than tells that it is; None for what is
    none (a pipe is not waited for), or for a link if `links` are not to be followed.

    Raises OSError.
    """
    try:
        handle = os.open(path, os.O_RDONLY | _NO_WAIT | (0 if links else _NO_LINK))
    except FileNotFoundError:
        raise
    except OSError:
        if not links and os.path.islink(path):  # noqa: PTH114 - asked before anything is imported
            return None
        raise
    with open(handle, "rb", buffering=0) as file:  # noqa: PTH123 - opened, once it is known
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return None
        left, parts = most, []
        while part := file.read(-1 if left is None else left + 1):
            parts.append(part)
            if left is not None:
                left -= len(part)
                if left < 0:
                    break
        return b"".join(parts)
