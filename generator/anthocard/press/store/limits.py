"""Limits on what strangers wrote, in processor time: a busy machine takes nothing from anyone.

Belongs here: stopping this process's main thread, and ending a worker that cannot be stopped; how
much memory a worker may take. Does not belong here: what is being limited.
"""

from __future__ import annotations

import multiprocessing
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
def worker_limit(seconds: float, megabytes: int) -> Iterator[None]:
    """Within it a worker is ended after `seconds` of work, wherever it sits; and what it may take.

    `megabytes` are beyond what its process holds already; more is a MemoryError. Only on Linux, and
    only in a process that is one of ours for this alone.
    """
    if sys.platform != "linux" or multiprocessing.parent_process() is None:
        yield
        return
    import resource

    with open("/proc/self/statm") as statm:  # noqa: PTH123 - no file, a question to the kernel
        held = int(statm.read().split()[0]) * resource.getpagesize()
    used = resource.getrusage(resource.RUSAGE_SELF)
    most = {
        resource.RLIMIT_AS: held + megabytes * 1_000_000,
        resource.RLIMIT_CPU: int(used.ru_utime + used.ru_stime + seconds) + 1,
    }
    before = {what: resource.getrlimit(what) for what in most}
    for what, (_, hard) in before.items():
        resource.setrlimit(what, (most[what] if hard < 0 else min(most[what], hard), hard))
    try:
        yield
    finally:
        for what, limits in before.items():
            resource.setrlimit(what, limits)
