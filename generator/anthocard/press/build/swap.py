"""Putting finished folders in the place of the last ones, whole, whatever happens meanwhile.

Belongs here: the scratch folder, writing that survives a power cut, one publish at a time, the
swap, and mending after a death in the middle of it. Does not belong here: what is written.

The order that keeps it whole:
  1. one process holds the lock on `out`; the system lets it go when that process ends, however;
  2. everything is written beside `out` and flushed to the disk;
  3. a journal in `out` names the scratch folder and what is to move: from here on, forwards;
  4. each folder changes places with its forerunner in one step, where the system has such a step;
  5. the journal goes, then the scratch folder.
A process that dies before 3 leaves the old build and some rubbish; after 3, the next publish
finishes what was begun. An error (and Ctrl-C) undoes 4 at once.
"""

from __future__ import annotations

import ctypes
import errno
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

JOURNAL: Final = ".anthocard-swap"
LOCK: Final = ".anthocard-lock"  # on Windows alone, where it can only go once nobody has it open
_AT_FDCWD, _EXCHANGE = -100, 2  # linux/fcntl.h, linux/fs.h; RENAME_SWAP of macOS is 2 as well
_NEW, _OLD = "new", "old"


class Busy(Exception):  # noqa: N818 - nobody's error
    """Another publish is writing to the same folder."""

    exit_code = 4

    def __init__(self, out: Path) -> None:
        super().__init__(
            f"{out}: another publish is writing here\n"
            "   = mend: wait until it is done, or name another folder with --out\n"
            "Nothing was written by this one."
        )


@contextmanager
def alone(out: Path) -> Iterator[None]:
    """Hold `out` (made if need be) against any other publish; raises Busy when one is at work.

    What a dead one left half done is finished first.
    """
    made = not out.exists()
    out.mkdir(parents=True, exist_ok=True)
    handle = _lock(out)
    try:
        mend(out)
        yield
    finally:
        if handle is not None:
            os.close(handle)
        if sys.platform == "win32":
            with suppress(OSError):
                (out / LOCK).unlink()
        if made:
            with suppress(OSError):
                out.rmdir()  # only if nothing came of it


