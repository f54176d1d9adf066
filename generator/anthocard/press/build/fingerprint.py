"""Whether what was published still stands for what is written: the way to do nothing, quickly.

Belongs here: the state and the contents of everything a build depends on, and the record of the
last build in `out/.anthocard.json`. Does not belong here: making or swapping anything (plan.py,
disk/).

Asked in two steps. A glance compares the state of every file (size, times, inode) with the
record's and opens none. Where it differs (also because a folder was moved or copied), or where a
file is so young that it may have been written again within the tick of its file system's clock,
contents decide.

The record has a row for every file of the build: its key, a print of its contents, and its inode,
size and time of writing. A file that has all three of them still, or else those contents, is that
file, whatever happened to others: so a record may be old, lost or from before a run that died; it
then knows fewer files, and never a wrong one.

Nothing heavy is imported here: at a hundred recipes Python's own start is most of the time.
"""

from __future__ import annotations

import json
import os
import stat
import sys
import time
from array import array
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from anthocard.digest import digest
from anthocard.guard.reading import bounded
from anthocard.press.store.key import contents_of, files_below, key, own_folders

RECORD = ".anthocard.json"
_HOUSE_FILES = ("house.yaml", "stock.yaml", "lots.yaml")
_HOUSE_FOLDERS = (
    "infusions",
    "solutions",
    "syrups",
    "preparations",
    "drinks",
    "menus",
    "pictures",
    "themes",
)
#: Files younger than this at the last build are read again: the coarsest clock of a file system in
#: use ticks every 2 s (FAT's time of writing; how: memory).
_YOUNG_NS = 2_000_000_000


class Record:
    """What was written down of the build in an `out` folder, as it was when this was made."""

    def __init__(self, out: Path) -> None:
        self._out = out
        self._note, self._rows = _read(out / RECORD)

    def has(self, path: str, key: str) -> bool:
        """Whether the file at a path below `out` is what was made under this key."""
        row = self._rows.get(path)
        return row is not None and row[0] == key and self._stands(path)

    def glance(self, state: str, newest_ns: int) -> int | None:
        """How many files the last build wrote, if nothing at all was touched since; else None.

        Both are told by `sources`. None only means that nobody can tell without reading: ask
        `fingerprint` and `stands`.
        """
        whole = self._note.get("sources") == state and not self._over()
        whole = whole and newest_ns <= self._note["taken"] - _YOUNG_NS
        return len(self._rows) if whole and all(map(self._untouched, self._rows)) else None

    def stands(self, key: str) -> int | None:
        """How many files the last build wrote; None if it had another key or one was changed."""
        whole = self._note.get("key") == key and not self._over()
        return len(self._rows) if whole and all(map(self._stands, self._rows)) else None

    def made(self, path: str) -> str:
        """The print of a file's contents, as it was written down."""
        return str(self._rows[path][1])

    def write_down(self, made: Mapping[str, tuple[str, str]]) -> None:
        """Key and print of what stands now, by path; other rows stay while their file does.

        A record without a key of the whole is no reason to do nothing. Never raises OSError:
        without one the next publish makes what it could have known.
        """
        self._rows = {path: row for path, row in self._rows.items() if self._stands(path)}
        self._rows |= {path: [*how] for path, how in made.items()}
        self._note = {}
        with suppress(OSError):
            self._write()

    def take_note(
        self, key: str, state: str, until: Sequence[str], counts: Mapping[str, int] | None
    ) -> None:
        """Write down what all of it was built from.

        `key` and `state` (the first of `sources`) were taken before anything of the house was read.
        `until` are days, as “2027-01-31”, on which a menu begins or is over: from the next of them
        on it is no build of that day. `counts` are of what is doubtful in it today.
        """
        self._note = {
            "key": key, "sources": state, "day": _today(), "until": [*until], "told": counts,
        }  # fmt: skip
        self._write()

    def renew(self, state: str) -> None:
        """Write down that all of it stands, of which `stands` said so: a glance is enough again."""
        self._note["sources"] = state
        self._write()

    @property
    def counts(self) -> dict[str, int] | None:
        """How much was doubtful in the last build; None on another day: readings grow old."""
        return self._note.get("told") if self._note.get("day") == _today() else None

    def _over(self) -> bool:
        """Whether a day has come since on which other menus are shown."""
        built = self._note.get("day", "")
        return any(built < day <= _today() for day in self._note.get("until", ()))

    def _write(self) -> None:
        from anthocard.disk.atomic_file import write_whole  # not needed by those who only ask

        self._rows = {path: [*row[:2], *self._state(path)] for path, row in self._rows.items()}
        shape = {"note": self._note, "files": self._rows}
        write_whole(self._out / RECORD, json.dumps(shape).encode())

    def _stands(self, path: str) -> bool:
        return self._untouched(path) or self._same(path)

    def _untouched(self, path: str) -> bool:
        state = self._state(path)
        return bool(state) and self._rows[path][2:] == state

    def _same(self, path: str) -> bool:
        with suppress(OSError, ValueError):
            content = bounded(self._out / path, links=False)
            return content is not None and digest(content).hex() == self.made(path)
        return False

    def _state(self, path: str) -> list[int]:
        """Inode, size and time of writing (ns) of a file; empty if there is none."""
        try:
            found = os.lstat(f"{self._out}/{path}")
        except (OSError, ValueError):
            return []
        regular = stat.S_ISREG(found.st_mode)
        return [found.st_ino, found.st_size, found.st_mtime_ns] if regular else []


