"""Which files of the last build are known without reading them, by the key of what they show.

Belongs here: the register in `out/.anthocard-made.json` and whether a file is still the one in it.
Does not belong here: keys (keeper.py), writing or linking files (swap.py), whether anything changed
at all (unchanged.py).

A row tells under which key a file was made, and its inode, size and time of writing. A file that
has all of them still is that file, whatever happened to others, so the register may be old, lost
or from before a run that died: it then knows fewer files, and never a wrong one.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from anthocard.press.build.swap import write_whole

REGISTER: Final = ".anthocard-made.json"


class Standing:
    """The register of one `out` folder, as it was when this was made."""

    def __init__(self, out: Path) -> None:
        self._out = out
        self._rows = _read(out / REGISTER)

    def has(self, path: str, key: str) -> bool:
        """Whether the file at a path below `out` is what was made under this key."""
        state = _state(self._out, path)
        return bool(state) and self._rows.get(path) == [key, *state]

    def register(self, keys: Mapping[str, str]) -> None:
        """Write down what stands now, by path; other rows stay for as long as their file does.

        Never raises OSError: without a register the next publish reads what it could have known.
        """
        rows = {path: row for path, row in self._rows.items() if self.has(path, row[0])}
        rows |= {path: [key, *_state(self._out, path)] for path, key in keys.items()}
        with suppress(OSError):
            write_whole(self._out / REGISTER, json.dumps(rows).encode())


def forget(out: Path) -> None:
    """Drop the register: every file is read or made again."""
    (out / REGISTER).unlink(missing_ok=True)


def _read(register: Path) -> dict[str, list[Any]]:
    try:
        rows = json.loads(register.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    sound = isinstance(rows, dict) and all(isinstance(r, list) and r for r in rows.values())
    return rows if sound else {}


def _state(out: Path, path: str) -> list[int]:
    """Inode, size and time of writing (ns) of a file; empty if there is none."""
    try:
        found = os.lstat(f"{out}/{path}")
    except (OSError, ValueError):
        return []
    if not stat.S_ISREG(found.st_mode):
        return []
    return [found.st_ino, found.st_size, found.st_mtime_ns]
