"""A shift goes on: what stands in for a bottle, what can be made, and what one guest may have."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.safety.brings import brings
from anthocard.engine.safety.for_guest import Served, answer_for
from anthocard.engine.safety.ingredients import by_line
from anthocard.engine.trade.on_the_shelf import holding, makeable, offered, on_hand
from anthocard.engine.trade.rail import Rail, in_a_batch
from anthocard.engine.trade.stand_ins import Gap, gaps
from anthocard.facts.law.needs import known_words, need_of, needs
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house

from tests.engine.conftest import write_house

READ = "allergens: {checked: 2026-11-02}"
STOCK = f"""\
gin: {{{READ}, on_hand: 700 ml}}
vodka: {{{READ}}}
lemon juice: {{{READ}, on_hand: 1 l}}
lime juice: {{{READ}}}
sucrose: {{{READ}}}
still water: {{{READ}}}
soda water: {{{READ}, on_hand: 1 l}}
whole egg: {{allergens: {{contains: [egg], checked: 2026-11-02}}}}
orgeat: {{allergens: {{contains: [almond], checked: 2026-11-02}}}}
tonic water: {{{READ}}}
lemon peel: {{{READ}, kind: garnish}}
hazelnut dust: {{kind: garnish, allergens: {{contains: [hazelnut], checked: 2026-11-02}}}}
"""
SOUR = """\
kind: drink
name: Sour
glass: small glass
method: shaken
pours: [50 ml gin, 25 ml lemon juice, 20 ml syrup]
"""
FIZZ = """\
kind: drink
name: Fizz
glass: tall glass
method: built
pours: [20 ml lemon juice, 20 ml syrup, 100 ml soda water]
"""
SYRUP = "name: syrup\nparts: [500 g sucrose, 500 g still water]\n"


class House:
    """A small house, read and worked out."""

    def __init__(self, folder: Path, files: Mapping[str, str]) -> None:
        made = {"stock.yaml": STOCK, "syrups/syrup.md": SYRUP, "drinks/sour.md": SOUR}
        self.collection: Collection = read_house(write_house(folder, {**made, **files}))
        self.computed: Mapping[str, Computed] = compute(self.collection)[0]
        self.shelf = Shelf(self.collection, MistakeLog())

    def gaps(self, slug: str, missing: str, *bottles: str) -> tuple[Gap, ...]:
        asked, rail = [(self.computed[slug], {missing})], Rail(self.shelf, bottles)
        return tuple(gaps(asked, rail, self.collection.house)[0])

    def serve(self, slug: str, *words: str) -> Served:
        one = self.computed[slug]
        drink = self.collection.drinks[one.name]
        return answer_for(one, [need_of(word) for word in words], by_line(drink, self.collection))


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path, {"drinks/fizz.md": FIZZ})


@pytest.mark.parametrize("missing", ["lemon juice", "gin", "syrup"])
def test_a_bottle_stands_in_for_itself(house: House, missing: str) -> None:
    """The same bottle again: each way of matching finds the amount that was written, and the drink
    is what it was."""
    (gap,) = house.gaps("sour", missing, missing)
    (it,) = gap.stand_ins
    assert it.saves
    was = house.computed["sour"].before
    for dose in it.doses:
        assert dose.ml == pytest.approx(gap.ml, abs=0.5 if gap.ml < 15 else 2.5)
        assert dose.off < 0.5
        assert dose.ph == pytest.approx(was.ph, abs=0.03)
    assert {by for dose in it.doses for by in dose.by} >= {
        "lemon juice": {"acidity", "pH"}, "gin": {"strength"}, "syrup": {"sweetness"},
    }[missing]  # fmt: skip


def test_lime_stands_in_for_lemon_by_its_acid(house: House) -> None:
    """Dose by hand: what is lost of the acidity, over what a millilitre of lime brings."""
    (gap,) = house.gaps("sour", "lemon juice", "lime juice")
    (it,) = gap.stand_ins
    (sour,) = (dose for dose in it.doses if "acidity" in dose.by)
    per_ml = {
        name: sum(float(house.shelf[name].per_ml[f"{acid}_mmol"]) * n for acid, n in ACIDS.items())
        for name in ("lemon juice", "lime juice")
    }
    by_hand = 25.0 * per_ml["lemon juice"] / per_ml["lime juice"]
    assert sour.ml == pytest.approx(by_hand, abs=2.5)
    assert sour.acidity_g_per_l == pytest.approx(gap.acidity_g_per_l, rel=0.06)


ACIDS = {"citric": 3, "malic": 2, "ascorbic": 1}


def test_no_dose_is_more_than_the_glass_holds(house: House) -> None:
    """However weak what stands in is."""
    for slug in ("sour", "fizz"):
        (gap,) = house.gaps(slug, "lemon juice", "tonic water", "lime juice")
        drink = house.collection.drinks[house.computed[slug].name]
        holds = house.collection.house.glasses[drink.glass].holds
        rest = house.computed[slug].before.volume_ml - gap.ml
        assert all(rest + dose.ml <= holds for it in gap.stand_ins for dose in it.doses)


def test_many_at_once_are_each_alone(house: House) -> None:
    """Drinks side by side in one call read what each reads alone, whatever else is asked."""
    rail = Rail(house.shelf, ["lime juice", "vodka", "tonic water"])
    asked = [(house.computed[slug], {"lemon juice", "gin"}) for slug in ("sour", "fizz", "sour")]
    sour, fizz, again = gaps(asked, rail, house.collection.house)
    assert sour == again
    for slug, its in (("sour", sour), ("fizz", fizz)):
        (alone,) = gaps(
            [(house.computed[slug], {"lemon juice", "gin"})], rail, house.collection.house
        )
        assert [gap.names for gap in its] == [gap.names for gap in alone]
        for one, other in zip(its, alone, strict=True):
            assert [it.name for it in one.stand_ins] == [it.name for it in other.stand_ins]
            for here, there in zip(one.stand_ins, other.stand_ins, strict=True):
                assert [(d.ml, d.by) for d in here.doses] == [(d.ml, d.by) for d in there.doses]
                assert [d.ph for d in here.doses] == pytest.approx([d.ph for d in there.doses])


def test_an_acid_is_no_spirit(house: House) -> None:
    """Only what is there for the same thing is offered; with nothing alike nothing is."""
    assert [it.name for it in house.gaps("sour", "gin", "vodka", "lime juice")[0].stand_ins] == [
        "vodka"
    ]
    assert house.gaps("sour", "gin", "lime juice", "syrup")[0].stand_ins == ()


def test_a_batch_is_made_of_something_else(house: House) -> None:
    """Vodka of the same strength: as much of it; a syrup is nothing to steep in."""
    rail = Rail(house.shelf, ["vodka", "syrup", "lime juice"])
    assert in_a_batch(house.shelf["gin"], rail) == (("vodka", pytest.approx(100.0)),)
    assert in_a_batch(house.shelf["soda water"], rail) == ()


def test_what_holds_it_and_what_does_not(house: House) -> None:
    """Down through what the house makes: sugar is in the syrup, so the syrup is not offered."""
    sour = house.collection.drinks["Sour"]
    assert holding(sour, {"lemon juice"}, house.collection) == {"lemon juice": "pour"}
    assert holding(sour, {"sucrose"}, house.collection) == {"syrup": "pour"}
    assert holding(sour, {"vodka"}, house.collection) == {}
    there = offered({"sucrose"}, house.collection)
    assert "gin" in there
    assert not {"syrup", "sucrose", "lemon peel"} & {*there}


def test_what_can_be_made(house: House) -> None:
    """Of what the stock has; of what is named; water runs from the tap; a syrup that is named
    needs no sugar."""
    fizz = house.collection.drinks["Fizz"]
    assert on_hand(house.collection) == {"gin", "lemon juice", "soda water"}
    assert makeable(fizz, on_hand(house.collection), house.collection).missing == ("sucrose",)
    for there in ({"lemon juice", "soda water", "sucrose"}, {"lemon juice", "club soda", "syrup"}):
        assert makeable(fizz, there, house.collection).missing == ()
    assert makeable(fizz, set(), house.collection).missing == (
        "lemon juice", "sucrose", "soda water",
    )  # fmt: skip


def test_a_stand_in_says_what_it_brings(house: House) -> None:
    """Almond counts as a tree nut; what was never read is told."""
    sour = house.computed["sour"]
    assert brings("orgeat", sour, house.collection) == ("almond", "tree nuts")
    assert brings("vodka", sour, house.collection) == ()
    assert brings("white rum", sour, house.collection) == ("an unread label",)


@pytest.mark.parametrize(
    ("more", "words", "answer", "without"),
    [
        ("", ("nuts",), "safe", ()),
        ("", ("alcohol",), "not safe", ()),
        ("", ("vegan", "coeliac"), "safe", ()),
        ("garnish: hazelnut dust\n", ("nuts",), "safe without", ("hazelnut dust",)),
        ("garnish: hazelnut dust\n", ("milk",), "safe", ()),
        ("garnish: a biscuit\n", ("nuts",), "safe without", ("a biscuit",)),
        ("rim: sesame salt\n", ("sesame",), "safe without", ("sesame salt",)),
        ("reveal: {pour: orgeat, amount: 5 ml}\n", ("almonds",), "safe without", ("orgeat",)),
        ("allergens: {contains: [egg]}\n", ("egg",), "not safe", ()),
        ("", ("strawberries",), "unknown", ()),
        ("garnish: a strawberry\n", ("strawberry", "alcohol"), "not safe", ()),
        ("", ("kein Alkohol",), "not safe", ()),
        ("", ("sugar-free",), "not safe", ()),
    ],
)
def test_a_guest(
    tmp_path: Path, more: str, words: tuple[str, ...], answer: str, without: tuple[str, ...]
) -> None:
    """What may go is the garnish, the rim, the reveal; free words nobody read may hold anything."""
    told = House(tmp_path, {"drinks/sour.md": SOUR + more}).serve("sour", *words)
    assert (told.answer, told.without) == (answer, without)


@pytest.mark.parametrize(
    ("pour", "word", "answer"),
    [
        ("10 ml orgeat", "nuts", "not safe"),
        ("10 ml white rum", "nuts", "unknown"),
        ("1 dash lavender bitters", "nuts", "safe without"),
        ("10 ml tonic water", "pregnant", "not safe"),
        ("10 ml cola", "no caffeine", "not safe"),
        ("10 ml dry vermouth", "vegan", "unknown"),
        ("20 ml whole egg", "vegan", "not safe"),
    ],
)
def test_a_pour_stays(tmp_path: Path, pour: str, word: str, answer: str) -> None:
    """A pour cannot go, a dash can; an unread bottle is unknown; a wine may be fined with egg."""
    fizz = FIZZ.replace("20 ml syrup", f"20 ml syrup, {pour}")
    assert House(tmp_path, {"drinks/fizz.md": fizz}).serve("fizz", word).answer == answer


def test_what_is_poured_twice_cannot_go(tmp_path: Path) -> None:
    """In the drink and in its reveal: leaving the reveal out leaves the nuts in."""
    more = "reveal: {pour: orgeat, amount: 5 ml}\n"
    sour = SOUR.replace("20 ml syrup", "20 ml orgeat") + more
    assert House(tmp_path, {"drinks/sour.md": sour}).serve("sour", "nuts").answer == "not safe"


def test_unknown_is_never_safe(tmp_path: Path) -> None:
    """Nobody has read a label: no need that a label could speak of is ever called safe."""
    house = House(tmp_path, {"stock.yaml": "gin: {pack: 700 ml}\n"})
    for need in needs().values():
        if need.allergens:
            assert house.serve("sour", need.key).answer in ("unknown", "not safe"), need.key


def test_every_word_is_understood() -> None:
    """Of the table and of the allergens, with “no” before or “free” behind."""
    assert all(need_of(word).known for word in known_words())
    assert need_of("no dairy").key == need_of("Lactose-intolerant").key == "lactose"
    assert need_of("gluten-free").key == "coeliac"
    assert need_of("sesame allergy").key == "sesame"
    assert not need_of("the colour blue").known
