"""Bytes by key, kept between runs: get, put, shrink.

Belongs here: keeping bytes whole, and letting go of what is long unused. Does not belong here: what
a key is made of (key.py), what the bytes mean.

As a key tells all that its bytes are made from, a folder may serve many houses, themes and machines
at once, and may be deleted at any time. Each entry carries a code that only who has the secret can
make (keyed BLAKE2b, RFC 7693): what is damaged, altered, or put there by others counts as not
there. The secret is this user's own on this machine, or a key that those who share a folder have.

When an entry was used last is the file's own time of writing, set anew by a `get` when it is more
than a day off: a run that finds everything writes next to nothing. Times ahead of this machine's
clock count by how far off they are, like times behind it, so that a clock that was put back keeps
nothing for ever.
"""

from __future__ import annotations

import contextlib
import hmac
import os
import re
import stat
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from anthocard.digest import digest
from anthocard.disk.cache_files import HALF, drop, own_secret, touch, write_entry

#: The most that this user's own folder holds after a publish, in MB. Chosen: five houses of 1,000
#: recipes (a recipe takes 0.4 MB of papers and pages and 0.03 MB of figures; measured).
USUAL_MB: Final = 2150
#: Chosen: how exactly it is known when an entry was used, and how long another machine may take to
#: write one.
_DAY_S: Final = 86_400.0
_CODE_BYTES: Final = 32
#: The largest entry that is read or written; chosen: ten times a volume of a spec book.
_MOST_BYTES: Final = 512_000_000
_NO_LINK: Final = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
_BINARY: Final = getattr(os, "O_BINARY", 0)


class Store:
    """A folder of bytes by key; `used` are the keys of what was got from it or put into it.

    Nothing here ever raises: a store may only make things faster. Other processes and machines may
    read, write and shrink the same folder meanwhile: what vanishes is not there, no more. Without a
    `secret` it is this user's own; where there is none to be had, nothing is read or kept.
    """

    def __init__(self, folder: Path, secret: bytes | None = None) -> None:
        self.folder = folder
        self.used: set[str] = set()
        self._refused: set[str] = set()
        self._distrusted = ""
        try:
            self._secret = secret or own_secret(usual_folder().parent)
        except OSError as why:
            self._secret = b""
            self._distrusted = f"Nothing is kept: {why.filename or self.folder}: {why.strerror}."

    @property
    def notices(self) -> tuple[str, ...]:
        """What there is to say of entries that were not used, in whole sentences."""
        if self._distrusted or not self._refused:
            return tuple(filter(None, [self._distrusted]))
        many = len(self._refused) > 1
        what = f"{len(self._refused)} entries of" if many else "One entry of"
        verb, they = ("were", "They are") if many else ("was", "It is")
        why = f"made with another key, or altered since. {they} made again"
        return (f"{what} {self.folder} {verb} not used: {why}.",)

    def get(self, key: str) -> bytes | None:
        """What is kept under a key; None if nothing is, or if it is not what was put there.

        Of a link, a pipe, or what is too large nothing is read.
        """
        if not self._secret:
            return None
        try:
            handle = os.open(f"{self.folder}/{_below(key)}", os.O_RDONLY | _NO_LINK | _BINARY)
            with open(handle, "rb", buffering=0) as file:  # noqa: PTH123 - opened, and no link
                state = os.fstat(handle)
                regular = stat.S_ISREG(state.st_mode) and state.st_size <= _MOST_BYTES
                entry = file.read() if regular else b""
        except OSError:
            return None
        code, content = entry[:_CODE_BYTES], entry[_CODE_BYTES:]
        if not hmac.compare_digest(code, self._code(key, content)):
            self._refused.add(key)
            return None
        self.used.add(key)
        if abs(time.time() - state.st_mtime) > _DAY_S:
            with contextlib.suppress(OSError):  # another's file, or gone: as good as unused
                touch(self.folder, _below(key))
        return content

    def put(self, key: str, content: bytes) -> bool:
        """Keep some bytes, whole or not at all; False if this folder cannot take them."""
        if not self._secret or len(content) > _MOST_BYTES - _CODE_BYTES:
            return False
        try:
            write_entry(self.folder, _below(key), self._code(key, content) + content)
        except OSError:
            return False
        self.used.add(key)
        return True

    def take_in(self, other: Store) -> int:
        """Gather what another folder holds whole; returns how much of it was new here."""
        new = 0
        for key in other:
            content = other.get(key)
            if content is not None and self.get(key) is None and self.put(key, content):
                new += 1
        return new

    def shrink(self, most_bytes: int) -> None:
        """Remove what was used longest ago until no more than `most_bytes` (≥ 0) are held.

        What is in `used` stays even where it is more than that, and so does every file that no
        store wrote. What dead processes left half written goes once it is a day old.
        """
        now_s, held_bytes = time.time(), 0
        idle: list[tuple[float, int, str]] = []
        for key, file in self._files():
            try:
                state = file.stat(follow_symlinks=False)
            except OSError:
                continue
            off_s, half = abs(now_s - state.st_mtime), file.name.startswith(HALF)
            if not (_is_key(key) or half) or not stat.S_ISREG(state.st_mode):
                continue
            held_bytes += state.st_size
            if off_s > _DAY_S if half else key not in self.used:
                idle.append((off_s, state.st_size, _below(key)))
        for _, size, path in sorted(idle, reverse=True):
            if held_bytes <= most_bytes:
                break
            with contextlib.suppress(OSError):
                drop(self.folder, path)
                held_bytes -= size

    def __iter__(self) -> Iterator[str]:
        """The keys of what this folder seems to hold; whether it is whole, `get` tells."""
        return iter(sorted(key for key, _ in self._files() if _is_key(key)))

    def _files(self) -> Iterator[tuple[str, os.DirEntry[str]]]:
        """Whatever lies where entries lie, each with the key it would have."""
        for shelf in map("{:02x}".format, range(256)):
            with contextlib.suppress(OSError):
                yield from ((shelf + file.name, file) for file in os.scandir(self.folder / shelf))

    def _code(self, key: str, content: bytes) -> bytes:
        return digest(key.encode() + content, _CODE_BYTES, self._secret)


def usual_folder() -> Path:
    """Where this user's own store lies: XDG_CACHE_HOME, or what the system has in its place."""
    given = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    mac = Path.home() / "Library" / "Caches"
    usual = mac if sys.platform == "darwin" else Path.home() / ".cache"
    return (Path(given) if given else usual) / "anthocard" / "store"


def _below(key: str) -> str:
    """Where an entry lies, below the folder."""
    return f"{key[:2]}/{key[2:]}"


def _is_key(name: str) -> bool:
    return re.fullmatch(r"[0-9a-f]{40}", name) is not None