class Scratch:
    """A folder beside `out` where the next build grows."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.folder = Path(tempfile.mkdtemp(prefix=_prefix(out), dir=_beside(out)))
        self._made: dict[str, Path] = {}

    def write(self, path: str, content: bytes) -> None:
        """One file, flushed to the disk; raises OSError (a full disk shows itself here)."""
        target = self._place(path)
        if not _same_again(self.out / path, target, content):
            _write(target, content)

    def take_over(self, path: str) -> bool:
        """Let a file that stands stand in this build too, unread; False where it must be made."""
        target = self._place(path)
        try:
            os.link(f"{self.out}/{path}", target, follow_symlinks=False)
        except OSError:  # gone meanwhile, or a file system without links
            return False
        return True

    def read(self, path: str) -> bytes:
        """One file as it was written."""
        return (self.folder / _NEW / path).read_bytes()

    def keep(self, folders: Sequence[str]) -> None:
        """Start from what stands: files that are not made again stay."""
        for folder in folders:
            if (self.out / folder).is_dir():
                shutil.copytree(
                    self.out / folder, self.folder / _NEW / folder, copy_function=_link_or_copy
                )

    def swap_in(self, folders: Sequence[str]) -> None:
        """Put every folder that was made in its place; on an error all of them are as before."""
        new = self.folder / _NEW
        made = [name for name in folders if (new / name).is_dir()]
        for place in (new, *(p for name in made for p in _folders_in(new / name))):
            _flush(place)
        inodes = {name: (new / name).stat().st_ino for name in made}
        journal = {"scratch": self.folder.name, "folders": inodes}
        done: list[str] = []
        try:
            write_whole(self.out / JOURNAL, json.dumps(journal).encode())
            for name in made:
                done.append(name)
                _put(self.folder, name, self.out)
            _flush(self.out)
        except BaseException:
            for name in reversed(done):
                _take_back(self.folder, name, self.out, inodes[name])
            (self.out / JOURNAL).unlink(missing_ok=True)
            raise
        (self.out / JOURNAL).unlink()

    def _place(self, path: str) -> Path:
        """Where a file is to be, with nothing there yet."""
        folder, _, name = path.rpartition("/")
        if folder not in self._made:
            self._made[folder] = self.folder / _NEW / folder
            self._made[folder].mkdir(parents=True, exist_ok=True)
        target = self._made[folder] / name
        target.unlink(missing_ok=True)
        return target

    def discard(self) -> None:
        """Drop it, unless a journal still needs it."""
        if not (self.out / JOURNAL).exists():
            shutil.rmtree(self.folder, ignore_errors=True)


@contextmanager
def scratch_beside(out: Path) -> Iterator[Scratch]:
    """A Scratch that is gone at the end."""
    scratch = Scratch(out)
    try:
        yield scratch
    finally:
        scratch.discard()


def write_whole(path: Path, content: bytes) -> None:
    """Put a file in the place of another in one step, flushed to the disk."""
    scratch = path.with_name(f"{path.name}.new")
    try:
        _write(scratch, content)
        scratch.replace(path)
    except BaseException:
        with suppress(OSError):
            scratch.unlink(missing_ok=True)
        raise
    _flush(path.parent)


def mend(out: Path) -> None:
    """Finish the swap of a publish that died in it, and clear away what dead ones left."""
    beside = _beside(out)
    try:
        journal = json.loads((out / JOURNAL).read_bytes())
        scratch, folders = beside / Path(str(journal["scratch"])).name, dict(journal["folders"])
    except (OSError, ValueError, KeyError, TypeError):
        scratch, folders = beside, {}
    for name, inode in folders.items():
        if not _is(out / name, inode) and (scratch / _NEW / name).is_dir():
            _put(scratch, name, out)
    _flush(out)
    (out / JOURNAL).unlink(missing_ok=True)
    for rubbish in beside.glob(f"{_prefix(out)}*"):
        shutil.rmtree(rubbish, ignore_errors=True)


def _prefix(out: Path) -> str:
    return f".{out.resolve().name}-scratch-"


def _beside(out: Path) -> Path:
    """Where scratch folders lie: beside `out`, or in it where that is no place for them."""
    parent = out.resolve().parent
    one_disk = parent.stat().st_dev == out.stat().st_dev
    return parent if one_disk and os.access(parent, os.W_OK) else out.resolve()


def _put(scratch: Path, name: str, out: Path) -> None:
    """One folder of `scratch/new` into `out`; what stood there is in the scratch folder then."""
    new, old, place = scratch / _NEW / name, scratch / _OLD / name, out / name
    if not place.exists():
        new.rename(place)
    elif not _exchange(new, place):
        old.parent.mkdir(exist_ok=True)
        place.rename(old)
        new.rename(place)


def _take_back(scratch: Path, name: str, out: Path, inode: int) -> None:
    """Undo as much of `_put` as was done."""
    new, old, place = scratch / _NEW / name, scratch / _OLD / name, out / name
    if _is(place, inode):
        if new.exists():
            _exchange(new, place)
        else:
            place.rename(new)
    if old.exists():
        old.rename(place)


def _is(place: Path, inode: int) -> bool:
    return place.exists() and place.stat().st_ino == inode


def _exchange(one: Path, other: Path) -> bool:
    """Let two folders change places in one step; False where the system cannot."""
    libc: Any = ctypes.CDLL(None, use_errno=True) if os.name == "posix" else None
    names = os.fsencode(one), os.fsencode(other)
    if hasattr(libc, "renameat2"):
        failed = libc.renameat2(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _EXCHANGE)
    elif hasattr(libc, "renamex_np"):
        failed = libc.renamex_np(*names, _EXCHANGE)
    else:
        return False
    if failed and ctypes.get_errno() not in (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP):
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()), str(other))
    return not failed


def _same_again(standing: Path, target: Path, content: bytes) -> bool:
    """Let a file that stands with this very content stand in the next build too, on disk once."""
    try:
        if standing.is_symlink() or standing.read_bytes() != content:
            return False
        os.link(standing, target)
    except OSError:  # not there, or a file system without links: it is written
        return False
    return True


def _link_or_copy(standing: str, target: str) -> None:
    try:
        os.link(standing, target, follow_symlinks=False)
    except OSError:
        shutil.copy2(standing, target)


def _write(path: Path, content: bytes) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
    try:
        left = memoryview(content)
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def _flush(folder: Path) -> None:
    """A folder's own entries to the disk; a system that cannot is trusted."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _folders_in(folder: Path) -> Iterator[Path]:
    yield folder
    yield from (path for path in folder.rglob("*") if path.is_dir())


def _lock(out: Path) -> int | None:
    """A hold on `out` that ends with the process; None where the file system knows no locks."""
    if sys.platform == "win32":  # folders cannot be opened there
        handle = os.open(out / LOCK, os.O_RDWR | os.O_CREAT)
    else:
        handle = os.open(out, os.O_RDONLY)
    try:
        _hold(handle)
    except (BlockingIOError, PermissionError):
        os.close(handle)
        raise Busy(out) from None
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
