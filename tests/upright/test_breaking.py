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
        ("kill", "rename", 1),
    ],
)
def test_a_publish_broken_at_any_step(room: Path, how: str, way: str, first: int) -> None:
    """At every open, write, fsync, mkdir, rename and unlink: an error leaves both folders as they
    were or both new; a kill leaves each folder whole (where folders can be exchanged in one step);
    what is not ours is untouched; the next publish leaves a whole new build and no rubbish. Here
    every third step in each way, all of them by hand.
    """
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(BREAKER), str(room / "r"), how, way, "3", str(first)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert found["broken"] == []
    assert 3 * found["tried"] >= found["steps"] - 2 > 100


def test_a_publish_killed_at_any_moment(room: Path) -> None:
    """The same at moments that no call of the system marks: a few here, 300 by hand."""
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(BREAKER), str(room / "r"), "moment", "20"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert found["broken"] == []
    assert found["tried"] == 20


def broken(room: Path, *words: str) -> tuple[int, list[str]]:
    """What the door's own breaker tried, and every promise that did not hold."""
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(DOOR), str(room / "d"), *words],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert min(found["steps"].values()) >= 9, found["steps"]
    return sum(found["tried"].values()), found["broken"]


@pytest.mark.parametrize(("how", "first"), [("error", 1), ("kill", 2)])
def test_every_command_broken_at_any_step(room: Path, how: str, first: int) -> None:
    """A full disk, a broken one or a kill at every write-like call of every command that writes:
    each file is the old or the new one byte for byte, with its mode; many new ones are all there or
    none once somebody has looked; and no sentence on the screen is false. Here every third call,
    all of them by hand.
    """
    tried, promises = broken(room, how, str(first), "3")
    assert promises == []
    assert tried > 160


def test_every_command_killed_at_any_moment(room: Path) -> None:
    """The same at moments that no call of the system marks: a few here, 1,000 and more by hand
    (door_breaker.py FOLDER random 70 1).
    """
    tried, promises = broken(room, "random", "2", "1")
    assert promises == []
    assert tried >= 28
