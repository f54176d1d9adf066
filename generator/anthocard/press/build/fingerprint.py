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
        known = row is not None and row[0] == key
        return known and (self._untouched(path) or self._same(path))

    def glance(self, house: Path, words: Sequence[str]) -> int | None:
        """How many files the last build wrote, if nothing at all was touched since; else None.

        None only means that nobody can tell without reading: ask `fingerprint` and `stands`.
        """
        if self._note.get("words") != list(words) or self._over():
            return None
        if not all(map(self._untouched, self._rows)):
            return None
        state, newest_ns = sources(house)
        if newest_ns > self._note["taken"] - _YOUNG_NS or self._note["sources"] != state:
            return None
        return len(self._rows)

    def stands(self, key: str) -> int | None:
        """How many files the last build wrote; None if it had another key or one was changed."""
        whole = self._note.get("key") == key and not self._over()
        whole = whole and all(self._untouched(path) or self._same(path) for path in self._rows)
        return len(self._rows) if whole else None

    def made(self, path: str) -> str:
        """The print of a file's contents, as it was written down."""
        return str(self._rows[path][1])

    def write_down(self, made: Mapping[str, tuple[str, str]]) -> None:
        """Key and print of what stands now, by path; other rows stay while their file does.

        A record without a key of the whole is no reason to do nothing. Never raises OSError:
        without one the next publish makes what it could have known.
        """
        rows = {path: row for path, row in self._rows.items() if self.has(path, row[0])}
        rows |= {path: [*how, *_state(self._out, path)] for path, how in made.items()}
        self._note, self._rows = {}, rows
        with suppress(OSError):
            self._write()

    def take_note(
        self,
        key: str,
        words: Sequence[str],
        state: str,
        until: Sequence[str] | None = None,
        counts: Mapping[str, int] | None = None,
    ) -> None:
        """Write down what all of it was built from.

        `key` and `state` (the first of `sources`) were taken before anything of the house was read.
        `until` are days, as “2027-01-31”, on which a menu begins or is over: from the next of them
        on it is no build of that day. `counts` are of what is doubtful in it today. None of either
        keeps what was known.
        """
        today = time.strftime("%Y-%m-%d")
        known = self._note.get("until", [])
        coming = known if until is None else [day for day in until if day > today][:1]
        doubtful = self._note.get("told") if counts is None else [today, dict(counts)]
        self._note = {
            "key": key, "words": list(words), "sources": state, "until": coming, "told": doubtful,
        }  # fmt: skip
        self._rows = {
            path: [*row[:2], *_state(self._out, path)] for path, row in self._rows.items()
        }
        self._write()

    @property
    def counts(self) -> dict[str, int] | None:
        """How much was doubtful in the last build; None on another day: readings grow old."""
        day, counts = self._note.get("told") or ("", None)
        return counts if day == time.strftime("%Y-%m-%d") else None

    def _over(self) -> bool:
        """Whether a day has come since on which other menus are shown."""
        until: list[str] = self._note.get("until") or []
        return any(time.strftime("%Y-%m-%d") >= day for day in until)

    def _write(self) -> None:
        from anthocard.disk.atomic_file import write_whole  # not needed by those who only ask

        shape = {"note": self._note, "files": self._rows}
        write_whole(self._out / RECORD, json.dumps(shape).encode())

    def _untouched(self, path: str) -> bool:
        state = _state(self._out, path)
        return bool(state) and self._rows[path][2:] == state

    def _same(self, path: str) -> bool:
        if not _state(self._out, path):
            return False  # nothing, or a link, or a folder
        try:
            content = bounded(self._out / path, links=False)
            return content is not None and digest(content).hex() == self.made(path)
        except OSError:
            return False


def forget(out: Path) -> None:
    """Drop the record: every file is made again."""
    from anthocard.disk.atomic_file import drop_own  # not needed by those who only ask

    drop_own(out / RECORD)


def fingerprint(house: Path, words: Sequence[str]) -> str:
    """What a build depends on, in 40 hex digits.

    That is the contents of every file of the house, this code and all it rests on, and `words` (the
    options that matter). Files that cannot be read count as empty: the build itself tells of them.
    """
    from anthocard.guard.limits import most_of  # neither is needed for a glance
    from anthocard.press.store.key import key

    most = most_of("files", "theme")
    parts: list[object] = [*words]
    for path in house_files(house):
        parts.append(path.relative_to(house).as_posix())
        with suppress(OSError):
            # A film beside the recipes: larger than what is refused, unread, wherever it stands.
            large = path.stat().st_size > most
            parts.append("too large" if large else digest(bounded(path, most) or b""))
    return key(*parts)


