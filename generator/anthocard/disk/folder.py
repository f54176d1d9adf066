"""Folders held open: what is done in one is done there, whatever a path leads to meanwhile.

Belongs here: the calls of the system that read, make, move and remove one entry of a folder. Does
not belong here: which entries are ours (scratch.py, listing.py) and in which order anything is
done.

A name is one step: no separator, no "..". No link is followed below the folder that was opened. On
systems without handles of folders (Windows) the same is done by paths, after a look.
"""

from __future__ import annotations

import ctypes
import errno
import os
import stat
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

_BY_HANDLE: Final = {os.open, os.stat, os.mkdir, os.rename, os.unlink} <= os.supports_dir_fd
_DIRECTORY: Final = getattr(os, "O_DIRECTORY", 0)
_NO_LINK: Final = getattr(os, "O_NOFOLLOW", 0)
_NO_WAIT: Final = getattr(os, "O_NONBLOCK", 0)  # a pipe in the way is looked at, not waited for
_BINARY: Final = getattr(os, "O_BINARY", 0)
_UNNAMED: Final = getattr(os, "O_TMPFILE", 0)
_CLOSED: Final = -1
_AT_FDCWD, _EXCHANGE = -100, 2  # linux/fcntl.h, linux/fs.h; RENAME_SWAP of macOS is 2 as well
#: What a file system says that has no such thing as what was asked for.
_UNABLE: Final = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}


