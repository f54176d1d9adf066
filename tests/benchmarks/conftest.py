"""The table at the end of a run of the benchmarks; they are no part of the tests.

    pip install -e '.[bench]'
    python -m pytest tests/benchmarks/bench_speed.py -p no:xdist

Every row is a ratio of two things measured in one run, or a count, so that a busy or a slow machine
changes little.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

_ROWS: list[tuple[str, str, str, str]] = []


def usual(own: Path | None = None) -> dict[str, str]:
    """What a process finds around it anywhere: Python keeps what it compiled; caches in `own`."""
    around = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return around if own is None else {**around, "XDG_CACHE_HOME": str(own)}


@pytest.fixture(scope="session", autouse=True)
def drawn_once() -> None:
    """Here nothing that was made for one measure is kept for the next."""


@pytest.fixture
def row() -> Callable[..., None]:
    """Put a line into the table: what, to reach, found, whether it is reached."""

    def put(what: str, reach: str, found: str, reached: bool) -> None:
        _ROWS.append((what, reach, found, "yes" if reached else "**no**"))

    return put


@pytest.fixture(scope="session")
def clock() -> Callable[..., float]:
    """The best whole-process time of a command in ms, of `times` runs."""

    def best(command: Sequence[str | Path], times: int = 15) -> float:
        found = []
        for _ in range(times):
            start = time.perf_counter()
            subprocess.run(command, check=True, capture_output=True, env=usual())
            found.append(time.perf_counter() - start)
        return 1e3 * min(found)

    return best


@pytest.fixture(scope="session")
def bare(clock: Callable[..., float]) -> float:
    """What Python itself takes to start and stop, ms."""
    return clock([sys.executable, "-c", "pass"])


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """The table, ready for README."""
    if _ROWS:
        terminalreporter.section("reached")
        for line in [("what", "to reach", "found", "reached"), ("---",) * 4, *_ROWS]:
            terminalreporter.write_line("| " + " | ".join(line) + " |")