def sources(house: Path) -> tuple[str, int]:
    """The state of every file a build depends on, and when the youngest was touched (ns).

    Folders are those of the house, the package and where libraries are installed: such a folder
    changes when one comes, goes or is replaced.
    """
    package = Path(__file__).absolute().parents[2]
    states = bytearray()
    shelves = (path for path in sys.path if path.endswith(("site-packages", "dist-packages")))
    loose = [*(str(house / name) for name in _HOUSE_FILES), *shelves]
    newest_ns = _take_down(loose, None, states)[0]
    below = (*(house / name for name in _HOUSE_FOLDERS), package, package.parents[1] / "themes")
    for folder in below:
        newest_ns = max(newest_ns, _states_below(str(folder), states))
    return digest(bytes(states)).hex(), newest_ns


def house_files(folder: Path) -> Iterator[Path]:
    """Every file that belongs to a house: its YAML, its recipes and menus, its own themes."""
    yield from (folder / name for name in _HOUSE_FILES)
    for name in _HOUSE_FOLDERS:
        found = (path for path in (folder / name).rglob("*") if path.is_file())
        yield from sorted(path for path in found if path.suffix != ".pyc")


def _read(record: Path) -> tuple[dict[str, Any], dict[str, list[Any]]]:
    try:
        read = json.loads(bounded(record, links=False) or b"")
        taken_ns = record.stat().st_mtime_ns
        note, rows = read["note"], read["files"]
        sound = all(len(row) == 5 and isinstance(row[1], str) for row in rows.values())
        return ({**note, "taken": taken_ns}, rows) if sound else ({}, {})
    except (OSError, ValueError, RecursionError, KeyError, TypeError, AttributeError):
        return {}, {}


def _state(out: Path, path: str) -> list[int]:
    """Inode, size and time of writing (ns) of a file; empty if there is none."""
    try:
        found = os.lstat(f"{out}/{path}")
    except (OSError, ValueError):
        return []
    if not stat.S_ISREG(found.st_mode):
        return []
    return [found.st_ino, found.st_size, found.st_mtime_ns]


def _states_below(folder: str, states: bytearray) -> int:
    """Put the state of everything below a folder into `states`; returns the youngest time, ns."""
    states += f"{folder}\0".encode(errors="surrogateescape")
    try:
        found = os.listdir(folder)  # noqa: PTH208 - no Path on this walk
        names = sorted(name for name in found if name != "__pycache__")
        handle = os.open(folder, os.O_RDONLY) if os.stat in os.supports_dir_fd else None
    except OSError:
        return 0
    try:
        paths = names if handle is not None else [f"{folder}/{name}" for name in names]
        newest_ns, deeper = _take_down(paths, handle, states, skip_folders=True)
    finally:
        if handle is not None:
            os.close(handle)
    below = [name if handle is None else f"{folder}/{name}" for name in deeper]
    return max([newest_ns, *(_states_below(path, states) for path in below if not _is_link(path))])


def _take_down(
    paths: list[str], handle: int | None, states: bytearray, skip_folders: bool = False
) -> tuple[int, list[str]]:
    """The youngest time (ns) of some files, and which of them are folders that were skipped.

    This loop is the time that a publish takes to do nothing: no Path, no second look.
    """
    numbers, deeper, newest_ns = array("q"), [], 0
    for path in paths:
        try:
            state = os.stat(path, dir_fd=handle)
        except OSError:
            numbers.append(-1)
            continue
        if skip_folders and stat.S_ISDIR(state.st_mode):
            deeper.append(path)  # it counts by what is in it, not by its own times
            continue
        written_ns, changed_ns = state.st_mtime_ns, state.st_ctime_ns
        numbers.extend((state.st_size, written_ns, changed_ns, state.st_ino))
        newest_ns = max(newest_ns, written_ns, changed_ns)
    states += "\0".join(paths).encode(errors="surrogateescape")
    states += numbers.tobytes()
    return newest_ns, deeper


def _is_link(path: str) -> bool:
    return os.path.islink(path)  # noqa: PTH114 - no Path on this walk
