"""One mistake blocks only what rests on it, and is told once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.reader import read_house, read_sound

from tests.house.conftest import BLUE_GIN, BLUE_HOUR, HOUSE

House = Callable[..., Path]
MENU = (
    "---\nkind: menu\nname: Tonight\nsections:\n  - {name: All, drinks: [Blue Hour, Other]}\n---\n"
)
OTHER = BLUE_HOUR.replace("Blue Hour", "Other").replace("blue gin", "gin")
ALL = {"menus/tonight.md": MENU, "drinks/other.md": OTHER}
BROKEN = {
    "no front-matter": "name: Other\n",
    "open front-matter": "---\nname: Other\n",
    "not YAML": OTHER.replace("glass: ", "glass: : "),
    "a wrong unit": OTHER.replace("50 ml", "50 mll"),
    "an unknown glass": OTHER.replace("small goblet", "bucket"),
    "an odd character": OTHER.replace("Violet", "Vio\x07let"),
}


def errors(folder: Path) -> list[str]:
    with pytest.raises(AuthorError) as told:
        read_house(folder)
    return [one.kind for one in told.value.mistakes if one.severity == "error"]


@pytest.mark.parametrize("text", BROKEN.values(), ids=BROKEN)
def test_a_broken_drink_is_told_once_and_nothing_else_falls(house: House, text: str) -> None:
    """One error, none of them “unknown” in the menu; every other recipe stands in the sound part."""
    folder = house(**{**ALL, "drinks/other.md": text})
    assert len(errors(folder)) == 1
    collection, mistakes = read_sound(folder)
    assert list(collection.drinks) == ["Blue Hour"]
    assert list(collection.infusions) == ["Blue Gin"]
    assert not collection.menus  # it lists what does not stand
    assert [one.kind for one in mistakes] == errors(folder)


def test_what_rests_on_it_falls_with_it(house: House) -> None:
    """A broken infusion takes the drink that pours it, and not the drink that does not."""
    folder = house(**ALL, **{"infusions/blue-gin.md": BLUE_GIN.replace("100 min", "100")})
    collection, _ = read_sound(folder)
    assert not collection.infusions
    assert list(collection.drinks) == ["Other"]
    assert collection.find("blue gin") is None


def test_a_broken_stock_line_is_not_its_generic_one(house: House) -> None:
    """With the house's own gin unreadable no recipe is worked out with anybody else's gin."""
    folder = house(**ALL, **{"stock.yaml": "gin: {abv: strong}\nvodka: {pack: 700 ml}\n"})
    collection, _ = read_sound(folder)
    assert not collection.drinks
    assert not collection.infusions
    assert len(errors(folder)) == 1


def test_what_was_measured_of_a_broken_thing_is_no_second_mistake(house: House) -> None:
    """Neither a reading of it nor a plant that only the broken line would explain."""
    rows = "calibrations: [{of: Other, ph: 3.2, measured: 2026-01-01}]\n"
    plant = "our flowers: {kind: plant, plant: butterfly_pea, sort: 3}\n"
    infusion = BLUE_GIN.replace("plant: butterfly pea", "plant: our flowers")
    extra = {"house.yaml": HOUSE + rows, "drinks/other.md": BROKEN["a wrong unit"]}
    folder = house(**extra, **{"stock.yaml": plant, "infusions/blue-gin.md": infusion})
    assert len(errors(folder)) == 2


def test_a_circle_never_stands(house: House) -> None:
    """Two syrups made of each other fall, with what is made of them; no search runs for ever."""
    one = "---\nname: {}\nparts: [10 ml {}, 10 g sucrose]\n---\n"
    folder = house(
        **{"syrups/a.md": one.format("aa", "bb"), "syrups/b.md": one.format("bb", "aa")},
        **{"syrups/c.md": one.format("cc", "aa")},
    )
    collection, _ = read_sound(folder)
    assert not collection.syrups
    assert list(collection.drinks) == ["Blue Hour"]


@pytest.mark.parametrize("broken", [{"house.yaml": "name: x\n"}, {"stock.yaml": "- gin\n"}])
def test_everything_rests_on_the_house_and_the_stock(house: House, broken: dict[str, str]) -> None:
    """Where one of the two cannot be read there is no sound part."""
    with pytest.raises(AuthorError):
        read_sound(house(**broken))
