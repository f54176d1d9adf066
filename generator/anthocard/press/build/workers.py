"""Setting papers in processes of their own, which may be slow, greedy or killed.

Belongs here: limits of time and memory, the pool, finding the paper that broke a pool. Does not
belong here: what is on a paper (words/ and the themes), how one is set (typeset.py).

A `Typesetter` stands between them. Asked for a paper it has in its cache, it answers at once; asked
for another it hands the job out and raises `Pending`: whoever asked asks again once it is there. So
every paper of a house is under way before anyone waits for the first, and no module that makes a
paper knows of processes.
"""

from __future__ import annotations

import faulthandler
import multiprocessing
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    Executor,
    Future,
    wait,
)
from contextlib import contextmanager, nullcontext
from typing import Final, TypeVar

from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.press.build.asking import (
    JOINER,
    Joining,
    Pending,
)
from anthocard.press.build.processes import pool, processors
from anthocard.press.paper.typeset import (
    SETTER,
    Job,
    Outcome,
    PaperStopped,
    set_type,
)
from anthocard.press.store.cache import Cache, key_of
from anthocard.press.store.limits import TooSlow, time_limit

#: Chosen: a card takes 0.1 s and 80 MB, a page of a book 35 ms (measured). A paper is given what it
#: may need by the length of its HTML, and a hundred times more than a card does.
SECONDS, BYTES_PER_SECOND = 30.0, 20_000
MEGABYTES, BYTES_PER_MEGABYTE = 1500, 10_000
#: Jobs handed out at once, and then new processes: enough to keep any pool busy, few enough to
#: hold.
_MOST: Final = 200


Made = TypeVar("Made")


