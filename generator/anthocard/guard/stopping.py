"""Ctrl-C, remembered as well as raised.

Belongs here: telling a command that was stopped from one that failed. Does not belong here: what is
said of it, and the exit code (cli.py). Every command imports this first: nothing heavy.

A library in C that is stopped while it is imported does not pass KeyboardInterrupt on: its import
fails with an error of its own, any error.
"""

from __future__ import annotations

import signal

TYPE_CHECKING = False  # as in cli.py
if TYPE_CHECKING:
    from collections.abc import Callable
    from types import FrameType
    from typing import Any, TypeVar

    Made = TypeVar("Made")

_pressed: list[int] = []


def heed_ctrl_c() -> None:
    """Remember Ctrl-C from now on. Where a shell set it aside, as `nohup` does, it stays so."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _stop)


def was_stopped() -> bool:
    """Whether Ctrl-C was pressed while it was heeded."""
    return bool(_pressed)


def stopped_in_order(run: Callable[[Any], Made], work: Any) -> Made:
    """What `run` makes of `work`, with Ctrl-C as Python has it: asyncio takes that alone for its
    own, and then cancels what is under way instead of leaving it where it is.
    """
    if signal.getsignal(signal.SIGINT) is not _stop:
        return run(work)
    try:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    except ValueError:  # another thread, which Ctrl-C never reaches
        return run(work)
    try:
        return run(work)
    finally:
        signal.signal(signal.SIGINT, _stop)


def _stop(number: int, frame: FrameType | None) -> None:
    _pressed.append(number)
    signal.default_int_handler(number, frame)
