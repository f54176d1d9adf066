"""Limits on what strangers wrote, in processor time: a busy machine takes nothing from anyone.

Belongs here: stopping this process's main thread, and ending a worker that cannot be stopped; how
much memory either may take; how much of a file is read. Does not belong here: what is limited, and
where a process may write (enclosure.py).
"""

from __future__ import annotations

import os
import signal
import stat
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Final

_NO_WAIT: Final = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_NO_LINK: Final = getattr(os, "O_NOFOLLOW", 0)


class TooSlow(BaseException):  # not an Exception: nobody on the way may catch it
    """The time is up."""


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise TooSlow inside after `seconds` (> 0) of this process's work.

    Within another limit the outer one rests meanwhile. No limit off the main thread or off POSIX.
    """
    able = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if not able:
        yield
        return

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooSlow

    before = signal.signal(signal.SIGPROF, stop)
    left = signal.setitimer(signal.ITIMER_PROF, seconds)[0]
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, left)
        signal.signal(signal.SIGPROF, before)


@contextmanager
def memory_limit(megabytes: int) -> Iterator[None]:
    """Within it this process may take so much more than it holds; beyond it is a MemoryError.

    Only on Linux: elsewhere nobody keeps to it.
    """
    if sys.platform != "linux":
        yield
        return
    import resource

    with open("/proc/self/statm") as statm:  # noqa: PTH123 - no file, a question to the kernel
        held = int(statm.read().split()[0]) * resource.getpagesize()
    with _limited(resource.RLIMIT_AS, held + megabytes * 1_000_000):
        yield


@contextmanager
def worker_limit(seconds: float, megabytes: int) -> Iterator[None]:
    """Within it a worker is ended after `seconds` of work, wherever it sits; and what it may take.

    Only on Linux, and only in a process that is one of ours for this alone.
    """
    import multiprocessing

    if sys.platform != "linux" or multiprocessing.parent_process() is None:
        yield
        return
    import resource

    used = resource.getrusage(resource.RUSAGE_SELF)
    end = int(used.ru_utime + used.ru_stime + seconds) + 1
    with memory_limit(megabytes), _limited(resource.RLIMIT_CPU, end):
        yield


@contextmanager
def _limited(what: int, most: int) -> Iterator[None]:
    import resource

    before, hard = resource.getrlimit(what)
    tighter = [most, *(one for one in (before, hard) if one >= 0)]
    resource.setrlimit(what, (min(tighter), hard))
    try:
        yield
    finally:
        resource.setrlimit(what, (before, hard))


def bounded(path: Path | str, most: int | None = None, links: bool = True) -> bytes | None:
    """A file, and of one larger than `most` bytes no more than tells that it is; None for what is
    none (a pipe is not waited for), or for a link if `links` are not to be followed.

    Raises OSError.
    """
    try:
        handle = os.open(path, os.O_RDONLY | _NO_WAIT | (0 if links else _NO_LINK))
    except FileNotFoundError:
        raise
    except OSError:
        if not links and os.path.islink(path):  # noqa: PTH114 - asked before anything is imported
            return None
        raise
    with open(handle, "rb", buffering=0) as file:  # noqa: PTH123 - opened, once it is known
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return None
        left, parts = most, []
        while part := file.read(-1 if left is None else left + 1):
            parts.append(part)
            if left is not None:
                left -= len(part)
                if left < 0:
                    break
        return b"".join(parts)


def most_of(section: str, row: str) -> int:
    """A figure of limits.yaml: bytes of a file, seconds or megabytes of a template."""
    from anthocard.diagnostics.tables import read_table

    found = read_table("anthocard.guard", "limits.yaml")[section][row]
    return int(next(value for key, value in found.items() if key not in ("source", "how")))
