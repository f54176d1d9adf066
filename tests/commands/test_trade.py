"""batch, buy and logs as a person runs them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]


def told(ran: Any) -> Any:
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)


def test_a_batch_of_a_drink(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """Weights, water, bottles and a sheet; the JSON says the same in floats and writes no paper."""
    out = tmp_path / "b.pdf"
    words = ("batch", "first light", "--serves", "30", "--house", bar, "--out", out)
    ran = anthocard(*words)
    assert ran.returncode == 0, ran.stderr
    assert out.read_bytes().startswith(b"%PDF")
    assert "bottles" in ran.stdout
    out.unlink()
    data = told(anthocard(*words, "--json", "--made", "2026-03-05", "--batch", "C"))
    assert not out.exists()
    assert (data["batch"]["serves"], data["lot"]) == (30, "26064C")
    assert data["batch"]["bottles"] == data["batch"]["labels"] > 0
    assert data["batch"]["water_g"] > 0.0


def test_bringing_a_bottle_down(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """700 ml of 40 % to 30 %: more water than the sum of volumes says (mass balance, OIML R 22)."""
    words = ("batch", "blue gin", "--down-to", "30 %", "--house", bar)
    data = told(anthocard(*words, "--have", "700 ml", "--json"))["brought_down"]
    assert data["water_ml"] > data["mixed_as_volumes_ml"]
    assert data["abv_percent"] == pytest.approx(30.0)
    both = told(anthocard(*words, "--volume", "2 l", "--json"))
    assert both["brought_down"]["total_ml"] == pytest.approx(2000.0)
    assert both["batch"]["total_ml"] == pytest.approx(2000.0)
    ran = anthocard("batch", "gin", "--have", "70 cl", "--down-to", "37.5", "--house", bar,
                    "--out", tmp_path / "b.pdf")  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert "Local codes" in ran.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("batch", "gim", "--volume", "2 l"), "gin"),
        (("batch", "gin", "--volume", "2 l"), "bought in"),
        (("batch", "gin", "--have", "2 l"), "--down-to"),
        (("batch", "gin", "--have", "2 l", "--down-to", "60"), "only lowers"),
        (("batch", "blue gin", "--serves", "3"), "--volume"),
        (("batch", "First Light", "--serves", "3", "--made", "2026-01-01", "--batch", "xx"), "letter"),
        (("buy", "--serves", "Nobody=3"), "no drink"),
        (("logs", "nobody's syrup"), "nobody's syrup"),
        (("logs", "--slope", "4.01=171, 4.1=-0.6"), "half a pH"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_told_and_writes_nothing(
    anthocard: Run, bar: Path, tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    """Exit code 1, the reason, no file and no trace of ours."""
    ran = anthocard(*words, "--house", bar, "--out", tmp_path / "x.pdf")
    assert ran.returncode == 1
    assert said in ran.stderr
    assert "Traceback" not in ran.stderr
    assert not (tmp_path / "x.pdf").exists()


@pytest.mark.parametrize(
    "words",
    [
        ("batch", "First Light"),
        ("batch", "First Light", "--serves", "0"),
        ("batch", "blue gin", "--volume", "2"),
        ("batch", "blue gin", "--volume", "2 l", "--have", "1 l"),
        ("batch", "blue gin", "--volume", "2 l", "--down-to", "110"),
        ("logs", "--slope", "4.01"),
        ("logs", "--rows", "none"),
        ("buy", "--on", "Monday"),
    ],
)
def test_a_command_line_that_means_nothing(anthocard: Run, words: tuple[str, ...]) -> None:
    """Exit code 2, and what could be written instead."""
    ran = anthocard(*words)
    assert ran.returncode == 2
    assert ran.stderr


def test_buying(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """Packs and order days from a plan; without any plan, how to write one."""
    plan = ("buy", "--serves", "First Light=120", "--house", bar)
    rows = told(anthocard(*plan, "--on", "2026-03-09", "--json"))
    assert rows["serves"] == {"First Light": 120}
    assert {"name", "to_buy", "order_by", "on_hand", "lead_days"} <= rows["buy"][0].keys()
    assert [row["name"] for row in rows["make"]]
    ran = anthocard(*plan, "--out", tmp_path / "buy.pdf")
    assert ran.returncode == 0, ran.stderr
    assert (tmp_path / "buy.pdf").read_bytes().startswith(b"%PDF")
    house = bar / "house.yaml"
    lines = house.read_text(encoding="utf-8").splitlines(keepends=True)
    house.write_text("".join(line for line in lines if not line.startswith("week:")), "utf-8")
    without = anthocard("buy", "--house", bar)
    assert without.returncode == 1
    assert "week:" in without.stderr


def test_logs_and_a_probe(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """A log a recipe, one of the probe, one of deviations; a slope is checked by Nernst's."""
    out = tmp_path / "logs.pdf"
    ran = anthocard("logs", "--house", bar, "--out", out)
    assert ran.returncode == 0, ran.stderr
    assert out.read_bytes().startswith(b"%PDF")
    (probe,) = told(anthocard("logs", "--only", "probe", "--rows", "7", "--house", bar, "--json"))
    assert probe["rows"] == 7
    good = told(anthocard("logs", "--slope", "4.01=171.4, 7.00=-0.6", "--json"))
    assert good["slope_percent"] == pytest.approx(97.2, abs=0.2)  # trade row O28
    assert good["accepted"]
    ran = anthocard("logs", "--slope", "4.01=140, 7.00=-0.6", "--at", "20C")
    assert "outside the band" in ran.stdout


def test_what_is_filled_bears_its_label(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """`--into` names a vessel for a batch and its labels; what is no vessel is told by its names."""
    house = ("--house", bar, "--out", tmp_path / "b.pdf")
    words = ("batch", "blue gin", "--volume", "40 ml", "--into", "30 ml dropper bottle")
    ran = anthocard(*words, *house)
    assert ran.returncode == 0, ran.stderr
    assert "2 dropper bottles of 30 ml" in ran.stdout
    (line,) = (line for line in ran.stdout.splitlines() if line.startswith("labels: "))
    assert line.endswith('labels "blue gin" --into "30 ml dropper bottle" --copies 2')
    ran = anthocard("labels", "blue gin", "--into", "30 ml dropper bottle", *house)
    assert "(A4-3x7)" in ran.stdout
    for command in (("batch", "blue gin", "--volume", "1 l"), ("labels",)):
        refused = anthocard(*command, "--into", "jarr", *house)
        assert refused.returncode != 0
        assert "“jar”" in refused.stderr
