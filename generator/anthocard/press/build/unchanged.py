"""Whether what was published still stands for what is written: the way to do nothing, quickly.

Belongs here: the fingerprint of everything a build depends on, and the note of the last build in
`out/.anthocard.json`. Does not belong here: making or swapping anything (site.py, swap.py).

Asked in two steps. A glance compares the state of every file (size, times, inode) with the note's
and opens none. Where it differs, or where a file is so young that it may have been written again
within the tick of its file system's clock, a fingerprint of all the contents decides.

Nothing heavy is imported here: at a hundred recipes Python's own start is most of the time.
"""

from __future__ import annotations

import json
import os
import signal
import stat
import sys
from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache, partial
from hashlib import blake2b
from pathlib import Path
from typing import Any

NOTE = ".anthocard.json"
#: What sets the type: another version may break lines elsewhere.
_LIBRARIES = ("weasyprint", "jinja2", "markdown", "nh3", "numpy", "babel", "pillow", "fonttools")
_HOUSE_FILES = ("house.yaml", "stock.yaml")
_HOUSE_FOLDERS = ("infusions", "solutions", "syrups", "drinks", "menus", "themes")
_BUILT = ("guest", "staff")
#: Files younger than this at the last build are read again: the coarsest clock of a file system in
#: use ticks every 2 s (FAT's time of writing; how: memory).
_YOUNG_NS = 2_000_000_000
#: Files of a build from which two processes look at them sooner than one. Chosen.
_MANY = 5000


def glance(out: Path, house: Path, words: Sequence[str]) -> int | None:
    """How many files the last build wrote, if nothing at all was touched since; else None.

    None only means that nobody can tell without reading: ask `fingerprint` and `still_stands`.
    """
    note = _noted(out)
    if note is None or note.get("words") != list(words):
        return None
    try:
        count = int(note["count"])
        with _meanwhile(partial(_built, out), count >= _MANY) as built:
            taken_ns = (out / NOTE).stat().st_mtime_ns
            state, newest_ns = sources(house)
            if newest_ns > taken_ns - _YOUNG_NS or note["sources"] != state:
                return None
            return count if note["built"] == built() else None
    except (OSError, KeyError, TypeError, ValueError):
        return None


def fingerprint(house: Path, words: Sequence[str]) -> str:
    """What a build depends on, in 32 hex digits.

    That is the contents of every file of the house, of the themes and of this package, the
    versions of the libraries that set type, and `words` (the options that matter). Files that
    cannot be read count as empty: the build itself tells of them.
    """
    digest = blake2b(digest_size=16)
    for word in (*words, own_print()):
        digest.update(f"{word}\0".encode())
    _put_in(digest, house_files(house), house)
    return digest.hexdigest()


@cache
def own_print() -> str:
    """This package with its themes, and the libraries below it that show, in 32 hex digits."""
    from importlib.metadata import version

    digest = blake2b(sys.version.encode(), digest_size=16)
    for name in _LIBRARIES:
        digest.update(f"{name} {version(name)}\0".encode())
    for folder in _own_folders():
        _put_in(digest, _below(Path(folder)), Path(folder))
    return digest.hexdigest()


def still_stands(out: Path, key: str) -> int | None:
    """How many files the last build wrote; None if it had another key or one was touched since."""
    note = _noted(out)
    try:
        if note is None or note["key"] != key or note["built"] != _built(out):
            return None
        return int(note["count"])
    except (OSError, KeyError, TypeError, ValueError):
        return None


def take_note(out: Path, key: str, words: Sequence[str], state: str, count: int) -> None:
    """Write down what was built; a build without a note is simply made again.

    `key` and `state` (the first of `sources`) were taken before anything of the house was read.
    """
    from anthocard.press.build.swap import write_whole  # not needed by those who only ask

    note = {"key": key, "words": list(words), "sources": state, "count": count}
    write_whole(out / NOTE, json.dumps({**note, "built": _built(out)}).encode())


def forget(out: Path) -> None:
    """Drop the note: what comes next is not known to be whole."""
    (out / NOTE).unlink(missing_ok=True)


