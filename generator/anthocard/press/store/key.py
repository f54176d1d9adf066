"""Keys: one function makes every one, from this package, what lies below it, and the inputs.

Belongs here: what any output can rest on, and a target, which is a key with a way to make it. Does
not belong here: keeping bytes (store.py), which targets there are (build/plan.py, paper/papers.py).

The same key means the same bytes, on any machine and wherever a folder lies: no path of a machine,
no time and no name of a user is ever a part of one.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeAlias

from anthocard.digest import digest
from anthocard.guard.reading import bounded

#: Set type without Python knowing: the call that tells the version, and the library by platform.
_NATIVE: Final = {
    "pango_version_string": ("libpango-1.0.so.0", "libpango-1.0.dylib"),
    "hb_version_string": ("libharfbuzz.so.0", "libharfbuzz.dylib"),
}


#: Whoever is called with a name, what something is made of, and what makes it, may know it already.
Memo: TypeAlias = Callable[[str, tuple[object, ...], Callable[[], bytes]], bytes]


class Target(NamedTuple):
    """Bytes that `make` makes, called `name`, and the key of all they are made from.

    `make` is handed a press (paper/job.py), of which it may ask papers and other targets; what it
    returns is awaited where it can be. Without a key it is made each time. `paper` says that it is
    put together from papers, which are counted by themselves.
    """

    name: str
    key: str
    make: Callable[[Any], Any]
    paper: bool = False


def make_it(name: str, parts: tuple[object, ...], make: Callable[[], bytes]) -> bytes:
    """A `Memo` that knows nothing."""
    return make()


def key(*parts: object) -> str:
    """A key of 40 hex digits for this code, all it rests on, and those parts in order.

    Texts and bytes are taken as they are; of anything else its repr must tell all that matters.
    """
    return digest(b"".join(map(_framed, (code(), *parts)))).hex()


@cache
def code() -> str:
    """This package with its themes, this Python, every distribution below, and what sets type."""
    native = (f"{call} {_native(call, names)}" for call, names in _NATIVE.items())
    beside = [*distributions(), *_font_packages(), *native]
    return "\n".join([sys.version, print_of(own_folders()), *beside])


def distributions() -> list[str]:
    """Each installed distribution that one can rest on, itself too, with its version.

    Whatever its requirements name is followed, and so on, also for the extras they ask for; a
    requirement of another system or Python is one that is not installed.
    """
    from importlib import metadata

    found: dict[str, str] = {}
    wanted = ["anthocard"]  # grows while it is gone through
    for one in wanted:
        plain, extras = _required(one)
        try:
            told = metadata.distribution(plain)
        except metadata.PackageNotFoundError:
            continue
        # Read as a letter, which it is, its description and all, it takes twice as long.
        about = told.read_text("METADATA") or told.read_text("PKG-INFO") or ""
        rows = [row.partition(": ") for row in about.partition("\n\n")[0].splitlines()]
        found[plain] = next(value for name, _, value in rows if name == "Version")
        for line in (value for name, _, value in rows if name == "Requires-Dist"):
            asked = re.search(r"""extra\s*==\s*['"]([^'"]+)""", line)
            required = line.partition(";")[0]
            if (asked is None or asked[1] in extras) and required not in wanted:
                wanted.append(required)
    return [f"{plain} {version}" for plain, version in sorted(found.items())]


def _font_packages() -> list[str]:
    """Those a theme may name, with their versions: their folders tell both, beside our own."""
    from importlib.util import find_spec

    spec = find_spec("fontpkg_fira_sans")
    beside = Path(spec.origin).parents[1] if spec and spec.origin else None
    return sorted(path.name for path in beside.glob("fontpkg_*.dist-info")) if beside else []


@cache
def print_of(places: tuple[Path, ...]) -> str:
    """Names and contents of some files, and of every file below some folders, in 40 hex digits."""
    return digest(b"".join(map(_framed, contents_of(places)))).hex()


def contents_of(places: Iterable[Path]) -> Iterator[object]:
    """Name, and print of the contents, of some files and of every file below some folders.

    What cannot be read counts as empty, and so does what is larger than anything that is read: a
    film beside the recipes, wherever it stands, is not opened.
    """
    from anthocard.guard.limits import most_of  # not needed by who only takes a glance

    most = most_of("files", "theme")
    for place in places:
        for path in files_below(place):
            yield path.relative_to(place.parent).as_posix()
            try:
                yield b"" if path.stat().st_size > most else digest(bounded(path, most) or b"")
            except OSError:
                yield b""


def own_folders() -> tuple[Path, ...]:
    """This package, and the themes that lie beside it in a checkout."""
    package = Path(__file__).absolute().parents[2]
    beside = package.parents[1] / "themes"
    return (package, beside) if beside.is_dir() else (package,)


def files_below(place: Path) -> Iterable[Path]:
    """A file, or every file below a folder, in order; not what was compiled."""
    found = (path for path in (place, *place.rglob("*")) if path.is_file())
    return sorted(path for path in found if path.parent.name != "__pycache__")


def _framed(part: object) -> bytes:
    """A print of one part: put one after another no two lists of parts are the same."""
    if not isinstance(part, bytes):
        part = (part if isinstance(part, str) else repr(part)).encode(errors="surrogatepass")
    return digest(part)


def _required(line: str) -> tuple[str, set[str]]:
    """The name in a requirement, as all write it alike, and the extras it asks for."""
    read = re.match(r"\s*([A-Za-z0-9._-]+)\s*(?:\[([^]]*)\])?", line)
    assert read is not None
    return re.sub(r"[-_.]+", "-", read[1]).lower(), {
        one.strip() for one in (read[2] or "").split(",")
    }


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
