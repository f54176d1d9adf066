"""Whatever breaks a publish, and whenever: what stood stays whole, and the next run mends itself."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

BREAKER = Path(__file__).with_name("breaker.py")
DOOR = BREAKER.with_name("door_breaker.py")

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked to be killed")


@pytest.fixture
def room() -> Iterator[Path]:
    """A folder in memory where there is one: hundreds of publishes wait for a disk otherwise."""
    memory = Path("/dev/shm")
    folder = tempfile.mkdtemp(dir=memory if memory.is_dir() else None)
    yield Path(folder)
    shutil.rmtree(folder)


@pytest.mark.parametrize(
    ("how", "way", "first"),
    [
        ("error", "exchange", 1),
        ("kill", "exchange", 2),
        ("error", "rename", 3),
        ("kill", "rename", 4),
    ],
)
def test_a_publish_broken_at_any_step(room: Path, how: str, way: str, first: int) -> None:
    """At every open, write, fsync, mkdir, rename and unlink: an error leaves both folders as they
    were or both new; a kill leaves each folder whole (where folders can be exchanged in one step);
    what is not ours is untouched; the next publish leaves a whole new build and no rubbish. Here
    every fifth step in each way, four of five in one of them, all by hand.
    """
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(BREAKER), str(room / "r"), how, way, "5", str(first)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert found["broken"] == []
    assert 5 * found["tried"] >= found["steps"] - 4 > 100


def test_a_publish_killed_at_any_moment(room: Path) -> None:
    """The same at moments that no call of the system marks: a few here, 300 by hand."""
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(BREAKER), str(room / "r"), "moment", "20"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert found["broken"] == []
    assert found["tried"] == 20


def test_every_command_broken_at_any_step_and_moment(room: Path) -> None:
    """A full disk, a broken one or a kill at every write-like call of every command that writes, or
    a kill at moments that no call of the system marks: each file is the old or the new one byte for
    byte, with its mode; many new ones are all there or none once somebody has looked; and no
    sentence on the screen is false. Here every fourth call and a few moments, all calls and 1,000
    moments and more by hand (door_breaker.py FOLDER error=1 kill=1 random=70).
    """
    ways = ("error=1/4", "kill=3/4", "random=2")
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(DOOR), str(room / "d"), *ways],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert min(found["steps"].values()) >= 9, found["steps"]
    assert found["broken"] == []
    assert sum(found["tried"].values()) > 2 * 160 + 28
