"""Commands as a person runs them: a process of their own, real files, nothing of ours inside."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from anthocard.commands.begin import STARTER

from tests.copies import copied_commands
from tests.patience import HUNG_S

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, "-W", "error", "-m", "anthocard")

Ran = subprocess.CompletedProcess[str]


def environment(**more: str) -> dict[str, str]:
    """A quiet environment, the same on every machine.

    No byte code is written: a test that plays a full disk must not spoil it for the others.
    """
    kept = {key: os.environ[key] for key in ("PATH", "HOME", "TMPDIR") if key in os.environ}
    return {
        **kept, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1", "PYTHONDONTWRITEBYTECODE": "1",
        "COLUMNS": "80", "LANG": "en_GB.UTF-8", **more,
    }  # fmt: skip


def run(*words: object, cwd: Path | None = None, copied: bool = True, **settings: Any) -> Ran:
    """Run the command to its end; texts are UTF-8 and nothing is typed in.

    It is a copy of a process that has imported all, which takes half of the time; where Python is
    told something, or who runs it more, or with `copied` false, it starts from nothing.
    """
    more: dict[str, str] = settings.pop("env", {})
    env, told = environment(**more), [*map(str, words)]
    if copied and not settings and not any(name.startswith("PYTHON") for name in more):
        return copied_commands().run(told, cwd, env)
    return subprocess.run(
        [*COMMAND, *told], cwd=cwd, env=env, capture_output=True, encoding="utf-8",
        stdin=subprocess.DEVNULL, timeout=HUNG_S, check=False, **settings,
    )  # fmt: skip


def begin_small(house: Path) -> None:
    """A house just begun, of whose two drinks one is left: half the work, where it is enough."""
    shutil.copytree(STARTER, house)
    (house / "drinks" / "slow-morning.md").unlink()
    menu = house / "menus" / "tonight.md"
    menu.write_text(menu.read_text(encoding="utf-8").replace("      - Slow Morning\n", ""), "utf-8")


@pytest.fixture(scope="session")
def anthocard() -> Callable[..., Ran]:
    return run


@pytest.fixture(scope="session")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house just begun, by the command that begins one; with its pages beside it, in build/."""
    folder = tmp_path_factory.mktemp("begun")
    assert run("begin", folder / "bar").returncode == 0
    words = ("--house", folder / "bar", "--out", folder / "build", "--no-paper")
    assert run("publish", *words).returncode == 0
    return folder


@pytest.fixture
def bar(begun: Path, tmp_path: Path) -> Path:
    """A copy of the house just begun, for one test to spoil."""
    return Path(shutil.copytree(begun / "bar", tmp_path / "bar"))
