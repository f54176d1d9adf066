"""Publishing in parts: a deterministic share of the papers on each machine, put together by one.

Belongs here: which paper falls to which share, and gathering what the shares have set. Does not
belong here: setting papers (workers.py), keeping them (cache.py), writing the build (site.py).

A share is a cache folder: every machine of n reads the whole house, sets the papers whose key falls
to it, and keeps them in a folder. Joined, the folders hold every paper, so that the publish which
joins them sets next to none. Shares may overlap or lack something: what is not there is set then.

Papers that decide what others are like (asking.py) are set by every share: without them it could
not know its own. What depends on papers of all shares (pages that tell the numbers of others) is
set where they are joined.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from anthocard.diagnostics.diagnostic import (
    AuthorError,
    Mistake,
    Place,
)
from anthocard.press.build.asking import (
    DECIDES,
    JOINER,
    Joining,
    Pending,
)
from anthocard.press.build.workers import Typesetter
from anthocard.press.paper.typeset import (
    SETTER,
    Job,
    Outcome,
    PaperStopped,
)
from anthocard.press.store.cache import Cache, key_of


@dataclass(frozen=True, slots=True)
class Share:
    """Part `number` (from 1) of `of` equal parts."""

    number: int
    of: int

    def has(self, key: str) -> bool:
        """Whether a paper falls to this share: by its key alone, so the same on every machine."""
        return int(key, 16) % self.of == self.number - 1


def read_share(text: str) -> Share:
    """The share written as “2/5”. Raises AuthorError."""
    read = re.fullmatch(r"\s*(\d{1,6})\s*/\s*(\d{1,6})\s*", text)
    share = Share(int(read[1]), int(read[2])) if read else None
    if share is None or not 1 <= share.number <= share.of:
        message = f"“{text}” is no share"
        mend = "write which of how many, such as 2/5"
        raise AuthorError([Mistake("no-share", message, Place("--share"), mend)])
    return share


def set_share(
    wanted: Mapping[str, Callable[[], bytes]], share: Share, typesetter: Typesetter
) -> int:
    """Set the papers of one share into the typesetter's cache and nothing else; returns how many.

    Papers made of other papers are put together where the shares are joined. Mistakes of authors
    raise AuthorError, together, as in a whole publish.
    """
    asked: set[str] = set()
    late: set[str] = set()

    def ask(job: Job) -> Outcome:
        key = key_of(job)
        if not (share.has(key) or DECIDES.get()):
            raise Pending
        asked.add(key)
        late.add(key)
        outcome = typesetter(job)
        late.discard(key)
        return outcome

    def leave(joining: Joining) -> bytes:
        raise Pending

    mistakes: dict[Mistake, None] = {}
    papers = [make for path, make in wanted.items() if path.endswith(".pdf")]
    with typesetter.at_work():
        while True:
            late.clear()
            setter, joiner = SETTER.set(ask), JOINER.set(leave)
            try:
                for make in papers:
                    try:
                        make()
                    except Pending:
                        continue
                    except AuthorError as error:
                        mistakes |= dict.fromkeys(error.mistakes)
                    except PaperStopped as stopped:
                        if stopped.mistake not in typesetter.stopped:
                            typesetter.stopped.append(stopped.mistake)
            finally:
                SETTER.reset(setter)
                JOINER.reset(joiner)
            if not late:  # every paper of this share that can be known is there
                break
            typesetter.settle()
    if mistakes:
        raise AuthorError(mistakes)
    return sum(typesetter.cache.get(key) is not None for key in asked)


def join(parts: Iterable[Cache], into: Cache) -> int:
    """Gather whole papers of several folders into one; returns how many were new there."""
    new = 0
    for part in parts:
        for key in part:
            paper = part.get(key)
            if paper is not None and into.get(key) is None and into.put(key, paper):
                new += 1
    return new
