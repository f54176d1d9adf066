from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.reader import read_house
from anthocard.house.references import making_order, plant_key

House = Callable[..., Path]


def syrup(name: str, *needs: str) -> str:
    """A syrup of water and other things."""
    parts = "".join(f"  - 10 ml {need}\n" for need in ("still water", *needs))
    return f"---\nname: {name}\nparts:\n{parts}---\n"


def told_by(folder: Path) -> list[tuple[str, str]]:
    """Kind and message of every mistake."""
    with pytest.raises(AuthorError) as told:
        read_house(folder)
    return [(mistake.kind, mistake.message) for mistake in told.value.mistakes]


def test_things_are_made_after_what_they_are_made_of(house: House) -> None:
    """Making order puts every part before the whole, whatever the order of the files."""
    extra = {
        "syrups/a.md": syrup("Third", "second", "first"),
        "syrups/b.md": syrup("Second", "first"),
        "syrups/c.md": syrup("First", "blue gin"),
    }
    order = [made.name for made in making_order(read_house(house(**extra)))]
    assert order == ["Blue Gin", "First", "Second", "Third"]


def test_each_loop_is_named_once(house: House) -> None:
    """Two circles give two mistakes, each naming all that stand in it."""
    extra = {
        "syrups/a.md": syrup("A", "b"),
        "syrups/b.md": syrup("B", "c"),
        "syrups/c.md": syrup("C", "a"),
        "syrups/d.md": syrup("D", "e"),
        "syrups/e.md": syrup("E", "d"),
    }
    told = told_by(house(**extra))
    assert [kind for kind, _ in told] == ["loop", "loop"]
    circles = [message.split(": ")[1].split(" needs ") for _, message in told]
    assert sorted(sorted(set(circle)) for circle in circles) == [["a", "b", "c"], ["d", "e"]]
    needs = {"a": "b", "b": "c", "c": "a", "d": "e", "e": "d"}
    for circle in circles:
        assert circle[0] == circle[-1]
        assert all(needs[one] == other for one, other in pairwise(circle))


def test_what_the_house_makes_hides_a_generic_line_of_that_name(house: House) -> None:
    """A house syrup called like a generic line is the one that is poured."""
    collection = read_house(house(**{"syrups/honey.md": syrup("Honey Syrup")}))
    assert collection.find("honey syrup") is collection.syrups["Honey Syrup"]


def test_a_drink_is_not_an_ingredient(house: House) -> None:
    """Pouring a drink into something is told as such, not as an unknown name."""
    told = told_by(house(**{"syrups/a.md": syrup("A", "blue hour")}))
    assert told == [
        ("unknown-ingredient", "“blue hour” is a drink, and drinks are not poured into others")
    ]


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Butterfly Pea", "butterfly_pea"),
        ("dried butterfly-pea flowers", "butterfly_pea"),
        ("roselle", "hibiscus"),
        ("turmeric", "turmeric"),
    ],
)
def test_a_plant_goes_by_stock_line_alias_or_plain_name(house: House, name: str, key: str) -> None:
    """Every way of naming a coloured plant leads to its row of colour data."""
    assert plant_key(name, read_house(house())) == key


def test_a_plant_without_colour_data_has_no_key(house: House) -> None:
    """A plant nobody measured is refused rather than guessed."""
    with pytest.raises(KeyError):
        plant_key("mint", read_house(house()))


def test_a_menu_lists_drinks_that_exist(house: House) -> None:
    """A menu may name a drink in any case; what is no drink is told."""
    menu = "---\nname: Evening\nsections:\n  - name: One\n    drinks: [blue-hour{more}]\n---\n"
    assert read_house(house(**{"menus/m.md": menu.format(more="")})).menus["Evening"]
    told = told_by(house(**{"menus/m.md": menu.format(more=", Blue Gin")}))
    assert told == [("unknown-drink", "no drink is called “Blue Gin”")]
