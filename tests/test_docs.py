"""README and DEVELOPERS tell the truth today: commands, examples and rooms are the real ones."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from anthocard.cli import COMMANDS
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.yaml_reader import read_yaml
from anthocard.house.files import split_front_matter
from anthocard.house.model import Drink
from anthocard.terminal.keys import page

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """The fenced blocks of README in one language."""
    return re.findall(rf"(?ms)^```{language}\n(.*?)^```$", README)


def test_the_job_stands_first() -> None:
    """README opens with the job in one paragraph, before any heading but the title."""
    title, paragraph = README.split("\n\n")[:2]
    assert title == "# Anthocard"
    assert len(paragraph.split()) > 60


def test_every_command_is_described() -> None:
    """The table of commands holds every command there is, and no other."""
    table = set(re.findall(r"^\| `anthocard ([a-z][a-z-]*)", README, re.MULTILINE))
    assert table == set(COMMANDS)


def test_the_set_up_lines_call_what_is_there() -> None:
    """The two one-line commands run files of this checkout, and CI runs the same tests."""
    lines = [line for block in blocks("sh") for line in block.splitlines()]
    assert "sh .ci/publish" in lines
    assert "sh .ci/test" in lines
    assert "sh .ci/test" in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_the_example_drink_can_be_read() -> None:
    """The drink README shows is a drink the reader takes, word for word."""
    log = MistakeLog()
    source = split_front_matter(blocks("markdown")[0], "README.md", "drink", log)
    assert source is not None
    document = read_yaml(source.front, "README.md", log, 2)
    assert not log.mistakes
    assert Drink.model_validate(document.data).reveal is not None


def test_the_python_example_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines under “From Python” run as they stand, from the top of the checkout."""
    monkeypatch.chdir(ROOT)
    names: dict[str, object] = {}
    exec(compile(blocks("python")[0], "README.md", "exec"), names)  # our own words, nobody else's
    assert bytes(names["pdf"]).startswith(b"%PDF")  # type: ignore[call-overload]


def test_every_file_named_is_there() -> None:
    """Each file DEVELOPERS names exists, so a newcomer's walk has no missing step."""
    package = ROOT / "generator" / "anthocard"
    named = set(
        re.findall(r"`(?:python |sh )?([.\w/-]+\.(?:py|yaml|mjs)|\.ci/\w+(?![.\w]))", DEVELOPERS)
    )
    assert len(named) > 60
    there = [
        path.as_posix()
        for below in (ROOT / ".ci", package, ROOT / "tests")
        for path in below.glob("*" if below.name == ".ci" else "**/*")
    ]
    missing = {name for name in named if not any(path.endswith(f"/{name}") for path in there)}
    assert missing <= {"house.yaml", "facts/stock_SHELF.yaml"}


def test_developers_is_read_in_one_sitting() -> None:
    """130 lines at most, none of them longer than a screen is wide."""
    lines = DEVELOPERS.splitlines()
    assert len(lines) <= 130
    assert max(map(len, lines)) <= 150


def test_the_list_of_keys_is_that_of_today() -> None:
    """generator/KEYS.md is what `python .ci/keys.py` writes: run it after any change of what can be written."""
    assert (ROOT / "generator/KEYS.md").read_text(encoding="utf-8") == page()
