"""calibrate: a reading is kept, told, asked for again where it is doubtful, and never half written."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.cli import main

Told = Callable[..., tuple[int, str, str]]


@pytest.fixture
def told(bar: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Told:
    """Runs the command on the house with something typed; exit code, output, what is told aside."""

    def run(*words: str, typed: str | None = None) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed or ""))
        ask = [] if typed is None else ["--ask"]
        code = main(["calibrate", *words, *ask, "--house", str(bar)])
        return code, *capsys.readouterr()

    return run


def rows(bar: Path) -> list[str]:
    text = (bar / "house.yaml").read_text(encoding="utf-8")
    return [line.strip() for line in text.splitlines() if line.startswith("  - {of:")]


def test_the_last_reading_is_the_one_told(told: Told, bar: Path) -> None:
    """Two readings of one day are both kept; what is told of the thing is the last."""
    assert told("sharp acid", "--ph", "1.95", "--on", "2026-03-05")[0] == 0
    code, out, aside = told("sharp acid", "--ph", "2.00", "--on", "2026-03-05")
    assert (code, aside) == (0, "")
    assert "measured 2.00" in out
    assert "1.95" not in out
    assert len(rows(bar)) == 2


def test_a_backdated_reading_is_kept_and_not_heeded(told: Told, bar: Path) -> None:
    """It stands in the house, and is not reported as heeded."""
    told("lemon juice", "--ph", "2.35", "--on", "2026-03-05")
    code, out, aside = told("lemon juice", "--ph", "2.40", "--on", "2026-03-01")
    assert code == 0
    assert "not heeded" in out
    assert "heeded from now on" not in out
    assert "a later one, of 2026-03-05" in aside
    assert len(rows(bar)) == 2


def test_a_doubtful_reading_is_kept_and_told(told: Told, bar: Path) -> None:
    """Nobody to ask: the reading stands, and the warning says to read again."""
    code, _, aside = told("lemon juice", "--ph", "3.3", "--on", "2026-03-05")
    assert code == 0
    assert "2.30 is usual" in aside
    assert "second aliquot" in aside
    assert len(rows(bar)) == 1


def test_a_doubtful_reading_is_asked_for_again(told: Told, bar: Path) -> None:
    """Until two agree with each other and the tables; every one that was typed is kept."""
    code, out, aside = told("lemon juice", "--ph", "3.3", "--on", "2026-03-05", typed="2.4\n2.38\n")
    assert (code, aside) == (0, "")
    assert out.count("pH of a second aliquot") == 2
    assert [row.partition("ph: ")[2][:4].rstrip(",") for row in rows(bar)] == ["3.3", "2.4", "2.38"]


def test_ctrl_d_keeps_what_was_typed(told: Told, bar: Path) -> None:
    """The end of input after the first answer: that reading is written, nothing is said to stop."""
    code, out, _ = told("lemon juice", "--on", "2026-03-05", typed="2.4\n")
    assert code == 0
    assert "refractometer, °Bx" in out
    assert rows(bar) == ['- {of: "lemon juice", ph: 2.4, measured: 2026-03-05}']


def test_a_slip_elsewhere_does_not_lose_a_reading(told: Told, bar: Path) -> None:
    """Another file is broken, even the very recipe: the reading is kept, and where to look told."""
    for name in ("drinks/slow-morning.md", "solutions/sharp-acid.md"):
        path = bar / name
        path.write_text(path.read_text("utf-8").replace("---\n", "---\nsort: 3\n", 1), "utf-8")
        for thing in ("lemon juice", "sharp acid"):
            code, _, aside = told(thing, "--ph", "2.2", "--on", "2026-03-05")
            assert code == 0
            assert "elsewhere in the house" in aside
    assert len(rows(bar)) == 4


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["no such thing", "--ph", "3"], "nothing in the house is called"),
        (["plain syrup", "--ph", "0.6"], "cannot be plain syrup"),
        (["blue gin", "--absorbance", "574=x"], "plain number"),
        (["blue gin", "--colour", "blue"], "house.yaml:"),
        (["blue gin"], "nothing was measured here"),
        (["whisk", "--weigh", "3"], "house.yaml:"),
        (['"', "--ph", "3"], "nothing in the house is called"),
    ],
)
def test_what_cannot_be_true_is_not_written(
    words: list[str], why: str, told: Told, bar: Path
) -> None:
    """A reading that is itself the mistake leaves the file as it was, byte for byte."""
    before = (bar / "house.yaml").read_bytes()
    code, out, aside = told(*words)
    assert (code, out) == (1, "")
    assert why in aside
    assert (bar / "house.yaml").read_bytes() == before


def test_an_older_measure_does_not_replace_a_later_one(told: Told, bar: Path) -> None:
    """A dash has one row: a backdated one is refused in words, a later one takes its place."""
    assert told("dash", "--weigh", "16", "--on", "2026-03-05")[0] == 0
    code, _, aside = told("dash", "--weigh", "18", "--on", "2026-03-01")
    assert code == 1
    assert "measured again on 2026-03-05" in aside
    assert told("dash", "--weigh", "18", "--on", "2026-03-06")[0] == 0
    text = (bar / "house.yaml").read_text("utf-8")
    assert text.count("\n  dash:") == 1
    assert "{ml: 0.9, measured: 2026-03-06}" in text


def test_a_section_on_one_line_is_told_of(told: Told, bar: Path) -> None:
    """A row cannot be put below a list in brackets: said so, with its line, nothing written."""
    path = bar / "house.yaml"
    path.write_text(path.read_text("utf-8") + "calibrations: []\n", "utf-8")
    code, _, aside = told("lemon juice", "--ph", "2.4")
    assert code == 1
    assert "one row a line" in aside


@pytest.mark.parametrize(
    "words",
    [
        ["--ph", "nan"], ["--ph", "23.8"], ["--ph", "x"], ["--weigh", "0"], ["--weigh", "-3"],
        ["--weigh", "15", "--count", "0"], ["--weigh", "15", "--density", "0"],
        ["--ph", "3", "--on", "9999-12-31"], ["--ph", "3", "--on", "0001-01-01"],
        ["--ph", "3", "--on", "today"], ["--ph", "3", "--diluted", "0"], ["--strained", "140"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_figures_and_days_out_of_range(
    words: list[str], bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each is an error of usage that names the range; nothing is read or written."""
    with pytest.raises(SystemExit) as left:
        main(["calibrate", "dash", *words, "--house", str(bar)])
    assert left.value.code == 2
    assert "write" in capsys.readouterr().err
