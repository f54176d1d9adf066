"""Help, reference and completion: all made from the parsers, and nothing left out."""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from anthocard.cli import COMMANDS, EPILOG, whole_parser
from anthocard.commands.completion import SHELLS
from anthocard.commands.reference import commands, options_of, page

from tests.commands.conftest import ROOT, environment

Run = Callable[..., object]


@cache
def rooms() -> dict[str, argparse.ArgumentParser]:
    return commands(whole_parser())


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_an_example(name: str) -> None:
    """A sentence that says what it does, an example that starts with itself, help on every word."""
    room = rooms()[name]
    assert room.description
    assert re.search(rf"^  anthocard {name}\b", room.epilog or "", re.MULTILINE)
    for action in room._actions:
        assert action.help, action


@pytest.mark.parametrize("name", COMMANDS)
def test_every_example_can_be_typed(name: str) -> None:
    """The examples of the help are understood by the parser they belong to."""
    for line in re.findall(rf"^  anthocard {name}\b(.*)$", rooms()[name].epilog or "", re.M):
        words = re.sub(r"\s{2,}\S.*| [|>].*", "", line)  # without the note or the pipe behind it
        whole_parser().parse_args([name, *_split(words)])


def _split(words: str) -> list[str]:
    return [a or b for a, b in re.findall(r'"([^"]*)"|(\S+)', words)]


def test_the_reference_is_complete() -> None:
    """Every command, option, help text and exit code stands on the page."""
    text = "\n".join(page(whole_parser()))
    squeezed = " ".join(text.split())
    for name, room in rooms().items():
        assert f"\n{name.upper()}\n" in text
        for option, told in options_of(room).items():
            assert option in text
            assert " ".join((told % {"prog": ""}).split()) in squeezed, (name, option)
    for code in ("0", "1", "2", "3", "4", "130"):
        assert re.search(rf"^  {code} ", text, re.MULTILINE)


def test_the_readme_tells_every_command_and_exit_code() -> None:
    """Documentation is tested: no command is missing there, and no exit code."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in COMMANDS:
        assert f"anthocard {name}" in readme, name
    codes = re.findall(r"^  (\d+) ", EPILOG, re.MULTILINE)
    told = readme[readme.index("Exit codes") :]
    assert all(re.search(rf"\b{code}\b", told) for code in codes)


@pytest.mark.parametrize("columns", ["40", "80", "200"])
def test_a_narrow_terminal(anthocard: Run, columns: str) -> None:
    """At forty columns no line of prose runs on; at two hundred none is a chore to read."""
    for words in (["--help"], ["proofread", "--help"], ["explain", "ph"]):
        told = anthocard(*words, env={"COLUMNS": columns}).stdout
        widest = max((line for line in told.splitlines()), key=len)
        assert len(widest) <= min(int(columns), 90), widest


def test_no_colour_no_control_characters(anthocard: Run, bar: Path) -> None:
    """Plain words for a screen reader, with NO_COLOR and without: severity is never a colour."""
    for env in ({}, {"NO_COLOR": "1"}, {"FORCE_COLOR": "1", "TERM": "xterm"}):
        for words in (["--help"], ["proofread", "--house", bar], ["ready"]):
            answer = anthocard(*words, env=env)
            assert "\x1b" not in answer.stdout + answer.stderr
            assert "\r" not in answer.stdout + answer.stderr


def test_the_command_line_that_is_none(anthocard: Run) -> None:
    """Exit code 2 and the nearest command; no command at all shows the help."""
    answer = anthocard("publsh")
    assert answer.returncode == 2
    assert "did you mean “publish”?" in answer.stderr
    assert anthocard().returncode == 2
    assert "begin my-bar" in anthocard().stdout
    assert anthocard("publish", "--hose", "x").returncode == 2
    assert anthocard("--version").stdout.startswith("anthocard ")


@pytest.mark.parametrize("shell", SHELLS)
def test_completion_knows_everything(anthocard: Run, shell: str) -> None:
    """Each shell's script names every command and every option."""
    script = anthocard("completion", shell).stdout
    for name, room in rooms().items():
        assert re.search(rf"\b{name}\b", script)
        for option in options_of(room):
            assert (option.lstrip("-") if shell == "fish" else option) in script


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        (["anthocard", "pub"], ["publish"]),
        (["anthocard", "prev"], ["preview"]),
        (["anthocard", "publish", "--the"], ["--theme"]),
        (["anthocard", "publish", "--qu"], ["--quiet"]),
        (["anthocard", "schema", "--print", "dr"], ["drink"]),
        (["anthocard", "completion", "f"], ["fish"]),
        (["anthocard", "export", "json"], ["json-ld"]),
    ],
)
def test_bash_completes(anthocard: Run, line: list[str], offered: list[str]) -> None:
    """The script does in a real bash what it promises."""
    words = " ".join(f"'{word}'" for word in line)
    script = (
        anthocard("completion", "bash").stdout
        + f"\nCOMP_WORDS=({words}); COMP_CWORD={len(line) - 1}; _anthocard"
        + '\nprintf "%s\\n" "${COMPREPLY[@]}"\n'
    )
    done = subprocess.run(
        ["bash", "--norc", "-c", script], capture_output=True, text=True, env=environment(),
        check=True,
    )  # fmt: skip
    assert done.stdout.split() == offered
    assert done.stderr == ""


def test_help_is_quick_to_come() -> None:
    """No command and no library is loaded to show the help: of this package seven modules, of all
    Python no more than what argparse asks for.
    """
    script = (
        "import sys; before = set(sys.modules); sys.argv = ['anthocard', '--help']\n"
        "from anthocard.__main__ import program\n"
        "try: program()\n"
        "except SystemExit: print(*sorted(set(sys.modules) - before), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        env=environment(),
        check=True,
    )
    loaded = done.stderr.split()
    ours = {"", ".__main__", ".cli", ".diagnostics", ".diagnostics.plain_letters"}
    ours |= {".guard", ".guard.rubbish", ".guard.stopping"}
    assert {name for name in loaded if "anthocard" in name} == {f"anthocard{one}" for one in ours}
    assert len(loaded) < 60
