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

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked to be killed")


@pytest.fixture
def room() -> Iterator[Path]:
    """A folder in memory where there is one: hundreds of publishes wait for a disk otherwise."""
    memory = Path("/dev/shm")
    folder = tempfile.mkdtemp(dir=memory if memory.is_dir() else None)
    yield Path(folder)
    shutil.rmtree(folder)


@pytest.mark.parametrize("way", ["exchange", "rename"])
@pytest.mark.parametrize("how", ["error", "kill"])
def test_a_publish_broken_at_any_step(room: Path, how: str, way: str) -> None:
    """At every open, write, fsync, mkdir, rename and unlink: an error leaves both folders as they
    were or both new; a kill leaves each folder whole (where folders can be exchanged in one step);
    what is not ours is untouched; the next publish leaves a whole new build and no rubbish.
    """
    told = subprocess.run(
        [sys.executable, "-W", "ignore", str(BREAKER), str(room / "r"), how, way],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found = json.loads(told.stdout)
    assert found["broken"] == []
    assert found["tried"] >= found["steps"] > 100