def forget(out: Path) -> None:
    """Drop the record: every file is made again."""
    from anthocard.disk.atomic_file import drop_own  # not needed by those who only ask

    drop_own(out / RECORD)


def fingerprint(house: Path, words: Sequence[str]) -> str:
    """What a build depends on, in 40 hex digits.

    That is the contents of every file of the house, this code and all it rests on, and `words` (the
    options that matter). Files that cannot be read count as empty: the build itself tells of them.
    """
    return key(*words, *contents_of(_places(house)))


def sources(house: Path, words: Sequence[str]) -> tuple[str, int]:
    """The state of every file a build depends on, with `words` (the options that matter), and when
    the youngest was touched (ns).

    Folders count by what is in them; those where libraries are installed by their own times, which
    change when one comes, goes or is replaced.
    """
    shelves = (path for path in sys.path if path.endswith(("site-packages", "dist-packages")))
    paths, folders = [*(f"{house}/{name}" for name in _HOUSE_FILES), *shelves], [*words]
    for place in (*(house / name for name in _HOUSE_FOLDERS), *own_folders()):
        for folder, below, files in os.walk(place):
            below[:] = sorted(name for name in below if name != "__pycache__")
            folders.append(folder)
            paths += [f"{folder}/{name}" for name in sorted(files)]
    states, newest_ns = array("q"), 0
    for path in paths:
        try:
            found = os.stat(path)  # noqa: PTH116 - this loop is the time to do nothing
        except OSError:
            states.append(-1)
            continue
        written_ns, changed_ns = found.st_mtime_ns, found.st_ctime_ns
        states.extend((found.st_size, written_ns, changed_ns, found.st_ino))
        newest_ns = max(newest_ns, written_ns, changed_ns)
    named = "\0".join(folders + paths).encode(errors="surrogateescape")
    return digest(named + states.tobytes()).hex(), newest_ns


def house_files(house: Path) -> Iterator[Path]:
    """Every file that belongs to a house: its YAML, its recipes and menus, its own themes."""
    return (path for place in _places(house) for path in files_below(place))


def _places(house: Path) -> tuple[Path, ...]:
    return tuple(house / name for name in (*_HOUSE_FILES, *_HOUSE_FOLDERS))


def _today() -> str:
    return time.strftime("%Y-%m-%d")


def _read(record: Path) -> tuple[dict[str, Any], dict[str, list[Any]]]:
    try:
        read = json.loads(bounded(record, links=False) or b"")
        taken_ns = record.stat().st_mtime_ns
        note, rows = read["note"], read["files"]
        sound = all(len(row) == 5 and isinstance(row[1], str) for row in rows.values())
        return ({**note, "taken": taken_ns}, rows) if sound else ({}, {})
    except (OSError, ValueError, RecursionError, KeyError, TypeError, AttributeError):
        return {}, {}