class Folder:
    """An open folder; `path` only tells where it was found."""

    def __init__(self, path: str, handle: int | None) -> None:
        self.path = path
        self._handle = handle

    @classmethod
    def at(cls, path: Path | str) -> Folder:
        """Open a folder by the path that somebody named: links in it are theirs to set."""
        handle = os.open(path, os.O_RDONLY | _DIRECTORY) if _BY_HANDLE else None
        return cls(str(path), handle)

    def below(self, name: str, make: bool = False) -> Folder:
        """Open a folder in this one, made if need be. A link is none: raises OSError."""
        path = f"{self.path}/{_step(name)}"
        if make:
            with suppress(FileExistsError):
                self.mkdir(name)
        if _BY_HANDLE:
            return Folder(path, os.open(name, os.O_RDONLY | _DIRECTORY | _NO_LINK,
                                        dir_fd=self._handle))  # fmt: skip
        state = self.state(name)
        if state is None or not stat.S_ISDIR(state.st_mode):
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), path)
        return Folder(path, None)

    def down(self, names: Iterable[str], make: bool = False) -> Folder:
        """Open a folder some steps below; with no steps, this one once more."""
        at = Folder(self.path, os.dup(self._handle) if self._handle is not None else None)
        for name in names:
            with at:
                at = at.below(name, make)
        return at

    def close(self) -> None:
        """Let it go: nothing can be done in it any more."""
        handle, self._handle = self._handle, None if self._handle is None else _CLOSED
        if handle not in (None, _CLOSED):
            with suppress(OSError):  # nothing was written through it that could be lost
                os.close(handle)

    def __enter__(self) -> Folder:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()

    def state(self, name: str) -> os.stat_result | None:
        """The state of an entry itself, link or not; None if there is none."""
        try:
            return os.stat(self._at(name), dir_fd=self._handle, follow_symlinks=False)
        except FileNotFoundError:
            return None

    def entries(self) -> list[os.DirEntry[str]]:
        """Everything in this folder."""
        with os.scandir(self._handle if self._handle is not None else self.path) as found:
            return list(found)

    def read(self, name: str) -> bytes | None:
        """The bytes of a file; None where there is no regular file of that name."""
        flags = os.O_RDONLY | _NO_LINK | _NO_WAIT | _BINARY
        try:
            handle = os.open(self._at(name), flags, dir_fd=self._handle)
        except FileNotFoundError:
            return None
        except OSError as error:
            if error.errno in (errno.ELOOP, errno.EMLINK, errno.ENXIO):  # a link; a pipe or socket
                return None
            raise
        with os.fdopen(handle, "rb", buffering=0) as file:
            return file.read() if stat.S_ISREG(os.fstat(handle).st_mode) else None

    def write_new(
        self,
        name: str,
        content: bytes,
        like: os.stat_result | None = None,
        flushed: bool = True,
        unnamed: bool = False,
    ) -> None:
        """Make a file that is not there yet; raises FileExistsError.

        `like` is a file (or the folder) whose mode, and owner and group where that is allowed, it
        takes over. `flushed`: to the disk. `unnamed`: it gets its name when it is complete, where
        the system can do that.
        """
        at = self._at(name)
        mode = 0o666 if like is None else 0o600
        handle = self._unnamed(mode) if unnamed else None
        named = handle is None
        if handle is None:
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _NO_LINK | _BINARY
            handle = os.open(at, flags, mode, dir_fd=self._handle)
        try:
            if like is not None:
                _dress(handle, like)
            _fill(handle, content)
            if flushed:
                os.fsync(handle)
            if not named:
                os.link(f"/proc/self/fd/{handle}", at, dst_dir_fd=self._handle)
        finally:
            os.close(handle)

    def _unnamed(self, mode: int) -> int | None:
        if not _UNNAMED or self._handle is None or not os.path.isdir("/proc/self/fd"):  # noqa: PTH112
            return None
        try:
            return os.open(".", os.O_WRONLY | _UNNAMED, mode, dir_fd=self._handle)
        except OSError as error:
            if error.errno in _UNABLE or error.errno == errno.EISDIR:
                return None
            raise

    def mkdir(self, name: str, mode: int = 0o777) -> None:
        """Make a folder; raises FileExistsError."""
        os.mkdir(self._at(name), mode, dir_fd=self._handle)

    def link(self, name: str, to: Folder, new: str) -> None:
        """Give a file of this folder a second name; raises FileExistsError, and OSError where the
        file system has no such thing.
        """
        os.link(
            self._at(name), to._at(new), src_dir_fd=self._handle, dst_dir_fd=to._handle,
            follow_symlinks=False,
        )  # fmt: skip

    def rename(self, name: str, to: Folder, new: str) -> None:
        """Move an entry, over a file (or an empty folder) that has that name."""
        os.replace(
            self._at(name), to._at(new), src_dir_fd=self._handle, dst_dir_fd=to._handle
        )  # fmt: skip

    def move_new(self, name: str, to: Folder, new: str) -> None:
        """Move a file to where nothing stands; raises FileExistsError.

        Stopped in the middle it has both names; then the same call again finishes.
        """
        try:
            self.link(name, to, new)
        except FileExistsError:
            mine, theirs = self.state(name), to.state(new)
            if mine is None or theirs is None or not os.path.samestat(mine, theirs):
                raise
        except OSError:
            if to.state(new) is not None:
                raise FileExistsError(
                    errno.EEXIST, os.strerror(errno.EEXIST), f"{to.path}/{new}"
                ) from None
            self.rename(name, to, new)
            return
        self.unlink(name)

    def exchange(self, name: str, to: Folder, other: str) -> bool:
        """Let two entries change places in one step; False where the system cannot."""
        libc: Any = ctypes.CDLL(None, use_errno=True) if os.name == "posix" else None
        one, two = (os.fsencode(f._at(n)) for f, n in ((self, name), (to, other)))
        here, there = (
            _AT_FDCWD if f._handle is None else f._handle for f in (self, to)
        )  # fmt: skip
        if hasattr(libc, "renameat2"):
            failed = libc.renameat2(here, one, there, two, _EXCHANGE)
        elif hasattr(libc, "renameatx_np"):
            failed = libc.renameatx_np(here, one, there, two, _EXCHANGE)
        else:
            return False
        if failed and ctypes.get_errno() not in _UNABLE:
            code = ctypes.get_errno()
            raise OSError(code, os.strerror(code), f"{to.path}/{other}")
        return not failed

    def unlink(self, name: str) -> None:
        """Remove one name of a file, if it is there."""
        with suppress(FileNotFoundError):
            os.unlink(self._at(name), dir_fd=self._handle)

    def touch(self, name: str) -> None:
        """Set a file's time of writing to now."""
        follow = os.utime not in os.supports_follow_symlinks
        os.utime(self._at(name), dir_fd=self._handle, follow_symlinks=follow)

    def rmdir(self, name: str) -> None:
        """Remove an empty folder."""
        os.rmdir(self._at(name), dir_fd=self._handle)

    def empty(self, but: str = "") -> None:
        """Remove everything in this folder, which must be ours as a whole; links lead nowhere."""
        for entry in self.entries():
            if entry.name == but:
                continue
            if entry.is_dir(follow_symlinks=False):
                with self.below(entry.name) as inner:
                    inner.empty()
                self.rmdir(entry.name)
            else:
                self.unlink(entry.name)

    def dress(self, like: os.stat_result) -> None:
        """Give this folder the mode, and where allowed owner and group, of another."""
        if self._handle is not None:
            _dress(self._handle, like)

    def flush(self) -> None:
        """Its own entries to the disk; a system that cannot is trusted."""
        if self._handle is not None:
            os.fsync(self._handle)

    def _at(self, name: str) -> str:
        return _step(name) if self._handle is not None else f"{self.path}/{_step(name)}"


def _fill(handle: int, content: bytes) -> None:
    left = memoryview(content)
    while left:
        left = left[os.write(handle, left) :]


def _dress(handle: int, like: os.stat_result) -> None:
    own, mode = os.fstat(handle), stat.S_IMODE(like.st_mode)
    if hasattr(os, "fchown") and (own.st_uid, own.st_gid) != (like.st_uid, like.st_gid):
        try:
            os.fchown(handle, like.st_uid, like.st_gid)
        except OSError:  # only an owner of all may give away; a group one is in may have it
            with suppress(OSError):
                os.fchown(handle, -1, like.st_gid)
    if stat.S_ISDIR(like.st_mode) and not stat.S_ISDIR(own.st_mode):
        mode &= 0o666
    if hasattr(os, "fchmod"):
        os.fchmod(handle, mode)


def _step(name: str) -> str:
    if name in ("", ".", "..") or "/" in name or "\0" in name or (os.sep != "/" and os.sep in name):
        raise ValueError(f"“{name}” is not one step down")
    return name
