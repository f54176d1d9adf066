"""Asking for papers: several at once, those that are joined, those that decide about others.

Belongs here: the manners of those who need more than one paper. Does not belong here: who sets or
joins papers (workers.py), which share sets which (share.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from hashlib import blake2b
from typing import TypeVar

Made = TypeVar("Made")


class Pending(Exception):  # noqa: N818 - no error: the paper is on its way
    """The paper is being made; ask again later."""


@dataclass(frozen=True, slots=True)
class Joining:
    """Papers, and what makes one of them all: a function that has a name in its module."""

    make: Callable[[list[bytes]], bytes]
    parts: list[bytes]

    @property
    def key(self) -> str:
        """40 hex digits, others for other papers; known to this process alone."""
        digest = blake2b(repr(self.make).encode(), digest_size=20)
        for part in self.parts:
            digest.update(blake2b(part).digest())
        return digest.hexdigest()


#: Who joins papers: this process, unless a Typesetter of workers.py is at work.
JOINER: ContextVar[Callable[[Joining], bytes] | None] = ContextVar("JOINER", default=None)

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


def together(make: Callable[[list[bytes]], bytes], parts: list[bytes]) -> bytes:
    """One paper of several; raises Pending while somebody else joins them."""
    joiner = JOINER.get()
    return make(parts) if joiner is None else joiner(Joining(make, parts))
