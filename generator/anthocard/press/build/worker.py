"""Processes that set papers: how many, how they start and end, and what each of them does.

Belongs here: opening pools of them, setting one paper within its limits. Does not belong here: who
asks for which (run.py), how a paper is set (paper/typeset.py).
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from concurrent.futures import ProcessPoolExecutor
from multiprocessing.connection import wait
from multiprocessing.context import BaseContext
from multiprocessing.util import get_temp_dir

from anthocard.disk.scratch import PASSING
from anthocard.guard.enclosure import enclose
from anthocard.guard.limits import TooSlow, time_limit, worker_limit
from anthocard.guard.rubbish import look_seldom
from anthocard.press.paper.job import Job, Outcome
from anthocard.press.paper.typeset import set_type


def pool(processes: int) -> ProcessPoolExecutor:
    """A pool that starts clean: no process is a copy of one that already has threads."""
    return ProcessPoolExecutor(processes, _context(), _shut_in)


def get_ready() -> None:
    """Load what papers are set with, at once and in another process, for pools opened later.

    Where processes cannot be copied nothing is done: each of them loads it when it starts.
    """
    if _context().get_start_method() == "forkserver":
        from multiprocessing.forkserver import ensure_running

        ensure_running()


def processors() -> int:
    """How many processors this process may use."""
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def set_within(job: Job, seconds: float, megabytes: int) -> Outcome:
    """`set_type` within limits, as far as this system can hold anyone to them.

    Past `seconds` of work it is stopped; if it sits where Python cannot stop it, its process ends a
    little later. `megabytes` is what it may take beyond what its process holds already.
    """
    try:
        with worker_limit(seconds * 1.5 + 2.0, megabytes), time_limit(seconds):
            return set_type(job)
    except TooSlow:
        return Outcome(trouble="too-slow", words=f"it was not done after {seconds:.0f} s")
    except MemoryError:
        return Outcome(trouble="too-big", words=f"it asked for more than {megabytes} MB")
    except RecursionError:
        return Outcome(trouble="too-deep", words="its parts are nested too deeply")


def _context() -> BaseContext:
    # Else Python puts the current folder, a stranger's house perhaps, before its own in new ones.
    os.environ["PYTHONSAFEPATH"] = "1"
    os.environ[PASSING] = get_temp_dir()  # gone when this process ends, or with preload.py
    known = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in known else "spawn")
    if sys.platform == "linux":  # elsewhere what fonts are drawn with may not outlive being copied
        context.set_forkserver_preload(["anthocard.press.build.preload"])
    return context


def _shut_in() -> None:
    """Write nowhere but to passing files, make no connection, look for rubbish as seldom as whoever
    opened the pool, and go when it does, however it ends.
    """
    look_seldom()
    enclose([os.environ[PASSING]])
    parent = multiprocessing.parent_process()
    assert parent is not None  # only workers come here

    def watch() -> None:
        wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
