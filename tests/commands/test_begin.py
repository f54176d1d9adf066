"""begin: a house that publishes at once, and never a word of anybody's lost."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from anthocard.commands.begin import STARTER
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house

Run = Callable[..., object]


def test_a_new_house_reads_and_turns(bar: Path) -> None:
    """Without a mistake or a warning of the reader, and both of its drinks change colour."""
    collection = read_house(bar)
    assert collection.warnings == ()
    computed, _ = compute(collection)
    for slug in ("first-light", "slow-morning"):
        turn = computed[slug].delta_e00
        assert turn is not None
        assert turn > 8.0


def test_what_stands_is_left_alone(anthocard: Run, bar: Path) -> None:
    """A second begin in the same folder tells what is in the way and changes nothing."""
    (bar / "house.yaml").write_text("mine", encoding="utf-8")
    (bar / "drinks" / "first-light.md").unlink()
    again = anthocard("begin", bar)
    assert again.returncode == 1
    assert "nothing is overwritten" in again.stderr
    assert (bar / "house.yaml").read_text(encoding="utf-8") == "mine"
    assert not (bar / "drinks" / "first-light.md").exists()


def test_it_stands_beside_other_files(anthocard: Run, tmp_path: Path) -> None:
    """A folder that holds something else is no obstacle."""
    (tmp_path / "notes.txt").write_text("keep", encoding="utf-8")
    assert anthocard("begin", tmp_path).returncode == 0
    assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == "keep"


@pytest.mark.parametrize(
    ("words", "locale", "expected"),
    [
        ((), "en_GB.UTF-8", ("My Long Bar", "GB", "GBP")),
        ((), "en_US.UTF-8", ("My Long Bar", "US", "USD")),
        ((), "de_DE.UTF-8", ("My Long Bar", "DE", "EUR")),
        ((), "C", ("My Long Bar", "GB", "GBP")),
        (("--name", 'A "b": c', "--place", "US-CA"), "C", ('A "b": c', "US-CA", "USD")),
        (("--currency", "DKK"), "C", ("My Long Bar", "GB", "DKK")),
    ],
)
def test_nothing_is_asked_that_can_be_guessed(
    anthocard: Run, tmp_path: Path, words: tuple[str, ...], locale: str, expected: tuple[str, ...]
) -> None:
    """Name from the folder, place from the locale, currency from the place; options go before."""
    folder = tmp_path / "my-long bar"
    assert anthocard("begin", folder, *words, env={"LANG": locale}).returncode == 0
    house = read_house(folder).house
    assert (house.name, house.place, house.currency) == expected


@pytest.mark.parametrize("words", [("--place", "XX"), ("--currency", "pounds")])
def test_a_place_that_is_none_is_refused_first(
    anthocard: Run, tmp_path: Path, words: tuple[str, ...]
) -> None:
    """A wrong option is a wrong command line, and nothing is written."""
    assert anthocard("begin", tmp_path / "bar", *words).returncode == 2
    assert not (tmp_path / "bar").exists()


def test_every_file_teaches(bar: Path) -> None:
    """The YAML files carry notes in plain words, and every recipe says which part is for whom."""
    for name in ("house.yaml", "stock.yaml"):
        notes = [x for x in (bar / name).read_text(encoding="utf-8").splitlines() if x[:1] == "#"]
        assert len(notes) >= 8, name
    for path in sorted(bar.glob("*/*.md")):
        text = path.read_text(encoding="utf-8")
        assert path.parent.name == "menus" or "## Method" in text


def test_the_schemas_come_with_it(bar: Path) -> None:
    """Each YAML file names the schema an editor finds beside it."""
    for name in ("house", "stock"):
        first = (bar / f"{name}.yaml").read_text(encoding="utf-8").split("\n")[0]
        assert first == f"# yaml-language-server: $schema=.schema/{name}.json"
        assert json.loads((bar / ".schema" / f"{name}.json").read_text(encoding="utf-8"))


def test_the_starter_is_a_house_itself() -> None:
    """What is shipped is read by the tests as it lies there, so it cannot rot."""
    assert read_house(STARTER).warnings == ()
    assert yaml.safe_load((STARTER / "stock.yaml").read_text(encoding="utf-8"))["gin"]


def test_a_file_in_the_way(anthocard: Run, tmp_path: Path) -> None:
    """A file of the folder's name is told, not touched."""
    (tmp_path / "bar").write_text("x", encoding="utf-8")
    answer = anthocard("begin", tmp_path / "bar")
    assert answer.returncode == 1
    assert "a file stands where the folder is to be" in answer.stderr
