"""ready: every library, font and browser by name, and the exact line for this system."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from anthocard.commands.ready import in_words, inspect
from anthocard.diagnostics.tables import read_table
from anthocard.press.base.refusals import APT_LINE, BREW_LINE

Run = Callable[..., object]
TABLE = read_table("anthocard.commands", "ready.yaml")


def test_this_machine(anthocard: Run) -> None:
    """The tests' own machine sets papers, so it is ready; JSON says the same."""
    answer = anthocard("ready")
    assert answer.returncode == 0, answer.stdout
    for words in (*TABLE["libraries"], *TABLE["browsers"], "weasyprint", "FiraSans"):
        assert f"  {words}: " in answer.stdout
    shape = json.loads(anthocard("ready", "--json").stdout)
    assert list(shape) == ["system", "things", "install"]
    assert all(one["there"] for one in shape["things"] if one["sort"] == "library")


@pytest.mark.parametrize("missing", TABLE["libraries"])
@pytest.mark.parametrize("system", TABLE["systems"])
def test_a_missing_library_is_named_with_its_line(missing: str, system: str) -> None:
    """On every system we know, whichever library is missing."""
    lacking = TABLE["libraries"][missing]["names"]
    machine = inspect(
        lambda name: name not in lacking,
        lambda name: f"/usr/bin/{name}" if name in (system, "firefox") else None,
    )
    text = in_words(machine)
    assert f"  {missing}: missing" in text
    assert f"\n  {TABLE['systems'][system]['libraries']}\n" in text
    assert "pages and figures work" in text


def test_a_system_we_do_not_know() -> None:
    """What is missing is still named; nobody is sent off with a wrong line."""
    text = in_words(inspect(lambda name: False, lambda name: None))
    assert "Pango: missing" in text
    assert "this system's own package manager" in text


def test_no_browser_is_no_hindrance() -> None:
    """It is told, with a line to get one; papers and pages do not need it."""
    machine = inspect(lambda name: True, lambda name: name if name == "apt-get" else None)
    assert machine.install == (TABLE["systems"]["apt-get"]["browser"],)
    assert "Ready: figures, pages and papers." in in_words(machine)


def test_the_lines_are_those_that_publish_prints() -> None:
    """One truth: the line of the refusal and the line of ready are the same."""
    assert TABLE["systems"]["apt-get"]["libraries"] == APT_LINE
    assert TABLE["systems"]["brew"]["libraries"] == BREW_LINE
