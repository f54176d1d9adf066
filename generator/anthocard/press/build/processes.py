"""Processes beside this one: how many, how they start, and what they have loaded by then.

Belongs here: opening pools of them. Does not belong here: what they do (workers.py).
"""

from __future__ import annotations

import multiprocessing
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing.context import BaseContext


def pool(processes: int) -> ProcessPoolExecutor:
    """A pool that starts clean: no process is a copy of one that already has threads."""
    return ProcessPoolExecutor(processes, _context())


def get_ready() -> None:
    """Load what papers are set with, at once and in another process, for pools opened later.

    Where processes cannot be copied nothing is done: each of them loads it when it starts.
    """
    if _context().get_start_method() == "forkserver":
        from multiprocessing.forkserver import ensure_running

        ensure_running()


def _context() -> BaseContext:
    # Else Python puts the current folder, a stranger's house perhaps, before its own in new ones.
    os.environ["PYTHONSAFEPATH"] = "1"
    known = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in known else "spawn")
    if sys.platform == "linux":  # elsewhere what fonts are drawn with may not outlive being copied
        context.set_forkserver_preload(["anthocard.press.build.loaded"])
    return context


def processors() -> int:
    """How many processors this process may use."""
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
