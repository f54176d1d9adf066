"""Asking for papers: several at once, and those that decide what else will be asked for.

Belongs here: the manners of those who need more than one paper. Does not belong here: who sets
papers (workers.py), which share sets which (share.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from generator.press.workers import Pending

Made = TypeVar("Made")

#: Whether what is asked for now decides what is asked for next: then every share has to set it.
DECIDES: ContextVar[bool] = ContextVar("DECIDES", default=False)


def each(makers: Iterable[Callable[[], Made]]) -> list[Made]:
    """What all of them make; raises Pending only after every one was asked, so none waits long."""
    made: list[Made] = []
    missing: Pending | None = None
    for make in makers:
        try:
            made.append(make())
        except Pending as waiting:
            missing = waiting
    if missing is not None:
        raise missing
    return made


@contextmanager
def deciding(decides: bool = True) -> Iterator[None]:
    """Papers asked for inside decide (by their pages, say) what further papers are like."""
    token = DECIDES.set(decides)
    try:
        yield
    finally:
        DECIDES.reset(token)
