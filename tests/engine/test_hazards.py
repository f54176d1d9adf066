"""A house that names a poison is told where; a harmless one hears nothing. Planted and counted."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
import yaml
from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house

from tests.engine.conftest import HOUSE, write_house
from tests.engine.opened import drink

CHECKS = yaml.safe_load(Path(__file__).with_name("hazard_checks.yaml").read_text(encoding="utf-8"))
PLANTS = [name for names in CHECKS["plants"].values() for name in names]
HARMLESS = [name for names in CHECKS["harmless"].values() for name in names]


def told(files: dict[str, str], house: str = HOUSE) -> tuple[Mistake, ...]:
    """Every mistake and warning of a house, with those of care in front of the rest."""
    with tempfile.TemporaryDirectory() as folder:
        collection = read_house(write_house(Path(folder), files, house))
        try:
            return compute(collection)[1]
        except AuthorError as broken:
            return broken.mistakes


def of(mistakes: tuple[Mistake, ...], kind: str) -> list[Mistake]:
    return [one for one in mistakes if one.kind.startswith(kind)]


def stocked(names: list[str], more: str = "kind: other, sugar_g_per_l: 1") -> str:
    return "".join(f"{name!r}: {{{more}}}\n" for name in names)


def test_every_poison_in_stock_is_an_error_on_its_line() -> None:
    """Eighty poisons and more on the shelf, all marked food grade: each is an error where it stands."""
    names = [*PLANTS, *CHECKS["shelves"]["forbidden"]]
    assert len(names) >= 80
    mistakes = told(
        {"stock.yaml": stocked(names, "kind: other, sugar_g_per_l: 1, food_grade: true")}
    )
    errors = {one.place.line for one in of(mistakes, "hazard") if one.severity == "error"}
    assert errors == set(range(1, len(names) + 1))


def test_a_mistake_stands_under_the_name_and_says_how_to_mend_it() -> None:
    """Path, line and column of the very word, what it does, and what to do."""
    (error,) = of(
        told({"drinks/d.md": drink("30 ml gin", "garnish: [a petal of foxglove]\n")}), "hazard"
    )
    assert (error.kind, error.severity, Path(error.place.path).name) == ("hazard", "error", "d.md")
    assert error.place.text[error.place.column - 1 :].startswith("foxglove")
    assert error.place.length == len("foxglove")
    assert "heart" in error.message
    assert "food-grade mark" in error.mend
    assert "poison centre" in error.mend


@pytest.mark.parametrize(
    "files",
    [
        {"stock.yaml": "blue petals: {kind: plant, plant: rose, latin: Aconitum napellus, food_grade: true}\n"},
        {"stock.yaml": "blue petals: {kind: other, aliases: [larkspur], sugar_g_per_l: 1}\n"},
        {"stock.yaml": "elderberries: {kind: plant, plant: elderberry, latin: Sambucus nigra, form: raw, food_grade: true}\n"},
        {"infusions/x.md": "kind: infusion\nname: foxglove gin\nplant: butterfly pea\ninto: gin\ndose: 2 g per litre\ntime: 100 min\nlatin: Clitoria ternatea\nfood_grade: true\n"},
        {"infusions/x.md": "kind: infusion\nname: x\nplant: butterfly pea\ninto: gin\ndose: 2 g per litre\ntime: 100 min\nlatin: Lobelia erinus\n"},
        {"syrups/x.md": "kind: syrup\nname: oleander syrup\nparts: [100 g sucrose, 100 g water]\n"},
        {"drinks/d.md": drink("30 ml gin", "garnish: [ein Maiglöckchenzweig]\n")},
        {"drinks/d.md": drink("30 ml gin", "rim: dried tansy and salt\n")},
    ],
)  # fmt: skip
def test_a_poison_is_an_error_wherever_it_goes_in(files: dict[str, str]) -> None:
    """Stock by Latin, by other name, by part; what is made; what is weighed; garnish and rim."""
    assert [one for one in of(told(files), "hazard") if one.severity == "error"]


def test_a_slip_of_the_pen_and_running_text_are_warnings() -> None:
    """What may be a poison misspelt, or is named in the method, is told without stopping anybody."""
    mistakes = told(
        {
            "drinks/d.md": "---\n"
            + drink("30 ml gin", "garnish: [a dried delphinum]\n")
            + "---\nBlue.\n\n## Method\n\n1. Stir.\n2. Lay an oleander leaf on top.\n3. Never use yew.\n"
        }
    )
    assert {one.kind for one in of(mistakes, "hazard")} == {"hazard-perhaps", "hazard-in-text"}
    assert {one.severity for one in of(mistakes, "hazard")} == {"warning"}
    (said,) = of(mistakes, "hazard-in-text")
    assert said.place.text == "2. Lay an oleander leaf on top."
    assert said.place.text[said.place.column - 1 :].startswith("oleander")


def test_a_latin_name_of_a_food_clears_a_name_but_asks() -> None:
    """“Hemlock tips” of Tsuga canadensis are no error; somebody is asked to write what they are."""
    mistakes = told(
        {
            "stock.yaml": "hemlock: {kind: plant, plant: rose, latin: Tsuga canadensis, food_grade: true}\n"
        }
    )
    assert {(one.kind, one.severity) for one in of(mistakes, "hazard")} == {
        ("hazard-perhaps", "warning")
    }


@pytest.mark.parametrize("name", CHECKS["shelves"]["told"])
def test_what_has_a_limit_a_paper_or_a_guest_to_tell_is_told(name: str) -> None:
    """In stock it is a warning or a hint, unless a caution of the rules speaks of it."""
    from anthocard.facts.law.hazards import named

    mistakes = told({"stock.yaml": stocked([name])})
    left_to_rules = all(hit.hazard.rule or hit.hazard.verdict == "food" for hit in named(name))
    assert of(mistakes, "hazard") or left_to_rules


def test_a_plant_in_no_list_asks_who_says_it_is_food() -> None:
    """An unknown plant on the shelf or on the glass is asked after, and a known one is not."""
    mistakes = told(
        {
            "stock.yaml": "dried moonwillow: {kind: plant}\ndried mint: {kind: plant}\n",
            "drinks/d.md": drink(
                "30 ml gin", "garnish: [a moonwillow flower, a mint leaf, a glass rod]\n"
            ),
        }
    )
    assert [Path(one.place.path).name for one in of(mistakes, "plant-unknown")] == [
        "stock.yaml",
        "d.md",
    ]


def test_harmless_recipes_raise_nothing() -> None:
    """Sixty drinks and more, each with its own garnish, and all of it in stock: no word of hazard."""
    drinks = {
        f"drinks/d{number}.md": drink("30 ml gin", f"garnish: [{name!r}]\n").replace(
            "name: d\n", f"name: d{number}\n"
        )
        for number, name in enumerate(HARMLESS[:70])
    }
    mistakes = told({"stock.yaml": stocked(HARMLESS), **drinks})
    assert of(mistakes, "hazard") + of(mistakes, "plant-unknown") == []
    assert [one for one in mistakes if one.severity == "error"] == []
