"""explain: every figure says where it comes from, how, and how sure it is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.commands.explain import FIGURES
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.acids import acid_keys
from anthocard.facts.colour.pigments import plants
from anthocard.house.steps import STEPS

Run = Callable[..., object]
WORDS = read_table("anthocard.commands", "explain.yaml")["words"]


@pytest.mark.parametrize("word", WORDS)
def test_every_word_has_its_inputs_formula_and_doubt(word: str) -> None:
    """Each row names inputs, a formula, a ± and rows that exist, each of them with a source."""
    row = WORDS[word]
    assert row["inputs"]
    assert row["formula"]
    assert row["sure"]
    for way in row["rests_on"]:
        package, file, section, key = way.split(" ", 3)
        assert read_table(f"anthocard.{package}", file)[section][key]["source"]


def test_every_step_has_its_word() -> None:
    """Whoever writes a step can ask what it does by the very word of it."""
    assert set(STEPS) <= set(WORDS)


def test_every_figure_of_a_recipe_has_its_word() -> None:
    """What `explain DRINK` prints can be explained further by the word it prints."""
    assert {word for word, *_ in FIGURES} | {"colour"} <= set(WORDS)


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("ph", ["all charges add up", "Debye-Hückel", "±0.08", "(fitted)"]),
        ("ABV", ["OIML R 22", "volume shrinks"]),
        ("colour", ["Beer-Lambert", "CIELAB"]),
        ("delta e", ["CIEDE2000"]),
        ("citric acid", ["Goldberg", "(second-hand)"]),
        (
            "butterfly pea",
            ["a plant that colours", "AU per cm", "Pham T.N.", "anthocard explain colour"],
        ),
        ("lemon juice", ["Penniston", "ph: 2.3"]),
        ("shaken", ["how a drink meets its ice", "usually 12 s"]),
        ("Teelöffel", ["how each may be written", ": 5 ml"]),
        ("unit", ["how each may be written"]),
        ("ml", [": 1 ml", "measures.ml"]),
        ("DE", ["mit Farbstoff", "AlkStG", "(read; looked at on", "Hauptzollamt"]),
        ("GB", ["GB-ENG: Businesses of 250"]),
    ],
)
def test_a_word(anthocard: Run, tmp_path: Path, word: str, told: list[str]) -> None:
    """Figures by any of their names, acids, plants and bottles, in no house at all."""
    answer = anthocard("explain", word, cwd=tmp_path)
    assert answer.returncode == 0, answer.stderr
    text = " ".join(answer.stdout.split())
    for words in told:
        assert words in text


@pytest.mark.parametrize("word", ["First Light", "first-light", "drinks/first-light.md"])
def test_a_drink(anthocard: Run, bar: Path, word: str) -> None:
    """Its pours, each figure with its ±, what was a default, and every source."""
    answer = anthocard("explain", word, "--house", bar)
    assert answer.returncode == 0, answer.stderr
    for words in (
        "50 ml blue gin", "As it leaves the bar", "Once the reveal is in", "gin: composition",
        "It rests on", "(second-hand)",
    ):  # fmt: skip
        assert words in answer.stdout
    for word_told, *_ in FIGURES:
        lines = [x for x in answer.stdout.splitlines() if x.startswith(f"  - {word_told}: ")]
        assert len(lines) == 2
        assert all("±" in line or "estimate" in line or "measure it" in line for line in lines), (
            lines
        )


def test_a_word_that_is_none(anthocard: Run, bar: Path) -> None:
    """The nearest word or name is offered."""
    answer = anthocard("explain", "Frist Light", "--house", bar)
    assert answer.returncode == 1
    assert "did you mean “First Light”?" in answer.stderr


def test_every_acid_and_plant_can_be_asked_for(anthocard: Run) -> None:
    """None of them is shadowed by a word of another meaning, and the list shows the words."""
    listed = anthocard("explain").stdout
    assert all(word in listed for word in WORDS)
    also = {name.casefold() for row in WORDS.values() for name in row["also"]} | set(WORDS)
    assert not also & {key.replace("_", " ") for key in (*acid_keys(), *plants())}


def test_law_is_that_of_the_houses_place_and_ends_with_whom_to_ask(
    anthocard: Run, tmp_path: Path
) -> None:
    """Every list, of the house's place or of any other, has its offices for a last line."""
    (tmp_path / "house.yaml").write_text("name: H\nplace: US-TN\ncurrency: USD\n", "utf-8")
    for word, office in (("law", "Tennessee"), ("CH", "cantonal"), ("BR", "food authority")):
        answer = anthocard("explain", word, cwd=tmp_path)
        assert answer.returncode == 0, answer.stderr
        last = answer.stdout.rstrip().rpartition("\n\n")[2]
        assert last.startswith("Ask ")
        assert office in " ".join(last.split())
    law = " ".join(anthocard("explain", "law", cwd=tmp_path).stdout.split())
    assert "within 240 hours" in law
    assert "Illinois" not in law
