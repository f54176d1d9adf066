"""Papers already set, kept by what they were set from.

Belongs here: the key of a paper, keeping bytes under it, and letting go of what is long unused.
Does not belong here: setting papers (typeset.py) or deciding when (workers.py).

A key is a hash of everything the bytes depend on: HTML, styles, fonts, options, the versions of the
libraries, and the modules here that touch a PDF. So a folder may serve many houses, themes and
machines at once, and may be deleted at any time. What is damaged (a full disk, a lost connection)
fails its checksum and counts as not there. The checksum guards against accidents, not against
people: whoever may write to a shared folder can put another paper under a key.

When an entry was used last is the file's own time of writing, set anew by a `get` when it is more
than a day off: a run that finds everything writes next to nothing. Times ahead of this machine's
clock count by how far off they are, like times behind it, so that a clock that was put back keeps
nothing for ever.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import sys
import tempfile
import time
from collections.abc import Iterator
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from anthocard.press.paper.typeset import Job

#: The most that this user's own folders hold after a publish, in MB. Chosen: five houses of 1,000
#: recipes (a recipe takes 0.4 MB of papers and pages and 0.03 MB of figures; measured).
USUAL_MB: Final = {"papers": 2000, "recipes": 150}
#: Chosen: how exactly it is known when an entry was used, and how long another machine may take to
#: write one.
_DAY_S: Final = 86_400.0
_SCRATCH: Final = ".new-"
#: When the folder was last looked through (s), and how many bytes it is thought to hold.
_COUNT: Final = "count"
_DIGEST: Final = 32
#: Everything that WeasyPrint asks on its way to a PDF, and what archive.py asks.
_LIBRARIES: Final = (
    "weasyprint", "pydyf", "tinycss2", "tinyhtml5", "cssselect2", "pyphen", "fonttools", "pillow",
    "pikepdf",
)  # fmt: skip
#: Set type without Python knowing: library by platform, and the call that tells its version.
_NATIVE: Final = {
    "pango_version_string": ("libpango-1.0.so.0", "libpango-1.0.dylib"),
    "hb_version_string": ("libharfbuzz.so.0", "libharfbuzz.dylib"),
}


class Cache:
    """A folder of papers; `used` are the keys of what was got from it or put into it.

    Nothing here ever raises: a cache may only make things faster. Other processes and machines may
    read, write and shrink the same folder meanwhile: what vanishes is not there, no more.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.used: set[str] = set()
        self._put_bytes = 0

    def get(self, key: str) -> bytes | None:
        """The paper under a key; None if there is none, or if it is not what was put there."""
        path = self._path(key)
        try:
            with path.open("rb", buffering=0) as file:
                kept, written_s = file.read(), os.fstat(file.fileno()).st_mtime
        except OSError:
            return None
        checksum, paper = kept[:_DIGEST], kept[_DIGEST:]
        if checksum != _checksum(key, paper):
            return None
        self.used.add(key)
        if abs(time.time() - written_s) > _DAY_S:
            with contextlib.suppress(OSError):  # another's file, or gone: as good as unused
                os.utime(path)
        return paper

    def put(self, key: str, paper: bytes) -> bool:
        """Keep a paper, whole or not at all; False if this folder cannot take it."""
        path = self._path(key)
        scratch = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, scratch = tempfile.mkstemp(dir=path.parent, prefix=_SCRATCH)
            with os.fdopen(handle, "wb") as file:
                file.write(_checksum(key, paper) + paper)
            Path(scratch).replace(path)
        except OSError:
            if scratch is not None:
                with contextlib.suppress(OSError):
                    Path(scratch).unlink(missing_ok=True)
            return False
        self.used.add(key)
        self._put_bytes += _DIGEST + len(paper)
        return True

    def hold_to(self, most_bytes: int) -> None:
        """Shrink to `most_bytes` (≥ 0) where that may be needed.

        A folder is looked through once a day; in between what was put is added up. What others
        added at the same moment may be missed until then, so the bound is a soft one. A tenth more
        goes than must, so that a full folder is not looked through by every run.
        """
        now_s, count = time.time(), self.folder / _COUNT
        try:
            counted_s, held_bytes = map(int, count.read_text(encoding="ascii").split())
        except (OSError, ValueError):
            counted_s, held_bytes = 0, 0
        held_bytes += self._put_bytes
        if abs(now_s - counted_s) > _DAY_S or held_bytes > most_bytes:
            counted_s, held_bytes = int(now_s), self.shrink(most_bytes * 9 // 10)
        elif not self._put_bytes:
            return
        self._put_bytes = 0
        with contextlib.suppress(OSError):
            count.write_text(f"{counted_s} {held_bytes}", encoding="ascii")

    def shrink(self, most_bytes: int) -> int:
        """Remove what was used longest ago until no more than `most_bytes` (≥ 0) are held.

        Returns how many bytes are held then.

        What is in `used` stays even where it is more than that, and so does every file that no
        cache wrote. What dead processes left half written goes once it is a day old.
        """
        now_s, held_bytes = time.time(), 0
        idle: list[tuple[float, int, str]] = []
        for key, file in self._files():
            try:
                state = file.stat(follow_symlinks=False)
            except OSError:
                continue
            off_s, half = abs(now_s - state.st_mtime), file.name.startswith(_SCRATCH)
            if not (_is_key(key) or half) or not stat.S_ISREG(state.st_mode):
                continue
            held_bytes += state.st_size
            if off_s > _DAY_S if half else key not in self.used:
                idle.append((off_s, state.st_size, file.path))
        for _, size, path in sorted(idle, reverse=True):
            if held_bytes <= most_bytes:
                break
            with contextlib.suppress(OSError):
                os.unlink(path)  # noqa: PTH108 - a DirEntry's path, as it is
                held_bytes -= size
        return held_bytes

    def __iter__(self) -> Iterator[str]:
        """The keys of what this folder seems to hold; whether it is whole, `get` tells."""
        return iter(sorted(key for key, _ in self._files() if _is_key(key)))

    def _files(self) -> Iterator[tuple[str, os.DirEntry[str]]]:
        """Whatever lies where papers lie, each with the key it would have."""
        for number in range(256):
            try:
                with os.scandir(self.folder / f"{number:02x}") as found:
                    files = list(found)
            except OSError:
                continue
            yield from ((f"{number:02x}{file.name}", file) for file in files)

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / key[2:]


def key_of(job: Job) -> str:
    """What a paper is kept under: 40 hex digits, a different one for anything that could show."""
    digest = blake2b(digest_size=20)
    parts = (
        *what_sets_type(job.fonts), job.style, repr(job.zoom), repr(job.one_sheet), *job.attempts,
    )  # fmt: skip
    for part in parts:
        digest.update(blake2b(part.encode()).digest())
    return digest.hexdigest()


def what_sets_type(fonts: tuple[Path, ...]) -> tuple[str, str]:
    """The libraries of this machine that a paper's bytes depend on, and the faces, packaged too."""
    return _machine(), _fonts(fonts)


def usual_folder(what: str = "papers") -> Path:
    """Where this user's caches lie: XDG_CACHE_HOME, or what the system has in its place."""
    given = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    mac = Path.home() / "Library" / "Caches"
    usual = mac if sys.platform == "darwin" else Path.home() / ".cache"
    return (Path(given) if given else usual) / "anthocard" / what


def _is_key(name: str) -> bool:
    return re.fullmatch(r"[0-9a-f]{40}", name) is not None


def _checksum(key: str, paper: bytes) -> bytes:
    return blake2b(paper, key=key.encode(), digest_size=_DIGEST).digest()


@cache
def _fonts(more: tuple[Path, ...]) -> str:
    from anthocard.press.paper.typeset import font_files

    digest = blake2b(digest_size=20)
    for path in font_files(more):
        digest.update(path.name.encode() + blake2b(path.read_bytes()).digest())
    return digest.hexdigest()


@cache
def _machine() -> str:
    """What sets type here, by version, and our own hand in it."""
    from importlib.metadata import version

    paper = Path(__file__).parents[1] / "paper"
    own = (paper / f"{name}.py" for name in ("typeset", "archive"))
    return "\n".join(
        [
            *(f"{name} {version(name)}" for name in _LIBRARIES),
            *(f"{call} {_native(call, names)}" for call, names in _NATIVE.items()),
            *(blake2b(path.read_bytes(), digest_size=20).hexdigest() for path in own),
        ]
    )


def _native(call: str, names: tuple[str, ...]) -> str:
    import ctypes

    for name in names:
        try:
            ask = getattr(ctypes.CDLL(name), call)
        except (OSError, AttributeError):
            continue
        ask.restype = ctypes.c_char_p
        return str(ask().decode())
    return "unknown"
