"""The walk over everything that goes into a recipe."""

from __future__ import annotations

from anthocard.engine.safety.ingredients import named_in, walk

from tests.engine.opened import drink, opened

FILES = {
    "stock.yaml": "test orgeat: {kind: syrup, sugar_g_per_l: 600, allergens: {contains: [almond]}}\n",
    "infusions/pea-gin.md": "kind: infusion\nname: pea gin\nplant: butterfly pea\ninto: gin\n"
    "dose: 8 g per litre\ntime: 100 min\nform: petals only\n",
    "syrups/nut.md": "kind: syrup\nname: nut\nparts: [100 ml test orgeat, 10 ml lemon juice]\n",
    "drinks/d.md": drink(
        "30 ml pea gin, 10 ml nut",
        "reveal: {pour: lime juice, amount: 5 ml}\n"
        "garnish: [a sprig of mint, smoked quartz]\nrim: celery salt\n",
    ),
}


def test_the_walk_goes_down_into_house_made_parts_and_out_to_the_rim() -> None:
    """Every leaf once, with the part it plays."""
    there = opened(FILES)
    found = walk(there.computed["d"].recipe, there.collection)
    roles = {one.ingredient.name: one.ingredient.role for one in found}
    assert roles == {
        "pea gin": "pour",
        "dried butterfly pea flowers": "plant",
        "gin": "base",
        "nut": "pour",
        "test orgeat": "part",
        "lemon juice": "part",
        "lime juice": "reveal",
        "mint leaf (a sprig of mint)": "garnish",
        "smoked quartz": "garnish",
        "celery salt (celery salt)": "rim",
    }
    assert [one.ingredient.name for one in found if not one.whole] == ["pea gin", "nut"]


def test_the_recipes_own_word_on_a_plant_comes_first() -> None:
    """Form as written in the infusion, Latin name from stock where the recipe is silent."""
    there = opened(FILES)
    (plant,) = [
        one.ingredient
        for one in walk(there.computed["pea-gin"].recipe, there.collection)
        if one.ingredient.role == "plant"
    ]
    assert (plant.form, plant.latin, plant.food_grade) == ("petals only", "Clitoria ternatea", True)
    assert plant.plant == "butterfly_pea"


def test_free_words_find_the_longest_name_in_them() -> None:
    """A pink grapefruit twist is not a grapefruit, and quartz is nothing."""
    collection = opened(FILES).collection
    twist = named_in("one long grapefruit twist, expressed", collection)
    assert twist is not None
    assert twist.name == "grapefruit peel"
    assert named_in("smoked quartz", collection) is None
