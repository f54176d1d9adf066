"""Allergens roll up in three states, through house-made parts, garnish, rim and reveal."""

from __future__ import annotations

import pytest
from anthocard.diagnostics.diagnostic import AuthorError

from tests.engine.opened import drink, house, opened

STOCK = """\
clean gin: {kind: spirit, abv_percent: 40, allergens: {checked: 2026-01-01}}
clean leaf: {kind: garnish, allergens: {checked: 2026-01-01}}
nut syrup: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [almond], checked: 2026-01-01}}
nut trace: {kind: syrup, sugar_g_per_l: 600, allergens: {may_contain: [peanut], checked: 2026-01-01}}
malt syrup: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [gluten], checked: 2026-01-01}}
odd wine: {kind: wine, allergens: {contains: [sulphites], checked: 2026-01-01}}
told wine: {kind: wine, sulphite_mg_per_l: 100, allergens: {contains: [sulphites], checked: 2026-01-01}}
hazelnut thing: {kind: liqueur, abv_percent: 20}
"""


def test_none_known_only_where_every_part_has_a_dated_record() -> None:
    """One undated part, were it only a leaf, and no other allergen was checked."""
    clean = drink("50 ml clean gin", "garnish: a clean leaf\n")
    there = opened({"stock.yaml": STOCK, "drinks/d.md": clean})
    assert {one.state for one in there.computed["d"].allergens} == {"none known"}
    for undated in (
        drink("50 ml clean gin, 10 ml gin"),
        drink("50 ml clean gin", "garnish: a strip of lemon peel\n"),
        drink("50 ml clean gin", "garnish: smoked quartz\n"),
        drink("50 ml clean gin", "rim: coarse pepper\n"),
        drink("50 ml clean gin", "reveal: {pour: lemon juice, amount: 5 ml}\n"),
    ):
        there = opened({"stock.yaml": STOCK, "drinks/d.md": undated})
        states = there.computed["d"].allergens
        assert {one.state for one in states} == {"unchecked"}
        assert all(one.because for one in states)


def test_the_drinks_own_dated_record_covers_what_is_not_in_stock() -> None:
    """A garnish in free words is the author's to check."""
    text = drink("50 ml clean gin", "garnish: quartz\nallergens: {checked: 2026-02-01}\n")
    there = opened({"stock.yaml": STOCK, "drinks/d.md": text})
    assert {one.state for one in there.computed["d"].allergens} == {"none known"}


@pytest.mark.parametrize(
    "text",
    [
        drink("10 ml mixed"),
        drink("10 ml clean gin", "reveal: {pour: mixed, amount: 5 ml}\n"),
        drink("10 ml clean gin", "garnish: toasted almonds\n"),
        drink("10 ml clean gin", "rim: crushed hazelnut\n"),
        drink("10 ml clean gin", "allergens: {contains: [tree nuts], checked: 2026-01-01}\n"),
    ],
)
def test_an_allergen_is_inherited_from_wherever_it_hides(text: str) -> None:
    """Two levels down, in the reveal, on the rim, in a free word, or in the recipe's own record."""
    files = {
        "stock.yaml": STOCK,
        "syrups/mixed.md": "kind: syrup\nname: mixed\nparts: [10 ml deep]\n",
        "syrups/deep.md": "kind: syrup\nname: deep\nparts: [10 ml nut syrup, 10 ml still water]\n",
        "drinks/d.md": text,
    }
    assert opened(files).state("d", "tree nuts") == "contains"


def test_the_nut_is_named() -> None:
    """“Tree nuts” alone is not enough for whoever eats some of them."""
    there = opened({"stock.yaml": STOCK, "drinks/d.md": drink("10 ml nut syrup")})
    told = next(one for one in there.computed["d"].allergens if one.key == "tree nuts")
    assert (told.label, told.because) == ("tree nuts (almond)", "nut syrup")


def test_may_contain_from_a_record_and_from_a_name() -> None:
    """A label's trace warning; and an unchecked thing called after a nut."""
    files = {"stock.yaml": STOCK, "drinks/d.md": drink("10 ml nut trace, 10 ml hazelnut thing")}
    there = opened(files)
    assert there.state("d", "peanut") == "may contain"
    reasons = {one.key: one.because for one in there.computed["d"].allergens}
    assert reasons["peanut"] == "nut trace"
    assert reasons["tree nuts"] == "hazelnut thing"


def test_the_list_is_that_of_the_place() -> None:
    """Barley gluten is told in Britain; in the US it may be the wheat that is on the list."""
    files = {"stock.yaml": STOCK, "drinks/d.md": drink("10 ml malt syrup")}
    assert opened(files, house("GB")).state("d", "gluten") == "contains"
    american = opened(files, house("US"))
    assert american.state("d", "wheat") == "may contain"
    assert "gluten" not in {one.key for one in american.computed["d"].allergens}


def test_sulphites_by_the_milligram_through_dilution() -> None:
    """Diluted to exactly ten they are told in the US only; of unknown strength, everywhere."""
    told = {"stock.yaml": STOCK, "drinks/d.md": drink("10 ml told wine, 90 ml still water")}
    assert opened(told, house("FR")).state("d", "sulphites") == "may contain"
    assert opened(told, house("US")).state("d", "sulphites") == "contains"
    odd = {"stock.yaml": STOCK, "drinks/d.md": drink("1 ml odd wine, 200 ml still water")}
    assert opened(odd, house("FR")).state("d", "sulphites") == "contains"


def test_an_allergen_that_is_not_in_the_table_is_a_mistake() -> None:
    """In stock and in a recipe, with its line and the nearest word."""
    files = {
        "stock.yaml": "odd syrup: {kind: syrup, allergens: {contains: [mlik]}}\n",
        "drinks/d.md": drink("10 ml gin", "allergens: {may_contain: [gravel]}\n"),
    }
    with pytest.raises(AuthorError) as told:
        opened(files)
    drink_mistake, stock_mistake = told.value.mistakes
    assert {one.kind for one in told.value.mistakes} == {"unknown-allergen"}
    assert (drink_mistake.place.line, stock_mistake.place.line) == (7, 1)
    assert "milk" in stock_mistake.mend
