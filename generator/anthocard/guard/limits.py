"""Limits on what strangers wrote, in processor time: a busy machine takes nothing from anyone.

Belongs here: stopping this process's main thread, and ending a worker that cannot be stopped; how
much memory either may take; the table. Does not belong here: what is limited, reading no more of a
file (reading.py), where a process may write (enclosure.py).
"""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


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


def most_of(section: str, row: str) -> int:
    """A figure of limits.yaml: bytes of a file, seconds or megabytes of a template."""
    from anthocard.diagnostics.tables import read_table

    found = read_table("anthocard.guard", "limits.yaml")[section][row]
    return int(next(value for key, value in found.items() if key not in ("source", "how")))
