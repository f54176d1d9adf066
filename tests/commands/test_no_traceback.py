"""Odd terminals, figures and days: each ends in words, none in a traceback."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.cli import main
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.diagnostics.plain_letters import plain
from anthocard.house.reader import read_house
from hypothesis import given, strategies as st

from tests.commands.conftest import Ran

Run = Callable[..., Ran]


@pytest.mark.parametrize("encoding", ["cp1252", "ascii"])
def test_a_terminal_without_our_letters(encoding: str, anthocard: Run, bar: Path) -> None:
    """Signs are spelt, accents and quotes come out plain; JSON is whole all the same."""
    drink = bar / "drinks" / "first-light.md"
    env = {"PYTHONUTF8": "0", "PYTHONIOENCODING": encoding, "LANG": "C", "LC_ALL": "C"}
    dial = anthocard("dial", drink, "--house", bar, "--until", "pH 3.3", env=env, errors="replace")
    assert (dial.returncode, "Traceback" in dial.stderr) == (0, False)
    assert "looks the same as t" in dial.stdout
    wide = json.loads(anthocard("figures", drink, "--house", bar, "--json").stdout)
    told = anthocard("figures", drink, "--house", bar, "--json", env=env, errors="replace")
    assert json.loads(told.stdout) == wide


@given(st.text())
def test_any_text_has_plain_letters(text: str) -> None:
    """Nothing but ASCII comes out, and what is ASCII stays as it is."""
    assert plain(text).isascii()
    assert plain(text) == text or not text.isascii()


@pytest.mark.parametrize(
    "words",
    [
        ["publish", "--processes", "-1"], ["publish", "--processes", "0"],
        ["cards", "--up", "0"], ["cards", "--up", "-2"], ["cards", "--date", "9999-12-31"],
        ["labels", "--copies", "0"], ["labels", "--skip", "-1"], ["labels", "--skip", "999999"],
        ["labels", "--made", "9999-12-31"], ["labels", "--made", "2026-02-30"],
        ["batch", "First Light", "--serves", "0"], ["batch", "First Light", "--serves", "²"],
        ["batch", "blue gin", "--volume", "1 l", "--made", "9999-12-31"],
        ["buy", "--on", "0001-01-01"], ["buy", "--on", "next week"],
        ["preview", "--port", "-5"], ["preview", "--port", "99999"], ["logs", "--rows", "0"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_counts_and_days_out_of_range(
    words: list[str], bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An error of usage that says what can be written, before anything is read or made."""
    before = sorted(bar.parent.rglob("*"))
    with pytest.raises(SystemExit) as left:
        main([*words, "--house", str(bar)])
    assert left.value.code == 2
    assert "write " in capsys.readouterr().err
    assert sorted(bar.parent.rglob("*")) == before


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("ice_temperature: 4 °C", "warm-ice"),
        ("freezer_temperature: 1 °C", "warm-ice"),
        ("ices: {crushed: 100 %}", "no-room"),
    ],
)
def test_ice_that_is_none(line: str, kind: str, bar: Path) -> None:
    """Warm ice, or ice that leaves no room, is an author's mistake with its place and mend."""
    path = bar / "house.yaml"
    path.write_text(f"{path.read_text('utf-8')}\n{line}\n", "utf-8")
    with pytest.raises(AuthorError) as told:
        read_house(bar)
    (mistake,) = told.value.mistakes
    assert (mistake.kind, mistake.place.line > 1) == (kind, True)
    for mended in ("ice_temperature: 0 °C", "freezer_temperature: -1 °C", "ices: {crushed: 90 %}"):
        if mended.split(":")[0] == line.split(":")[0]:
            path.write_text(path.read_text("utf-8").replace(line, mended), "utf-8")
    assert read_house(bar)


@pytest.mark.parametrize("day", ["0001-01-01", "1999-12-31", "9999-12-31"])
def test_any_day_in_the_house_is_told_of(
    day: str, bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first and the last day of the calendar beside a price, a label and a reading: words."""
    path = bar / "house.yaml"
    rows = f"calibrations:\n  - {{of: lemon juice, ph: 2.3, measured: {day}}}\n"
    path.write_text(f"{path.read_text('utf-8')}\npriced: {day}\n{rows}", "utf-8")
    assert main(["proofread", "--house", str(bar)]) == 0
    told = capsys.readouterr().out
    assert ("not come yet" in told) == (day > "2500")
    assert ("measured too long ago" in told) == (day < "2500")
