"""The demo house in recipes/: whole, invented, and its drinks really turn."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.facts.colour.colours import delta_e_2000
from anthocard.facts.stock import StockItem
from anthocard.house.model import Drink, Infusion, Made
from anthocard.house.reader import Collection, read_house
from anthocard.house.steps import word_of

RECIPES = Path(__file__).parents[1] / "recipes"
DRINKS = sorted(path.stem for path in (RECIPES / "drinks").glob("*.md"))


@cache
def collection() -> Collection:
    return read_house(RECIPES)


@cache
def computed() -> Mapping[str, Computed]:
    return compute(collection())[0]


def ingredients(drink: Drink) -> list[StockItem | Made]:
    """Every thing that goes into a glass, the reveal last, down to what was bought."""
    names = [part.name for part in drink.pours] + ([drink.reveal.pour] if drink.reveal else [])
    return [thing for name in names for thing in unfolded(name)]


def unfolded(name: str) -> list[StockItem | Made]:
    thing = collection().find(name)
    assert thing is not None, name
    if isinstance(thing, StockItem):
        return [thing]
    inner = (
        [thing.into, thing.plant]
        if isinstance(thing, Infusion)
        else [part.name for part in thing.parts]
    )
    return [thing, *(deeper for one in inner for deeper in unfolded(one))]


def plant_of(infusion: Infusion) -> str | None:
    found = collection().find(infusion.plant)
    return found.plant if isinstance(found, StockItem) else None


def kind_of(drink: Drink) -> str | None:
    """What sort of thing the reveal is."""
    found = collection().find(drink.reveal.pour) if drink.reveal else None
    return found.kind if found is not None else None


def test_it_reads_without_a_word() -> None:
    """The demo is an example to copy: reading it gives no mistake and no warning."""
    assert collection().warnings == ()


def test_it_is_large_enough_to_learn_from() -> None:
    """Infusions on six plants and in water, solutions, syrups, drinks and seven drawn glasses."""
    here = collection()
    plants = {plant_of(infusion) for infusion in here.infusions.values()}
    assert {
        "butterfly_pea", "red_cabbage", "rose", "hibiscus", "purple_sweet_potato", "black_carrot",
    } <= plants  # fmt: skip
    assert any(infusion.into == "still water" for infusion in here.infusions.values())
    assert len(here.solutions) >= 5
    assert len(here.syrups) >= 2
    assert len(here.drinks) >= 10
    assert len({drink.glass for drink in here.drinks.values()}) >= 7
    assert len(here.menus) == 1


def test_solutions_by_weight_and_by_volume() -> None:
    """Both ways of writing a solution are shown: made up to a volume, and all parts weighed."""
    solutions = collection().solutions
    assert len([one for one in solutions["fruit acid"].parts if one.name.endswith("acid")]) == 3
    assert solutions["citric solution"].made_up_to == 1000.0
    assert solutions["citrate buffer"].made_up_to == 100.0
    assert solutions["saline"].made_up_to is None
    assert [part.amount.value for part in solutions["saline"].parts] == [20.0, 80.0]


TURNS: dict[str, Callable[[Drink], bool]] = {
    "stirred, with a side pour of acid": lambda d: (
        d.method == "stirred" and kind_of(d) == "solution"
    ),
    "built long, the mixer itself turns it": lambda d: (
        d.method == "built" and kind_of(d) == "mixer"
    ),
    "shaken sour, juice on the side": lambda d: d.method == "shaken" and kind_of(d) == "juice",
    "a garnish squeezed": lambda d: kind_of(d) == "garnish",
    "ice that turns it as it melts": lambda d: d.reveal is not None and d.reveal.how == "frozen",
    "the buffer poured in, turning backwards": lambda d: (
        d.reveal is not None and "buffer" in d.reveal.pour
    ),
    "layered": lambda d: d.reveal is not None and d.reveal.how == "layered",
    "a spritz": lambda d: kind_of(d) == "wine",
    "the first colour held by a buffer": lambda d: (
        any("buffer" in part.name for part in d.pours)
        and any(getattr(collection().find(part.name), "kind", "") == "wine" for part in d.pours)
    ),
    "one that must not turn": lambda d: d.steady,
}


FORMS: dict[str, Callable[[Drink], bool]] = {
    "a ratio of a size": lambda d: (
        d.size is not None and any(p.amount.unit == "part" for p in d.pours)
    ),
    "dropped in": lambda d: any(reveal.how == "dropped" for reveal in d.revealing),
    "squeezed in": lambda d: any(reveal.how == "squeezed" for reveal in d.revealing),
    "frozen": lambda d: any(reveal.how == "frozen" for reveal in d.revealing),
    "run in as a layer": lambda d: any(reveal.how == "layered" for reveal in d.revealing),
    "a wish of a pour": lambda d: any(pour.until is not None for pour in d.pours),
    "foam": lambda d: d.method == "shaken" and any("egg white" in pour.name for pour in d.pours),
}


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_a_drink_is_shown(form: str) -> None:
    """What can be written of a drink beyond plain amounts has an example."""
    assert any(FORMS[form](drink) for drink in collection().drinks.values())


def test_ten_steps_and_more_are_shown() -> None:
    """Beyond what the short kinds write, the preparations show how things are made."""
    steps = [step for one in collection().preparations.values() for step in one.steps]
    assert len({word_of(step) for step in steps}) >= 10


@pytest.mark.parametrize("way", TURNS)
def test_every_way_to_turn_is_shown(way: str) -> None:
    """Each way of turning a drink, and the control, has at least one example."""
    assert any(TURNS[way](drink) for drink in collection().drinks.values())


def test_every_drink_is_on_the_menu_once() -> None:
    """The menu lists each drink once, and every section says what it is."""
    (menu,) = collection().menus.values()
    listed = [name for section in menu.sections for name in section.drinks]
    assert sorted(listed) == sorted(collection().drinks)
    assert all(section.note for section in menu.sections)
    assert menu.guest_text


def test_names_are_unique() -> None:
    """No two things of the house share a name."""
    here = collection()
    names = [*here.infusions, *here.solutions, *here.syrups, *here.drinks, *here.menus]
    assert len({name.casefold() for name in names}) == len(names)


def test_guests_and_staff_are_both_written_to() -> None:
    """Every recipe has words for guests and numbered steps; every drink a price in whole halves."""
    here = collection()
    for recipe in here.recipes:
        assert 10 < len(recipe.guest_text) < 200, recipe.name
        assert re.search(r"^1\. ", recipe.staff_text, re.MULTILINE), recipe.name
    for drink in here.drinks.values():
        assert drink.price is not None
        assert (2 * drink.price).is_integer(), drink.name


def test_no_proper_name_but_the_houses_own() -> None:
    """Nothing here names a maker, a product or a person: capitals only start the house's names.

    German capitalises every noun, so its sections are not read for this.
    """
    here = collection()
    own = [
        here.house.name,
        *here.drinks,
        *here.menus,
        *here.resting,
        *(s.name for m in here.menus.values() for s in m.sections),
    ]
    allowed = {word for name in own for word in re.findall(r"\w+", name)} | {"I"}
    for path in sorted(RECIPES.rglob("*.md")):
        text = "\n".join(
            line
            for line in path.read_text(encoding="utf-8").splitlines()
            if not line.startswith("latin:")
        )
        text = re.sub(r"(?ms)^## de$.*?(?=^## |\Z)", "", text)
        text = re.sub(r"(?m)^translations:\n(?:  .*\n)+", "", text)
        assert not re.search("[®™©]", text), path.name
        inside = re.findall(r"(?<=[a-zà-ÿ,;] )[A-ZÀ-Þ][a-zà-ÿ]+", text)
        assert set(inside) <= allowed, path.name
    for item in here.stock.values():
        assert item.supplier is None or item.supplier.islower()


def test_a_glass_holds_what_its_outline_holds() -> None:
    """The drawn inside, turned about its axis, has the stated volume and width (frustums)."""
    for name, glass in collection().house.glasses.items():
        assert glass.outline is not None, name
        slices = (
            math.pi / 3.0 * (top - bottom) * (r**2 + r * q + q**2)
            for (r, bottom), (q, top) in pairwise(glass.outline)
        )
        assert sum(slices) / 1000.0 == pytest.approx(glass.holds, rel=0.01), name
        assert 2.0 * max(half for half, _ in glass.outline) == pytest.approx(glass.width), name


def test_what_was_bought_for_a_drink_has_a_checked_label() -> None:
    """Allergens can only be told where every bought ingredient has a dated record."""
    for drink in collection().drinks.values():
        for thing in ingredients(drink):
            if isinstance(thing, StockItem):
                assert thing.allergens.checked is not None, f"{drink.name}: {thing.name}"


def test_gb_measures() -> None:
    """GB: gin, rum, vodka and whisky alone or with one other liquid go in 25 ml measures.

    Weights and Measures (Intoxicating Liquor) Order 1988 (SI 1988/2039) art. 3, read as quoted.
    """
    assert collection().house.place == "GB"
    for drink in collection().drinks.values():
        liquids = len(drink.pours) + (drink.reveal is not None)
        for part in drink.pours:
            if liquids <= 2 and collection().find(part.name) in collection().infusions.values():
                assert part.amount.value % 25.0 == 0.0, drink.name


@pytest.mark.parametrize("slug", DRINKS)
def test_it_turns(slug: str) -> None:
    """Every reveal changes the colour so that anyone sees it; the control does not move.

    A difference of 2.3 is just noticeable side by side (Mahy M. et al., Color Res. Appl. 19:105,
    1994, memory); eight is asked for across a table (chosen).
    """
    one = computed()[slug]
    assert one.delta_e00 is not None
    assert isinstance(one.recipe, Drink)
    if one.recipe.steady:
        assert one.delta_e00 < 2.3
    else:
        assert one.delta_e00 > 8.0


@pytest.mark.parametrize("slug", DRINKS)
def test_it_can_be_drunk(slug: str) -> None:
    """Served acidity at most 9 g/l as citric and pH above 2.4 (common practice, no source)."""
    after = computed()[slug].after
    assert after is not None
    assert 1.5 < after.titratable_acidity_g_per_l < 9.0
    assert 2.4 < after.ph < 6.5
    assert after.sugar_g_per_l < 110.0


@pytest.mark.parametrize("name", ["Dew Point", "Red Sky at Morning", "Barograph"])
def test_no_alcohol_means_none(name: str) -> None:
    """The drinks without alcohol hold no spirit at all, not even in the dashes."""
    assert all(
        item.abv_percent == 0.0
        for item in ingredients(collection().drinks[name])
        if isinstance(item, StockItem)
    )


def test_the_buffer_holds_the_first_colour() -> None:
    """Without its buffer the sherry would have turned the gin before the guest could."""
    drink = collection().drinks["Eye of the Storm"]
    bare = drink.model_copy(
        update={"pours": tuple(part for part in drink.pours if "buffer" not in part.name)}
    )
    unheld = compute(replace(collection(), drinks={bare.name: bare}, menus={}))[0]
    held, lost = computed()["eye-of-the-storm"].before, unheld["eye-of-the-storm"].before
    assert held.ph - lost.ph > 1.0
    assert float(delta_e_2000(held.colour.lab, lost.colour.lab)) > 8.0


def test_a_liquid_has_one_word_wherever_it_is_told() -> None:
    """The curve of a pour bears, before it and at its dose, the words of the two states from above.

    From the side, where more of the drink is looked through, the word may be a darker one.
    """
    for one in computed().values():
        if one.turn is not None and one.after is not None and one.reveal is not None:
            dose = int(abs(one.turn.poured_ml - (one.reveal.ml or 0.0)).argmin())
            assert one.turn.names[0] == one.before.seen.above.name, one.name
            assert one.turn.names[dose] == one.after.seen.above.name, one.name
