"""The wheel: what `pip install` gets, away from any checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout, built without a network."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation",
         "--disable-pip-version-check", "--wheel-dir", str(folder), str(ROOT)],
        check=True,
    )  # fmt: skip
    return next(folder.glob("*.whl"))


def test_themes_and_tables_travel_inside(wheel: Path) -> None:
    """Themes and the generic stock are in the wheel; tests and the demo house are not."""
    names = zipfile.ZipFile(wheel).namelist()
    assert "generator/themes/base/card.html" in names
    assert "generator/facts/stock.yaml" in names
    assert not [name for name in names if name.startswith(("tests/", "recipes/", "build/"))]


def test_it_publishes_a_house_from_anywhere(wheel: Path, tmp_path: Path) -> None:
    """Unpacked outside the checkout, it publishes a house's pages into a folder of its own."""
    zipfile.ZipFile(wheel).extractall(tmp_path / "lib")
    done = subprocess.run(
        [sys.executable, "-m", "generator", "publish", "--no-paper",
         "--house", str(ROOT / "recipes"), "--out", str(tmp_path / "out")],
        env={**os.environ, "PYTHONPATH": str(tmp_path / "lib"), "PYTHONSAFEPATH": "1"},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "guest" / "index.html").is_file()
    assert (tmp_path / "out" / "staff" / "index.html").is_file()
