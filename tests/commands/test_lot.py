"""`anthocard lot`: what was made and read stands in a file people can read, and is told to pass or not."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from anthocard.cli import main
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix import acidity
from anthocard.engine.mix.fitting import ROOM_C
from anthocard.engine.mix.shelf import Shelf
from anthocard.house.reader import read_house

BEGUN = Path(__file__).parents[1] / "begun"
START = ("--start", "--by", "Ada", "--volume", "680 ml", "--weighed", "1.4 g dried butterfly pea flowers",
         "--weighed", "700 ml gin", "--on", "2026-11-20")  # fmt: skip
PALE = ("--absorbance", "574=0.08", "--absorbance", "618=0.07", "--diluted", "5", "--ph", "5")


@pytest.fixture
def bar(tmp_path: Path) -> Path:
    """A small house that stays as it is, whatever a new one is begun with."""
    return Path(shutil.copytree(BEGUN, tmp_path / "bar"))


@pytest.fixture
def ph(bar: Path) -> str:
    """The pH that the recipe of the blue gin is worked out at."""
    collection = read_house(bar)
    per_g = Shelf(collection, MistakeLog())["blue gin"].per_g
    return f"{float(acidity.read(per_g, ROOM_C).ph):.2f}"


def lot(bar: Path, *words: str) -> int:
    return main(["lot", *words, "--house", str(bar)])


def test_a_lot_is_written_line_by_line(bar: Path, ph: str) -> None:
    """The whole file, as its author will read it in a diff."""
    assert lot(bar, "Blue Gin", *START, "--ph", ph) == 0
    assert lot(bar, "blue-gin", "--on", "2026-11-21", *PALE) == 1
    lot(
        bar, "infusions/blue-gin.md", "--on", "2026-11-21", "--corrected", "0.8 g more, 120 minutes"
    )
    lot(bar, "blue gin", "--on", "2026-11-22", "--use")
    text = (bar / "lots.yaml").read_text(encoding="utf-8")
    assert text.split("\n\n", 1)[1] == (
        "- of: blue gin\n"
        "  lot: 26324A\n"
        "  made: 2026-11-20\n"
        '  by: "Ada"\n'
        "  volume: 680 ml\n"
        "  weighed:\n"
        "    - 1.4 g dried butterfly pea flowers\n"
        "    - 700 ml gin\n"
        "  readings:\n"
        f"    - {{ph: {float(ph):g}, measured: 2026-11-20}}\n"
        "    - {ph: 5.0, diluted: 5.0, absorbances: {574: 0.08, 618: 0.07}, measured: 2026-11-21}\n"
        '    - {corrected: "0.8 g more, 120 minutes", measured: 2026-11-21}\n'
        "  in_use: 2026-11-22\n"
    )
    assert read_house(bar).lots[0].corrections == ("0.8 g more, 120 minutes",)


def test_a_pale_lot_is_told_how_to_be_put_right(
    bar: Path, ph: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The call, both figures, the grams and minutes, what it then reads, and the risk."""
    lot(bar, "blue gin", *START, "--ph", ph)
    capsys.readouterr()
    assert lot(bar, "blue gin", *PALE) == 1
    told = capsys.readouterr().out
    assert "lot 26324A, made 2026-11-20, not in use: CORRECT" in told
    assert "steep 0.8" in told
    assert "of dried butterfly pea flowers in it for 120 minutes, and strain" in told
    assert f"then it reads pH {ph[:3]}" in told
    assert "risk: " in told


def test_json_is_for_tools(bar: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same verdict as plain values."""
    lot(bar, "blue gin", *START, *PALE)
    capsys.readouterr()
    lot(bar, "blue gin", "--json")
    told = json.loads(capsys.readouterr().out)["lots"][0]
    assert told["call"] == "correct"
    assert told["ways"][0]["steps"][0]["unit"] == "g"
    assert told["ways"][0]["delta_e00"] < 3


def test_an_author_s_own_lines_stay(bar: Path) -> None:
    """Notes, order and other lots are as they were; two lots of one day have two letters."""
    lot(bar, "blue gin", *START)
    file = bar / "lots.yaml"
    text = file.read_text(encoding="utf-8").replace("  made:", "  # the new jar\n  made:")
    file.write_text(f"{text}# the end\n", encoding="utf-8")
    lot(bar, "blue gin", "--start", "--on", "2026-11-20")
    lot(bar, "blue gin", "--lot", "26324A", "--ph", "6.4", "--on", "2026-11-21")
    after = file.read_text(encoding="utf-8")
    assert "  # the new jar\n" in after
    assert "# the end\n" in after
    assert [one.lot for one in read_house(bar).lots] == ["26324A", "26324B"]
    assert [len(one.readings) for one in read_house(bar).lots] == [1, 0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("blue jin", "--start"), "did you mean “blue gin”?"),
        (("blue gin",), "anthocard lot “blue gin” --start"),
        (("blue gin", "--start", "--ph", "6", "--volume", "680"), "write the unit"),
    ],
)
def test_what_cannot_be_written_is_told(
    words: tuple[str, ...], told: str, bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is written, and the mend is offered."""
    assert lot(bar, *words) == 1
    assert told in capsys.readouterr().err.replace("write “680 ml”", "write the unit")
    assert not (bar / "lots.yaml").exists()


def test_a_torn_file_of_lots_is_told(bar: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each slip in lots.yaml with its line: a recipe that is not made, a mark twice, a wrong key."""
    rows = [
        "- {of: blue jin, lot: A1, made: 2026-11-01}",
        "- {of: blue gin, lot: A1, made: 2026-11-01}",
        "- {of: blue gin, lot: A1, made: 2026-11-02}",
        "- {of: blue gin, lot: A2, mad: 2026-11-02}",
    ]
    (bar / "lots.yaml").write_text("\n".join(rows), encoding="utf-8")
    assert main(["proofread", "--house", str(bar), "--errors", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)["mistakes"]
    lines = {(one["kind"], one["line"]) for one in told if one["path"].endswith("lots.yaml")}
    assert {("unknown-lot", 1), ("duplicate-lot", 3), ("unknown-key", 4)} <= lines
