"""Functions as machine code, kept where a process that is shut in can still read it.

Belongs here: how Numba compiles, where it keeps what it made, whether it has. Does not belong here:
what is compiled (engine/optics/). Nothing heavy is imported at the top: every command asks
`is_kept` before it shuts itself in, after which it could keep nothing.

What is compiled lies beside its source, as what Python compiles does, and is believed as that is:
Numba unpickles it. Where nobody may write there it lies in a folder of the user's own, which is
none of those that a process that is shut in may write to.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any, Final, TypeVar

from anthocard.digest import digest

_Function = TypeVar("_Function", bound=Callable[..., Any])

_SOURCES: Final = Path(__file__).parents[1] / "engine" / "optics"
_CPU: Final = Path("/proc/cpuinfo")


def compiled(function: _Function) -> _Function:
    """A function as machine code. It makes room for nothing and slices nothing into place: so
    nothing need be counted, which took half of the time.
    """
    import numba

    njit: Any = numba.njit
    outermost = function.__name__ == "march"  # all others are put into who calls them
    made = njit(error_model="numpy", nogil=True, _nrt=False, forceinline=not outermost)(function)
    made._cache = _kept_as()(function)
    return made  # type: ignore[no-any-return]


def is_kept() -> bool:
    """Whether all that is compiled was, by this Python and Numba for this processor."""
    return _mark().exists()


def note_kept() -> None:
    """Write down that it was. Without room for that it is compiled when it is needed."""
    from anthocard.disk.atomic_file import make_folders, write_whole

    with suppress(OSError):
        make_folders(_folder())
        write_whole(_mark(), b"")


@cache
def _mark() -> Path:
    states = [(one.name, one.stat().st_mtime_ns, one.stat().st_size) for one in _sources()]
    told = repr((sys.version, metadata.version("numba"), states, _processor())).encode()
    return _folder() / f"compiled-{digest(told).hex()}"


def _processor() -> list[str]:
    """What the first processor can do, where the system tells."""
    with suppress(OSError):
        first = _CPU.read_text("utf-8", "replace").partition("\n\n")[0]
        return [one for one in first.splitlines() if one.startswith(("model", "flags", "Feat"))]
    return []


def _sources() -> tuple[Path, ...]:
    return (_SOURCES / "tracer.py", _SOURCES / "compositor.py")


@cache
def _folder() -> Path:
    beside = _SOURCES / "__pycache__"
    at = next(one for one in (beside, *beside.parents) if one.is_dir())
    if os.access(at, os.W_OK):  # that of the system: who is shut in may not, and reads there
        return beside
    given = os.environ.get("XDG_STATE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(given) if given else Path.home() / ".local" / "state") / "anthocard" / "compiled"


@cache
def _kept_as() -> Any:
    """Numba's own way to keep a function, but for who may not write there: that is no reason not to
    read, nor to fail. These classes of Numba are not promised to stay: a test would tell.
    """
    from numba.core import caching

    class Beside(caching.InTreeCacheLocator):
        def get_cache_path(self) -> str:
            return str(_folder())

        def ensure_cache_path(self) -> None:
            from anthocard.disk.atomic_file import make_folders

            with suppress(OSError):
                make_folders(_folder())

    class Result(caching.CompileResultCacheImpl):
        _locator_classes = [Beside]  # noqa: RUF012 - as Numba has it

    class Kept(caching.FunctionCache):
        _impl_class = Result

        def save_overload(self, sig: Any, data: Any) -> None:
            with suppress(OSError):
                super().save_overload(sig, data)  # type: ignore[no-untyped-call]

    return Kept
