"""tonight: without a bottle, from a shelf, for a guest; in words, as JSON and on paper."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

Run = Callable[..., object]


def test_without_a_bottle(anthocard: Run) -> None:
    """Every drink that needs it is told, saved or not, and each is told once."""
    answer = anthocard("tonight", "--house", "recipes", "--out-of", "Zitronensaft")
    assert answer.returncode == 0
    assert answer.stdout.startswith("Without lemon juice: ")
    told = json.loads(
        anthocard("tonight", "--house", "recipes", "--out-of", "lemon juice", "--json").stdout
    )
    names = [one["name"] for one in told["drinks"]]
    assert "Squall Line" in names
    assert all(answer.stdout.count(f"\n{name}\n") == 1 for name in names)
    assert all("lemon juice" not in it["name"] for one in told["drinks"] for gap in one["gaps"]
               for it in gap["stand_ins"])  # fmt: skip


def test_a_bottle_nobody_knows(anthocard: Run, bar: Path) -> None:
    """The nearest name, and nothing else."""
    for option in ("--out-of", "--with"):
        answer = anthocard("tonight", "--house", bar, option, "lemmon juice")
        assert answer.returncode == 1
        assert "did you mean “lemon juice”?" in answer.stderr


def test_from_a_shelf(anthocard: Run, bar: Path) -> None:
    """What is named, or what the stock says is there."""
    named = anthocard("tonight", "--house", bar, "--with", "blue gin, plain syrup, sharp acid")
    assert "1 of 2 drinks can be made" in named.stdout
    assert "Slow Morning: tonic water" in named.stdout
    assert "on_hand" in anthocard("tonight", "--house", bar).stdout


def test_for_a_guest_on_paper(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """A house where no label was read: nothing is safe; the paper is a PDF."""
    paper = tmp_path / "guest.pdf"
    words = ("tonight", "--house", bar, "--guest", "nuts, vegan")
    answer = anthocard(*words, "--paper", paper)
    assert "\nSafe\n" not in answer.stdout
    assert "Unknown: do not serve it before you know" in answer.stdout
    assert paper.read_bytes().startswith(b"%PDF")
    told = json.loads(anthocard(*words, "--json").stdout)
    assert told["guest"] == ["nuts and peanuts", "vegan"]
    assert {one["answer"] for one in told["drinks"]} == {"unknown"}
