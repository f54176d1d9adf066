"""calibrate --photo: a picture beside a grey card becomes a dated reading, or a mistake in words."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import anthocard
import numpy as np
import pytest
import yaml
from anthocard.cli import main
from anthocard.facts.colour.colours import decode, lab_of_linear, srgb_of_hex
from PIL import Image

from tests.facts.test_grey_card import photograph

AT = ("--at", "30,50", "--grey", "75,50")
Told = Callable[..., tuple[int, str, str]]


@pytest.fixture
def told(bar: Path, capsys: pytest.CaptureFixture[str]) -> Told:
    def run(*words: object) -> tuple[int, str, str]:
        code = main(["calibrate", *map(str, words), "--on", "2026-03-05", "--house", str(bar)])
        return code, *capsys.readouterr()

    return run


def picture(path: Path, hex_: str, **more: object) -> Path:
    Image.fromarray(photograph(hex_, (0.9, 0.8, 0.65), 0.01, **more)).save(path, quality=95)
    return path


def readings(bar: Path) -> list[dict[str, object]]:
    house = yaml.safe_load((bar / "house.yaml").read_text(encoding="utf-8"))
    rows: list[dict[str, object]] = house["calibrations"]
    return rows


def test_a_tube_becomes_a_reading(told: Told, bar: Path, tmp_path: Path) -> None:
    """Its colour whatever the lamp, and how far off: 3 as of any photograph, and its noise."""
    photo = picture(tmp_path / "tube.jpg", "#5566c8")
    code, out, _ = told("blue gin", "--ph", 5.1, "--diluted", 5, "--photo", photo, *AT)
    assert code == 0, out
    row = readings(bar)[-1]
    assert np.abs(np.array(row["lab"]) - lab_of_linear(decode(srgb_of_hex("#5566c8")))).max() < 2.0
    assert isinstance(row["within"], float)
    assert 3.0 < row["within"] < 6.0
    assert (row["ph"], row["diluted"]) == (5.1, 5.0)
    assert "strength against the recipe" in out


def test_a_drink_is_held_against_its_colour(told: Told, bar: Path, tmp_path: Path) -> None:
    """The colour that it is told to have is no distance off; another is told, and read again. The
    printed strip beside it tells how far off a camera is, in place of what any may be.
    """
    drink = anthocard.compute(anthocard.read(bar))["first-light"]
    turn = drink.turn
    assert turn is not None
    steps = np.linspace(0.0, turn.poured_ml[-1], 101)
    known = decode(np.array([srgb_of_hex(one) for one in turn.hexes]))
    strip = np.stack([np.interp(steps, turn.poured_ml, axis) for axis in known.T], axis=1)
    photo = picture(tmp_path / "drink.jpg", drink.before.seen.side.hex, strip=strip)
    ends = ("--strip", "10,92", "90,92")
    code, out, aside = told("First Light", "--photo", photo, *AT, *ends)
    assert (code, aside) == (0, "")
    assert "colour before, photographed from the side, 5 Mar 2026: ΔE00 0." in out
    within = readings(bar)[-1]["within"]
    assert isinstance(within, float)
    assert within < 3.0
    code, _, aside = told("First Light", "--when", "after", "--photo", photo, *AT)
    assert code == 0
    assert "after the pour its colour was read ΔE00" in aside
    assert [row.get("when", "before") for row in readings(bar)] == ["before", "after"]


@pytest.mark.parametrize(
    ("words", "told_of"),
    [
        (("--photo", "PHOTO"), "nobody knows where to look"),
        (("--photo", "PHOTO", *AT, "--strip", "10,92", "90,92"), "no card of “blue gin”"),
        (("--photo", "house.yaml", *AT), "this is no picture"),
        (("--photo", "missing.jpg", *AT), "No such file"),
        (("--photo", "PIPE", *AT), "this is no picture"),
        (("--photo", "PHOTO", "--at", "75,50", "--grey", "30,50"), "is not grey"),
    ],
)
def test_what_cannot_be_read_is_told(
    words: tuple[str, ...], told_of: str, told: Told, bar: Path, tmp_path: Path
) -> None:
    """Path, why and a mend; nothing is written."""
    before = (bar / "house.yaml").read_bytes()
    photo, pipe = picture(tmp_path / "tube.jpg", "#5566c8"), tmp_path / "pipe.jpg"
    os.mkfifo(pipe)
    where = {"PHOTO": photo, "PIPE": pipe, "house.yaml": bar / "house.yaml"}
    code, _, aside = told("blue gin", *(where.get(word, word) for word in words))
    assert code == 1
    assert told_of in aside
    assert "Mend:" in aside
    assert (bar / "house.yaml").read_bytes() == before
