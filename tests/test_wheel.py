"""The wheel: what `pip install` gets, away from any checkout, and the versions pinned for it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
SOURCES = ROOT / "generator"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PYTHONS = re.findall(r"Python :: (3\.\d+)", "\n".join(PROJECT["project"]["classifiers"]))


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
    assert "anthocard/themes/base/card.html" in names
    assert "anthocard/facts/stock.yaml" in names
    assert not [name for name in names if name.startswith(("tests/", "recipes/", "build/"))]


def test_it_publishes_a_house_from_anywhere(wheel: Path, tmp_path: Path) -> None:
    """Unpacked outside the checkout, it publishes a house's pages into a folder of its own. What the
    checkout has compiled goes with it: doing that again takes half a minute.
    """
    zipfile.ZipFile(wheel).extractall(tmp_path / "lib")
    ours, theirs = (at / "anthocard" / "engine" / "optics" for at in (SOURCES, tmp_path / "lib"))
    for source in ours.glob("*.py"):
        shutil.copystat(source, theirs / source.name)  # by its time it is known
    (theirs / "__pycache__").mkdir()
    for machine_code in ours.glob("__pycache__/*.nb[ic]"):
        shutil.copy2(machine_code, theirs / "__pycache__")
    done = subprocess.run(
        [sys.executable, "-m", "anthocard", "publish", "--no-paper",
         "--house", str(ROOT / "tests" / "begun"), "--out", str(tmp_path / "out")],
        env={**os.environ, "PYTHONPATH": str(tmp_path / "lib"), "PYTHONSAFEPATH": "1"},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "guest" / "index.html").is_file()
    assert (tmp_path / "out" / "staff" / "index.html").is_file()


def pinned(python: str) -> dict[str, str]:
    """The version of each package that constraints.txt gives this Python, by canonical name."""
    text = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8")
    rows = [Requirement(row) for row in re.findall(r"(?m)^(\w.*?) \\$", text)]
    here = {"python_version": python, "python_full_version": f"{python}.0"}
    return {
        canonicalize_name(row.name): str(row.specifier).removeprefix("==")
        for row in rows
        if row.marker is None or row.marker.evaluate(here)
    }


@pytest.mark.parametrize("python", PYTHONS)
def test_every_requirement_is_pinned(python: str) -> None:
    """What the project, its tests, its cluster and its build ask for stands in constraints.txt, in a
    version that will do, for each Python that pyproject.toml names.
    """
    extras = PROJECT["project"]["optional-dependencies"]
    asked = [*PROJECT["project"]["dependencies"], *extras["test"], *extras["cluster"],
             *PROJECT["build-system"]["requires"]]  # fmt: skip
    versions = pinned(python)
    for need in map(Requirement, asked):
        assert canonicalize_name(need.name) in versions, need
        assert need.specifier.contains(versions[canonicalize_name(need.name)]), need


def test_the_oldest_python_named_is_the_oldest_allowed() -> None:
    """`requires-python` and the classifiers agree on where support begins."""
    assert PROJECT["project"]["requires-python"] == f">={PYTHONS[0]}"