def sources(house: Path) -> tuple[str, int]:
    """The state of every file a build depends on, and when the youngest was touched (ns)."""
    digest = blake2b(digest_size=16)
    loose = [*(str(house / name) for name in _HOUSE_FILES), *_shelves()]
    newest_ns = _take_down(loose, None, digest)[0]
    for folder in (*(str(house / name) for name in _HOUSE_FOLDERS), *_own_folders()):
        newest_ns = max(newest_ns, _look_over(folder, digest))
    return digest.hexdigest(), newest_ns


def house_files(folder: Path) -> Iterator[Path]:
    """Every file that belongs to a house: its YAML, its recipes and menus, its own themes."""
    yield from (folder / name for name in _HOUSE_FILES)
    yield from (path for name in _HOUSE_FOLDERS for path in _below(folder / name))


def _put_in(digest: blake2b, paths: Iterable[Path], below: Path) -> None:
    """Names and contents; not where it lies, so that another checkout has the same print."""
    for path in paths:
        digest.update(f"{path.relative_to(below)}\0".encode(errors="surrogateescape"))
        try:
            digest.update(blake2b(path.read_bytes()).digest())
        except OSError:
            digest.update(b"\0")


def _noted(out: Path) -> dict[str, Any] | None:
    try:
        note = json.loads((out / NOTE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return note if isinstance(note, dict) else None


@contextmanager
def _meanwhile(ask: Callable[[], str], worth_it: bool) -> Iterator[Callable[[], str]]:
    """What tells what `ask` does, where a copy of this process asked while this one went on.

    Half the time of a glance at a big house: most of it is the system's own, file by file. Where
    there are no copies, or where it died, this process asks itself.
    """
    if not worth_it or not hasattr(os, "fork"):
        yield ask
        return
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.write(writing, ask().encode())
        finally:
            os._exit(0)
    os.close(writing)
    try:
        yield lambda: os.read(reading, 1000).decode() or ask()
    finally:
        os.close(reading)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def _built(out: Path) -> str:
    digest = blake2b(digest_size=16)
    for name in _BUILT:
        _look_over(str(out / name), digest)
    return digest.hexdigest()


def _look_over(folder: str, digest: blake2b) -> int:
    """Put the state of everything below a folder into `digest`; returns the youngest time, ns."""
    digest.update(f"{folder}\0".encode(errors="surrogateescape"))
    try:
        found = os.listdir(folder)  # noqa: PTH208 - no Path on this walk
        names = sorted(name for name in found if name != "__pycache__")
        handle = os.open(folder, os.O_RDONLY) if os.stat in os.supports_dir_fd else None
    except OSError:
        return 0
    try:
        paths = names if handle is not None else [f"{folder}/{name}" for name in names]
        newest_ns, deeper = _take_down(paths, handle, digest, skip_folders=True)
    finally:
        if handle is not None:
            os.close(handle)
    below = [name if handle is None else f"{folder}/{name}" for name in deeper]
    return max([newest_ns, *(_look_over(path, digest) for path in below if not _is_link(path))])


def _take_down(
    paths: list[str], handle: int | None, digest: blake2b, skip_folders: bool = False
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
    digest.update("\0".join(paths).encode(errors="surrogateescape"))
    digest.update(numbers.tobytes())
    return newest_ns, deeper


def _is_link(path: str) -> bool:
    return os.path.islink(path)  # noqa: PTH114 - no Path on this walk


def _own_folders() -> tuple[str, ...]:
    """This package, and the themes that lie beside it in a checkout."""
    package = str(Path(__file__).absolute().parents[2])
    beside = str(Path(package).parents[1] / "themes")
    return package, beside


def _shelves() -> Iterator[str]:
    """Where libraries are installed: such a folder changes when one comes or goes."""
    return (path for path in sys.path if path.endswith(("site-packages", "dist-packages")))


def _below(folder: Path) -> Iterator[Path]:
    found = (path for path in folder.rglob("*") if path.is_file())
    return iter(sorted(path for path in found if path.suffix != ".pyc"))
