"""Commands that look at one recipe work while another file of the house is broken."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from anthocard.cli import main

BROKEN = {
    "a drink": ("drinks/slow-morning.md", "10 ml plain syrup", "10 mll plain syrup"),
    "its YAML": ("drinks/slow-morning.md", "name: ", "name: : "),
    "a menu": ("menus/tonight.md", "Slow Morning", "Slow Mornin"),
    "a stock line": (
        "stock.yaml",
        "gin: {pack: 700 ml}",
        "gin: {pack: 700 ml}\nmoss: {kind: spirit, abv: x}",
    ),
    "a reading": (
        "house.yaml",
        "glasses:\n",
        "calibrations: [{of: vodka, ph: 99, measured: 2026-01-01}]\nglasses:\n",
    ),
    "its row": ("house.yaml", "glasses:\n", "calibrations:\n  - {of: vodka, ph: 9\nglasses:\n"),
}


def spoil(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize("slip", BROKEN.values(), ids=BROKEN)
@pytest.mark.parametrize(
    "words",
    [
        ["figures", "drinks/first-light.md"],
        ["figures", "drinks/first-light.md", "--json"],
        ["explain", "First Light"],
        ["dial", "drinks/first-light.md", "--until", "pH 3.3"],
        ["batch", "First Light", "--serves", "4", "--json"],
    ],
    ids=lambda words: " ".join(words[:1] + words[2:]),
)
def test_a_sound_recipe_is_worked_out(
    words: list[str], slip: tuple[str, str, str], bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same answer as before the slip, and one closing line beside it says where to look."""
    words = [str(bar / one) if one.endswith(".md") else one for one in words]
    house = ["--house", str(bar)]
    assert main([*words, *house]) == 0
    whole = capsys.readouterr()
    assert whole.err == ""
    spoil(bar, *slip)
    assert main([*words, *house]) == 0
    told = capsys.readouterr()
    assert told.out == whole.out
    assert told.err.startswith(f"elsewhere in the house: 1 mistake, from bar/{slip[0]}:")
    assert told.err.count("\n") == 1


def test_a_shift_goes_on_without_what_is_broken(
    bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A drink that cannot be read is offered to no guest; asked for by name it is told why."""
    spoil(bar, "solutions/sharp-acid.md", "name: ", "name: : ")
    assert main(["tonight", "--guest", "nuts", "--json", "--house", str(bar)]) == 0
    told = capsys.readouterr()
    assert [one["name"] for one in json.loads(told.out)["drinks"]] == ["Slow Morning"]
    assert "elsewhere in the house: 1 mistake" in told.err
    assert main(["tonight", "--out-of", "sharp acid", "--house", str(bar)]) == 1
    assert "bar/solutions/sharp-acid.md:" in capsys.readouterr().err


ROW = "  - {of: vodka, ph: 9\n"


def test_a_new_reading_is_written_beside_one_that_cannot_be_read(
    bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`calibrate` and `lot`: what was wrong before is none of theirs, what they bring is."""
    spoil(bar, "house.yaml", "glasses:\n", f"calibrations:\n{ROW}glasses:\n")
    at = ["--house", str(bar)]
    assert main(["calibrate", "lemon juice", "--ph", "2.4", *at]) == 0
    text = (bar / "house.yaml").read_text(encoding="utf-8")
    assert ROW in text
    assert 'of: "lemon juice", ph: 2.4' in text
    broken = "- of: blue gin\n  lot: 26001A\n  made: yesterday\n"
    (bar / "lots.yaml").write_text(broken, encoding="utf-8")
    assert main(["lot", "plain syrup", "--start", *at]) in (0, 1)
    assert "of: plain syrup" in (bar / "lots.yaml").read_text(encoding="utf-8")
    capsys.readouterr()
    assert main(["lot", "blue gin", "--start", *at]) == 1  # its own lots cannot all be read
    assert "bar/lots.yaml:3:" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["figures", "dial"])
def test_a_broken_recipe_is_told_of_and_not_worked_out(
    command: str, bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The recipe with the slip itself: its mistake, exit code 1, no figures."""
    spoil(bar, "drinks/first-light.md", "50 ml blue gin", "50 mll blue gin")
    assert main([command, str(bar / "drinks" / "first-light.md"), "--house", str(bar)]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert "did you mean “ml”?" in told.err


@pytest.mark.parametrize("words", [["publish", "--no-paper"], ["figures", "First Light"]])
def test_mistakes_are_there_for_tools_too(
    bar: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    """With --json: one object on standard output, the words for people beside it."""
    spoil(bar, "drinks/first-light.md", "50 ml blue gin", "50 mll blue gin")
    out = ["--out", str(bar.parent / "out")] if words[0] == "publish" else []
    assert main([*words, "--house", str(bar), "--json", *out]) == 1
    told = capsys.readouterr()
    answer = json.loads(told.out)
    assert (answer["ok"], answer["counts"]["error"]) == (False, 1)
    (row,) = answer["mistakes"]
    assert (row["kind"], row["line"], row["mend"]) == ("unknown-unit", 9, "did you mean “ml”?")
    assert "did you mean “ml”?" in told.err
