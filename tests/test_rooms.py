"""The house of code keeps its measure: rooms nobody gets lost in, names that mean one thing."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "generator" / "anthocard"
MODULES = [path for path in PACKAGE.rglob("*.py") if path.name != "__init__.py"]
MOST_IN_A_ROOM = {"commands": 24}  # of any other: 16
MOST_NAMED_TWICE = 5


def test_no_room_has_more_modules_than_can_be_looked_over() -> None:
    """A list of sixteen names is read at a glance; commands are an index of their own."""
    rooms = Counter(path.parent for path in MODULES)
    crowded = {
        room.name: count for room, count in rooms.items()
        if count > MOST_IN_A_ROOM.get(room.name, 16)
    }  # fmt: skip
    assert not crowded


def test_hardly_any_two_modules_have_one_name() -> None:
    """Whoever is told a name finds the module, not two of them."""
    stems = Counter(path.stem for path in MODULES)
    twice = sorted(stem for stem, count in stems.items() if count > 1)
    assert len(twice) <= MOST_NAMED_TWICE, twice


def test_rooms_import_downwards_only() -> None:
    """The contracts of pyproject.toml hold: floors, and the rooms of engine and press."""
    found = shutil.which("lint-imports", path=Path(sys.executable).parent)
    if found is None:
        pytest.skip("import-linter is not installed")
    ran = subprocess.run([found, "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stdout
    assert "0 broken" in ran.stdout
