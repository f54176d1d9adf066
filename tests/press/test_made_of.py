"""What guests are told is in a drink: every pour down to what was bought, and never less allergen."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from anthocard.engine.compute import compute
from anthocard.house.reader import read_house
from anthocard.press.base.languages import language
from anthocard.press.data.recipe_json import as_json
from anthocard.press.words.guest import days_of, in_order, made_of
from hypothesis import given, strategies as st

from tests.engine.conftest import HOUSE

FILES = {
    "house.yaml": HOUSE,
    "infusions/blue-gin.md": "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\n"
    "dose: 3 g per litre\ntime: 50 min\n",
    "syrups/honeyed.md": "kind: syrup\nname: honeyed\nparts: [100 g honey, 100 g still water]\n",
    "drinks/a.md": "kind: drink\nname: A\nglass: coupe\nmethod: shaken\ntaste: bright, long\n"
    "pours: [40 ml blue gin, 10 ml honeyed, 10 ml orgeat, 20 ml egg white]\n"
    "reveal: {pour: lemon juice, amount: 15 ml}\ngarnish: [a strip of lemon peel]\n",
    "menus/m.md": "kind: menu\nname: M\nsections: [{name: S, drinks: [A]}]\n",
}


def told(folder: Path, more: str = "", tag: str = "en") -> str:
    """The words for the drink, with more lines in house.yaml."""
    write(folder, {**FILES, "house.yaml": f"{HOUSE}{more}"})
    collection = read_house(folder)
    computed = compute(collection)[0]
    return made_of(computed["a"], collection.house, language(tag))


def write(folder: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        front = text if name.endswith(".yaml") else f"---\n{text}---\nWords.\n"
        path.write_text(front, encoding="utf-8")


def test_every_pour_is_told_by_what_was_bought(tmp_path: Path) -> None:
    """The infusion as its gin and its plant, the syrup as its honey; water is left out."""
    assert told(tmp_path) == (
        "butterfly pea, gin, honey, orgeat (tree nuts), egg white, lemon juice, lemon peel"
    )


def test_the_house_may_rename_merge_and_hide(tmp_path: Path) -> None:
    """By the name of what it makes or of what it buys; an empty word leaves out."""
    words = (
        'guest_words: {blue gin: gin with blue flowers, honeyed: honey, lemon peel: "", '
        "lemon juice: lemon}\n"
    )
    assert told(tmp_path, words) == (
        "gin with blue flowers, honey, orgeat (tree nuts), egg white, lemon"
    )


@pytest.mark.parametrize("word", ["", "a little secret", "almond milk"])
def test_an_allergen_is_never_hidden(tmp_path: Path, word: str) -> None:
    """Whatever the house writes for orgeat and egg white, tree nuts and egg are named."""
    found = told(tmp_path, f'guest_words: {{orgeat: "{word}", egg white: "{word}"}}\n')
    assert "tree nuts" in found
    assert "egg" in found


def test_in_german(tmp_path: Path) -> None:
    """Known goods have their German word, plants theirs, and the house its own."""
    more = "languages: [de]\ntranslations: {de: {guest_words: {honeyed: Heidehonig}}}\n"
    found = told(tmp_path, more, "de")
    assert found.startswith("Schmetterlingserbse, Gin, Heidehonig")
    assert "Zitronensaft" in found


def test_the_data_hold_ingredients(tmp_path: Path) -> None:
    """Each thing bought once, with the allergens of its record; amounts are not among them."""
    write(tmp_path, FILES)
    data = as_json(compute(read_house(tmp_path))[0]["a"])
    assert {"name": "orgeat", "contains": ["tree nuts"]} in data["ingredients"]
    assert all(set(row) == {"name", "contains"} for row in data["ingredients"])


def menus(folder: Path, line: str, day: date) -> tuple[list[str], list[str]]:
    text = f"kind: menu\nname: M\n{line}sections: [{{name: S, drinks: [A]}}]\n"
    write(folder, {**FILES, "menus/m.md": text})
    collection = read_house(folder, day)
    return [*collection.menus], [*collection.resting]


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("", True), ("draft: true\n", False), ("draft: false\n", True),
        ("from: 2027-03-01\n", True), ("from: 2027-03-02\n", False),
        ("until: 2027-03-01\n", True), ("until: 2027-02-28\n", False),
        ("from: 2027-01-01\nuntil: 2027-12-31\n", True),
        ("draft: true\nfrom: 2027-01-01\n", False),
    ],
)  # fmt: skip
def test_a_menu_has_its_days(tmp_path: Path, line: str, shown: bool) -> None:
    """On the first of March 2027: both ends are days on which it is shown, a draft never is."""
    assert menus(tmp_path, line, date(2027, 3, 1)) == (["M"] * shown, ["M"] * (not shown))


@given(st.dates(date(2026, 1, 1), date(2028, 1, 1)), st.dates(date(2026, 1, 1), date(2028, 1, 1)))
def test_the_day_on_which_it_changes_is_known(begins: date, ends: date) -> None:
    """What is shown is the same on all days between two of those that are told."""
    from anthocard.house.model import Menu, Section

    begins, ends = sorted((begins, ends))
    menu = Menu.model_validate(
        {
            "name": "M",
            "from": begins,
            "until": ends,
            "sections": (Section(name="S", drinks=("A",)),),
        }
    )
    assert menu.shown_on(begins)
    assert menu.shown_on(ends)
    assert not menu.shown_on(date.fromordinal(ends.toordinal() + 1))
    assert not menu.shown_on(date.fromordinal(begins.toordinal() - 1))
    assert str(begins.year) in days_of(menu, language("en"))


def test_layers_and_steps_are_told_in_colours(tmp_path: Path) -> None:
    """What lies in layers is told from the bottom up, what is poured in turn step by step, with the
    colours a guest sees; one pour into one liquid needs no more words than its turn.
    """
    rest = "kind: drink\nglass: coupe\n"
    write(
        tmp_path,
        FILES
        | {
            "drinks/steps.md": f"{rest}name: Steps\nmethod: stirred\npours: [50 ml blue gin]\n"
            "reveals: [{pour: still water, amount: 40 ml}, {pour: lemon juice, amount: 15 ml}]\n",
            "drinks/laid.md": f"{rest}name: Laid\nmethod: built\npours: [50 ml blue gin]\n"
            "reveal: {pour: sugar syrup, amount: 20 ml, how: layered}\n",
        },
    )
    computed, english = compute(read_house(tmp_path))[0], language("en")
    assert in_order(computed["a"], english) == ""
    steps = computed["steps"]
    first, middle, last = (state.seen.above.name for state in steps.states)
    assert in_order(steps, english) == f"In 2 steps: {first}, then {middle}, then {last}."
    assert first != last
    laid = computed["laid"]
    names = [layer.colour.name for layer in laid.stages[0].layers]
    assert len(names) == 2
    assert in_order(laid, english) == f"It lies in layers, from the bottom: {', '.join(names)}."
    assert names[0] == "colourless"  # the syrup is the heavier
    assert in_order(laid, language("de")).startswith("Im Glas liegt von unten nach oben:")
