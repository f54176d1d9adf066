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


TWO = {
    "drinks/other.md": OTHER,
    "infusions/blue-gin.md": BLUE_GIN,
    "lots.yaml": "- {of: Blue Gin, lot: 26064A, made: 2026-03-05, in_use: 2026-03-06}\n",
}
READ = "calibrations:\n  - {of: lemon juice, ph: 2.4, measured: 2026-01-01}\n"
#: What is added to house.yaml, and which of Blue Hour (blue gin, honey syrup, lemon juice, bitters
#: by the dash, in a small goblet, shaken, on cracked ice) and Other (the same with gin) then stand.
ROWS_THAT_BREAK = {
    "a reading of the gin under it": (f"{READ}  - {{of: Blue Gin, ph: 0.1, measured: 2026-01-02}}\n", "Other"),
    "no YAML": (f"{READ}  - {{of: Blue Gin, ph: 5.1, measured: 2026-01-02\n", "Other"),
    "a quote left open": (f'{READ}  - {{of: "Blue Gin, ph: 5.1, measured: 2026-01-02}}\n', "Other"),
    "by another name of it": ("calibrations:\n- {of: Zitronensaft, ph: 99, measured: 2026-01-02}\n", ""),
    "a reading of a drink": ("calibrations: [{of: Other, ph: 99, measured: 2026-01-02}]\n", "Blue Hour"),
    "a day that is none": (f"{READ}  - {{of: Blue Gin, ph: 5, measured: yesterday}}\n", "Other"),
    "a key twice": (f"{READ}  - {{of: Blue Gin, ph: 5, ph: 6, measured: 2026-01-02}}\n", "Other"),
    "of nothing anybody can read": (f"{READ}  - {{ph: 5, measured: 2026-01-02}}\n", "Blue Hour, Other"),
    "a method": ("methods:\n  stirred: {time: 20}\n", "Blue Hour, Other"),
    "the method": ("methods:\n  shaken: {dilution: 44 % of the start}\n", ""),
    "an ice": ("ices: {crushed: 120 %}\n", "Blue Hour, Other"),
    "the ice": ("ices: {cracked: 120 %}\n", ""),
    "an address": ("web: menu.example\n", "Blue Hour, Other"),
    "words": ("guest_words: {gin: [gin]}\n", "Blue Hour, Other"),
    "a word misspelt": ("voise: Something purple.\n", "Blue Hour, Other"),
}  # fmt: skip


@pytest.mark.parametrize(("more", "stand"), ROWS_THAT_BREAK.values(), ids=ROWS_THAT_BREAK)
def test_a_row_of_the_house_blocks_only_what_rests_on_it(
    house: House, more: str, stand: str
) -> None:
    """Told once, and all else goes on; what it may have been about does not."""
    folder = house(**TWO, **{"house.yaml": HOUSE + more})
    assert len(errors(folder)) == 1
    collection, mistakes = read_sound(folder)
    assert ", ".join(collection.drinks) == stand
    assert [one.kind for one in mistakes if one.severity == "error"] == errors(folder)
    assert [one.of for one in collection.house.calibrations] == ["lemon juice"] * (READ in more)


@pytest.mark.parametrize(
    "dash", ["dash: {ml: 90, measured: 2026-01-03}", "dash: {ml: 0.8, measured: 2026-01-03"]
)
def test_an_own_measure_takes_what_is_poured_by_it(house: House, dash: str) -> None:
    """Nobody else's dash stands in for it; what pours none goes on."""
    plain = OTHER.replace("  - 1 dash aromatic bitters\n", "")
    text = HOUSE.replace("dash: {ml: 0.8, measured: 2026-01-03}", dash)
    collection, _ = read_sound(house(**{"house.yaml": text, "drinks/other.md": plain}))
    assert list(collection.drinks) == ["Other"]


@pytest.mark.parametrize(
    "glass", ["small goblet: {width: 62 mm}", "small goblet: {width: 62 mm, holds: 180 ml"]
)
def test_a_glass_takes_what_is_served_in_it(house: House, glass: str) -> None:
    """And is no second mistake at each drink; a glass of the trade does not stand in for it."""
    text = HOUSE.replace("small goblet: {width: 62 mm, holds: 180 ml}", glass)
    other = OTHER.replace("small goblet", "highball")
    folder = house(**{"house.yaml": text, "drinks/other.md": other})
    assert len(errors(folder)) == 1
    assert list(read_sound(folder)[0].drinks) == ["Other"]
    own = text.replace("small goblet", "coupe")
    drink = BLUE_HOUR.replace("small goblet", "coupe")
    folder = house(**{"house.yaml": own, "drinks/other.md": other, "drinks/blue-hour.md": drink})
    assert list(read_sound(folder)[0].drinks) == ["Other"]


@pytest.mark.parametrize(
    "lot",
    [
        "- {of: Blue Gin, lot: 26065A, made: 2026-03-06, in_use: tonight}\n",
        "- of: Blue Gin\n  lot: 26065A\n  made: {2026-03-06\n  in_use: 2026-03-07\n",
        "- {of: Blue Gin, lot: 26064A, made: 2026-03-05}\n",
    ],
)
def test_a_lot_takes_what_it_is_of(house: House, lot: str) -> None:
    """It may be the one that is poured; the other lots are read."""
    folder = house(**{**TWO, "lots.yaml": TWO["lots.yaml"] + lot})
    assert len(errors(folder)) == 1
    collection, _ = read_sound(folder)
    assert list(collection.drinks) == ["Other"]
    assert [one.lot for one in collection.lots] == ["26064A"]


def test_a_line_of_the_stock_that_is_no_yaml_takes_what_it_is(house: House) -> None:
    """Several mistakes are told at once all the same."""
    stock = "gin:\n  abv: {40 % vol\n  pack: 700 ml\nlemon juice: {kind: juice}\n"
    other = OTHER.replace("50 ml gin", "50 ml vodka")
    folder = house(**{**TWO, "stock.yaml": stock, "drinks/other.md": other})
    assert len(errors(folder)) == 1
    assert list(read_sound(folder)[0].drinks) == ["Other"]


def test_places_of_other_rows_stay(house: House) -> None:
    """A reading behind one that is left out is still told at its own line."""
    rows = f"{READ.replace('2.4', '0.1')}  - {{of: nobody, ph: 5, measured: 2026-01-02}}\n"
    _, mistakes = read_sound(house(**{"house.yaml": HOUSE + rows}))
    line = len((HOUSE + rows).splitlines())
    assert [one.place.line for one in mistakes if one.kind == "unknown-calibration"] == [line]


@pytest.mark.parametrize(
    "line", ["ice_temprature: -18", "light: warm", "currency: pounds", "rules: [x]", "water: {"]
)
def test_what_every_figure_may_rest_on_blocks_all(house: House, line: str) -> None:
    """A temperature misspelt, the light, the currency, a decision on a rule: nothing is guessed."""
    with pytest.raises(AuthorError):
        read_sound(house(**{"house.yaml": f"{HOUSE}{line}\n"}))
