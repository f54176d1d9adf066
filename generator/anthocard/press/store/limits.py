"""Time limits on what strangers wrote: themes here, papers in processes of their own.

Belongs here: stopping this process's main thread after a time. Does not belong here: memory and
killing (workers.py), what is being limited.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


class TooSlow(BaseException):  # not an Exception: nobody on the way may catch it
    """The time is up."""


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise TooSlow inside after `seconds` (> 0); no limit off the main thread or off POSIX.

    Within another limit the outer one rests meanwhile.
    """
    able = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if not able:
        yield
        return

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooSlow

    before = signal.signal(signal.SIGALRM, stop)
    left = signal.setitimer(signal.ITIMER_REAL, seconds)[0]
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, left)
        signal.signal(signal.SIGALRM, before)
