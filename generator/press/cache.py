"""Papers already set, kept by what they were set from.

Belongs here: the key of a paper, and keeping bytes under it. Does not belong here: setting papers
(paper.py) or deciding when (workers.py).

A key is a hash of everything the bytes depend on: HTML, styles, fonts, options, the versions of the
libraries, and the modules here that touch a PDF. So a folder may serve many houses, themes and
machines at once, and may be deleted at any time. What is damaged (a full disk, a lost connection)
fails its checksum and counts as not there. The checksum guards against accidents, not against
people: whoever may write to a shared folder can put another paper under a key.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from generator.press.paper import Job

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
    """A folder of papers. Reading and writing never raise: a cache may only make things faster."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def get(self, key: str) -> bytes | None:
        """The paper under a key; None if there is none, or if it is not what was put there."""
        try:
            kept = self._path(key).read_bytes()
        except OSError:
            return None
        checksum, paper = kept[:_DIGEST], kept[_DIGEST:]
        return paper if checksum == _checksum(key, paper) else None

    def put(self, key: str, paper: bytes) -> bool:
        """Keep a paper, whole or not at all; False if this folder cannot take it."""
        path = self._path(key)
        scratch = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, scratch = tempfile.mkstemp(dir=path.parent, prefix=".")
            with os.fdopen(handle, "wb") as file:
                file.write(_checksum(key, paper) + paper)
            Path(scratch).replace(path)
        except OSError:
            if scratch is not None:
                with contextlib.suppress(OSError):
                    Path(scratch).unlink(missing_ok=True)
            return False
        return True

    def __iter__(self) -> Iterator[str]:
        """The keys of what this folder seems to hold; whether it is whole, `get` tells."""
        for path in sorted(self.folder.glob("[0-9a-f][0-9a-f]/*")):
            key = path.parent.name + path.name
            if re.fullmatch(r"[0-9a-f]{40}", key):
                yield key

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / key[2:]


def key_of(job: Job) -> str:
    """What a paper is kept under: 40 hex digits, a different one for anything that could show."""
    digest = blake2b(digest_size=20)
    parts = (
        _machine(), job.style, _fonts(job.fonts), repr(job.zoom), repr(job.one_sheet),
        *job.attempts,
    )  # fmt: skip
    for part in parts:
        digest.update(blake2b(part.encode()).digest())
    return digest.hexdigest()


def usual_folder(what: str = "papers") -> Path:
    """Where this user's caches lie: XDG_CACHE_HOME, or what the system has in its place."""
    given = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    mac = Path.home() / "Library" / "Caches"
    usual = mac if sys.platform == "darwin" else Path.home() / ".cache"
    return (Path(given) if given else usual) / "anthocard" / what


def _checksum(key: str, paper: bytes) -> bytes:
    return blake2b(paper, key=key.encode(), digest_size=_DIGEST).digest()


@cache
def _fonts(more: tuple[Path, ...]) -> str:
    from generator.press.paper import font_files

    digest = blake2b(digest_size=20)
    for path in font_files(more):
        digest.update(path.name.encode() + blake2b(path.read_bytes()).digest())
    return digest.hexdigest()


@cache
def _machine() -> str:
    """What sets type here, by version, and our own hand in it."""
    from importlib.metadata import version

    own = (Path(__file__).with_name(f"{name}.py") for name in ("paper", "archive"))
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