class Typesetter:
    """Sets papers through a cache and any executor; see the module.

    `executor` makes one when the first paper is missing: it must be able to run a function of this
    module elsewhere. Where it is None, a pool of `processes` is opened and, if it breaks, opened
    again. `set_anew` counts the papers that were really set; `stopped` are those that had to be;
    `missing` are the keys for which Pending was raised, until whoever wants to know clears it.
    """

    def __init__(
        self,
        cache: Cache,
        processes: int | None = None,
        executor: Callable[[], Executor] | None = None,
        limits: tuple[float, int] = (SECONDS, MEGABYTES),
    ) -> None:
        self.cache = cache
        self.set_anew = 0
        self.stopped: list[Mistake] = []
        self.missing: set[str] = set()
        self._limits = limits
        self._open = executor or (lambda: pool(processes or processors()))
        self._executor: Executor | None = None
        self._running: dict[str, tuple[Job | Joining, Future[Outcome]]] = {}
        self._known: dict[str, Outcome] = {}

    def __call__(self, job: Job) -> Outcome:
        """The paper, or why there is none; raises Pending while it is being set."""
        key = key_of(job)
        if key in self._known:
            return self._known[key]
        paper = self.cache.get(key)
        if paper is not None:
            return Outcome(paper)
        if key not in self._running:
            if len(self._running) >= _MOST:
                self.settle()
                self.close()  # whatever a library keeps of each paper ends with its process
            if self._executor is None:
                self._executor = self._open()
            self._running[key] = job, self._submit(self._executor, job)
        self.missing.add(key)
        raise Pending

    def join(self, joining: Joining) -> bytes:
        """Papers joined; raises Pending while a worker does it. It is done here if there is none.

        What is joined is not kept, and forgotten once it was asked for.
        """
        key = joining.key
        outcome = self._known.pop(key, None)
        if outcome is not None and not outcome.trouble:
            return outcome.pdf
        if outcome is not None or self._executor is None:
            return joining.make(joining.parts)
        if key not in self._running:
            self._running[key] = joining, self._submit(self._executor, joining)
        self.missing.add(key)
        raise Pending

    def is_setting(self, keys: Set[str]) -> bool:
        """Whether any of these papers is under way."""
        return not keys.isdisjoint(self._running)

    def wait(self) -> None:
        """Wait until one paper more is there; until all are, where a process was killed."""
        wait([future for _, future in self._running.values()], return_when=FIRST_COMPLETED)
        ready = {key: pair for key, pair in self._running.items() if pair[1].done()}
        if any(future.cancelled() or future.exception() for _, future in ready.values()):
            self.settle()
            return
        for key, (job, future) in ready.items():
            del self._running[key]
            self._keep(key, job, future.result())

    def settle(self) -> None:
        """Wait for every paper that is under way."""
        broken: dict[str, Job | Joining] = {}
        for key, (job, future) in self._running.items():
            try:
                self._keep(key, job, future.result())
            except Exception:  # each executor has its own words for a process that was killed
                broken[key] = job
        self._running.clear()
        if broken:
            self.close()
            self._one_by_one(broken)

    def close(self) -> None:
        """Let the executor go; one is opened again when it is needed."""
        if self._executor is not None:
            for _, future in self._running.values():
                future.cancel()
            self._running.clear()
            self._executor.shutdown()
            self._executor = None

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """Every paper asked for inside comes from here."""
        setter, joiner = SETTER.set(self), JOINER.set(self.join)
        try:
            yield
        finally:
            SETTER.reset(setter)
            JOINER.reset(joiner)
            self.close()

    def _submit(self, executor: Executor, job: Job | Joining) -> Future[Outcome]:
        if isinstance(job, Joining):
            return executor.submit(_joined, job)
        size = sum(map(len, job.attempts))
        seconds, megabytes = self._limits
        allowed = (seconds + size / BYTES_PER_SECOND, megabytes + size // BYTES_PER_MEGABYTE)
        return executor.submit(set_within, job, *allowed)

    def _one_by_one(self, jobs: dict[str, Job | Joining]) -> None:
        """One process alone takes jobs in order, so the first unfinished one is what broke it."""
        waiting = dict(jobs)
        while waiting:
            with pool(1) as alone:
                futures = {key: self._submit(alone, job) for key, job in waiting.items()}
                for key, future in futures.items():
                    try:
                        self._keep(key, waiting[key], future.result())
                    except BrokenExecutor:
                        self._known[key] = Outcome(trouble="killed", words="its process was killed")
                        del waiting[key]
                        break
                    del waiting[key]

    def _keep(self, key: str, job: Job | Joining, outcome: Outcome) -> None:
        paper = isinstance(job, Job)
        self.set_anew += paper
        if outcome.trouble or not paper or not self.cache.put(key, outcome.pdf):
            self._known[key] = outcome


def made(
    wanted: Mapping[str, Callable[[], Made]],
    chosen: Iterable[str],
    typesetter: Typesetter | None = None,
) -> Iterator[tuple[str, Made]]:
    """Each file of `chosen` with what makes it gives, as they become ready.

    They are asked for in the order of `chosen`: papers are best put first, so that workers set them
    while all that takes no worker is made. Mistakes of authors are told together, after everything
    else was made; raises AuthorError.
    """
    mistakes: dict[Mistake, None] = {}
    ready = list(chosen)
    held: dict[str, set[str]] = {}  # the papers that each of the others waits for
    with typesetter.at_work() if typesetter else nullcontext():
        while ready or held:
            for path in ready:
                if typesetter:
                    typesetter.missing.clear()
                try:
                    yield path, wanted[path]()
                except Pending:
                    if typesetter is None:
                        raise
                    held[path] = typesetter.missing.copy()
                except AuthorError as error:
                    mistakes |= dict.fromkeys(error.mistakes)
                except PaperStopped as stopped:
                    if typesetter is None:
                        raise
                    if stopped.mistake not in typesetter.stopped:
                        typesetter.stopped.append(stopped.mistake)
            if typesetter and held:
                typesetter.wait()
                ready = [path for path, keys in held.items() if not typesetter.is_setting(keys)]
                held = {path: keys for path, keys in held.items() if path not in ready}
            else:
                ready = []
    if mistakes:
        raise AuthorError(mistakes)


def _joined(joining: Joining) -> Outcome:
    return Outcome(joining.make(joining.parts))


def set_within(job: Job, seconds: float, megabytes: int) -> Outcome:
    """`set_type` within limits, as far as this system can hold anyone to them.

    Past `seconds` it is stopped; if it sits where Python cannot stop it, its process ends a little
    later. `megabytes` is what it may take beyond what its process holds already.
    """
    try:
        with _killed_after(seconds * 1.5 + 2.0), time_limit(seconds), _memory_limit(megabytes):
            return set_type(job)
    except TooSlow:
        return Outcome(trouble="too-slow", words=f"it was not done after {seconds:.0f} s")
    except MemoryError:
        return Outcome(trouble="too-big", words=f"it asked for more than {megabytes} MB")
    except RecursionError:
        return Outcome(trouble="too-deep", words="its parts are nested too deeply")


@contextmanager
def _killed_after(seconds: float) -> Iterator[None]:
    """End this process where Python itself cannot be stopped: it sits inside a library."""
    with open(os.devnull, "w") as nowhere:  # noqa: PTH123 - a device, and faulthandler wants a file
        faulthandler.dump_traceback_later(seconds, exit=True, file=nowhere)
        try:
            yield
        finally:
            faulthandler.cancel_dump_traceback_later()


@contextmanager
def _memory_limit(megabytes: int) -> Iterator[None]:
    if sys.platform != "linux" or multiprocessing.parent_process() is None:
        yield
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    with open("/proc/self/statm") as statm:  # noqa: PTH123 - no file, a question to the kernel
        held = int(statm.read().split()[0]) * resource.getpagesize()
    most = held + megabytes * 1_000_000
    resource.setrlimit(resource.RLIMIT_AS, (most if hard < 0 else min(most, hard), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
