"""A press that has others set its papers, through a store and any executor.

Belongs here: which paper is set where, once, and what becomes of one whose process was killed; the
share of one machine of several. Does not belong here: what a process does (worker.py), which
targets there are (plan.py).

A share is a filter on keys. Of `N` machines each reads the whole house and sets the papers whose
key falls to it, into a store of its own; joined, the stores hold every paper. Shares may overlap or
lack something: what is not there is set where they are joined.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from dataclasses import dataclass
from typing import Any, Final, TypeVar

from anthocard.press.build.worker import pool, processors, set_within
from anthocard.press.paper.job import NO_PICTURES, Drawn, Job, Outcome, PaperPress
from anthocard.press.paper.typeset import faces
from anthocard.press.store.key import Target, key
from anthocard.press.store.store import Store

#: Chosen: a card takes 0.1 s and 80 MB, a page of a book 35 ms (measured). A paper is given what it
#: may need by the length of its HTML, and a hundred times more than a card does.
SECONDS, BYTES_PER_SECOND = 30.0, 20_000
MEGABYTES, BYTES_PER_MEGABYTE = 1500, 10_000
#: Papers handed out at once, and by one executor: enough to keep any pool busy, few enough to hold,
#: and whatever a library keeps of each paper ends with its process.
_MOST: Final = 200

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class BuildShare:
    """Part `number` (from 1) of `of` equal parts."""

    number: int
    of: int

    def has(self, key: str) -> bool:
        """Whether a paper falls to this share: by its key alone, so the same on every machine."""
        return int(key, 16) % self.of == self.number - 1


class Run(PaperPress):
    """Makes every target once; papers are set by `processes`, or by what `executor` makes.

    An executor must be able to run a function of worker.py elsewhere; one that breaks is let go of
    and made again. `set_anew` counts the papers that were really set, `papers` holds the keys of
    all that were asked for. With a `share` nothing but its own papers is made and kept: whatever
    needs others is cancelled, for the run that joins the shares to make.
    """

    def __init__(
        self,
        store: Store,
        processes: int | None = None,
        executor: Callable[[], Executor] | None = None,
        share: BuildShare | None = None,
    ) -> None:
        super().__init__(store)
        self.set_anew = 0
        self.papers: set[str] = set()
        self._share = share
        self._open = executor or (lambda: pool(processes or processors()))
        self._executor: Executor | None = None
        self._handed_out = 0

    async def get(self, target: Target) -> bytes:
        """The bytes of a target, made once however many ask for it."""
        if self._share is not None and target.paper:
            made: bytes = await target.make(self)  # what is put together is not for a share to keep
            return made
        return await super().get(target)

    async def paper(
        self, job: Callable[[], Job], decides: bool = False, drawn: Drawn = NO_PICTURES
    ) -> Outcome:
        """The paper of a job. In a share every paper that decides what others are like is set."""
        async with self._room:
            wanted = job()
            setting = (wanted.style, faces(wanted.fonts), wanted.zoom, wanted.fits)
            bounds = (wanted.ends, wanted.safe_mm, wanted.measures)
            name = key("paper", wanted.html, *setting, *bounds)
            if self._share is not None and not (decides or self._share.has(name)):
                raise asyncio.CancelledError
            return await self.once(name, lambda: self._paper(name, wanted, drawn))

    async def join(self, make: Callable[[list[bytes]], bytes], parts: list[bytes]) -> bytes:
        """One paper of several, by a worker while there is one; what is joined is not kept here."""
        if self._share is not None:
            raise asyncio.CancelledError
        if self._executor is not None:
            try:
                return await asyncio.wrap_future(self._opened().submit(make, parts))
            except BrokenExecutor:
                self._let_go()
        return make(parts)

    async def elsewhere(self, make: Callable[..., bytes], *given: Any) -> bytes:
        """What a function makes, in a thread: pictures are made by compiled code, beside which
        Python goes on.
        """
        async with self._beside:
            return await asyncio.to_thread(make, *given)

    def now(self, coroutine: Coroutine[Any, Any, Made]) -> Made:
        """What a coroutine gives; every executor is closed by then."""
        self._room, self._beside = asyncio.Semaphore(_MOST), asyncio.Semaphore(processors())
        self._alone = asyncio.Lock()
        return super().now(coroutine)

    def _end(self) -> None:
        self._let_go(wait=True)

    async def _paper(self, name: str, job: Job, drawn: Drawn) -> Outcome:
        assert self.store is not None  # a run has one
        if not job.measures:  # what only measures is no paper
            self.papers.add(name)
        stored = self.store.get(name)
        if stored is not None:
            return Outcome(stored)
        job = await self.with_pictures(job, drawn)
        size = len(job.html) * max(1, len(job.fits))
        allowed = (SECONDS + size / BYTES_PER_SECOND, MEGABYTES + size // BYTES_PER_MEGABYTE)
        executor = self._opened()
        try:
            outcome = await asyncio.wrap_future(executor.submit(set_within, job, *allowed))
        except Exception as error:  # each executor has its own words for a process that was killed
            if executor is self._executor and isinstance(error, BrokenExecutor):
                self._let_go()
            outcome = await self._set_alone(job, *allowed)
        self.set_anew += 1
        if not outcome.trouble:
            self.store.put(name, outcome.pdf)
        return outcome

    async def _set_alone(self, job: Job, *allowed: Any) -> Outcome:
        """In a process of its own: if that is killed too, this job did it."""
        async with self._alone:
            with pool(1) as alone:
                try:
                    return await asyncio.wrap_future(alone.submit(set_within, job, *allowed))
                except BrokenExecutor:
                    return Outcome(trouble="killed", words="its process was killed")

    def _opened(self) -> Executor:
        if self._handed_out >= _MOST and isinstance(self._executor, ProcessPoolExecutor):
            self._let_go()
        if self._executor is None:
            self._executor, self._handed_out = self._open(), 0
        self._handed_out += 1
        return self._executor

    def _let_go(self, wait: bool = False) -> None:
        """Let the executor end what it was handed; another is opened when it is needed."""
        if self._executor is not None:
            self._executor.shutdown(wait)
            self._executor = None
