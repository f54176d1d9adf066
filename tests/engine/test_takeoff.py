"""Stock take-off: a week of serves down to packs, through everything made in house."""

from __future__ import annotations

from datetime import date

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.trade.demand import (
    HouseMade,
    StockNeed,
    TakeOff,
    packs_to_buy,
    take_off,
    week_of,
)

from tests.engine.opened import drink, house, opened

FILES = {
    "stock.yaml": "gin: {pack: 700 ml, price: 20, lead_days: 3, supplier: Dock 4}\n"
    "dried butterfly pea flowers: {pack: 50 g}\n",
    "infusions/pea-gin.md": "kind: infusion\nname: pea gin\nplant: butterfly pea\ninto: gin\n"
    "dose: 8 g per litre\ntime: 100 min\nstrained: 91.4 %\nbatch: 1 l\n",
    "drinks/d.md": drink("45 ml pea gin", "garnish: a mint leaf\n"),
}


def taken(
    files: dict[str, str] = FILES, week: dict[str, float] | None = None, more: str = ""
) -> TakeOff:
    there = opened(files, house(more=more if "spare" in more else f"{more}spare_percent: 0\n"))
    return take_off(there.computed, there.collection, there.shelf, week)


def need(found: TakeOff, name: str) -> StockNeed:
    return next(one for one in found.buy if one.name == name)


def test_a_week_comes_down_to_bottles() -> None:
    """126 serves of 45 ml at 91.4 % yield are 6.20 l, nine bottles (common practice, no source)."""
    found = taken(week={"d": 126})
    gin = need(found, "gin")
    assert gin.amount == pytest.approx(6204, abs=2)
    assert (gin.unit, gin.to_buy, gin.pack) == ("ml", 9, "700 ml")
    assert gin.cost == pytest.approx(180.0)
    assert gin.order_by(date(2026, 3, 9)) == date(2026, 3, 6)
    flowers = need(found, "dried butterfly pea flowers")
    assert flowers.amount == pytest.approx(8 * 6.204, abs=0.05)
    assert flowers.to_buy == 1
    assert found.make == (HouseMade("pea gin", pytest.approx(5670.0), pytest.approx(5670.0)),)


def test_the_houses_own_week_and_waste() -> None:
    """The plan stands in house.yaml; ten per cent waste is ten per cent more."""
    plain = taken(more="week: {d: 100}\n")
    wasteful = taken(more="week: {d: 100}\nwaste_percent: 10\n")
    assert need(wasteful, "gin").amount == pytest.approx(1.1 * need(plain, "gin").amount)


def test_stock_on_hand_and_par_count() -> None:
    """Nine needed, four on hand, two to be left at the end: seven to buy."""
    files = FILES | {
        "stock.yaml": "gin: {pack: 700 ml, on_hand: 2.8 l, par: 1400 ml}\n"
        "dried butterfly pea flowers: {pack: 50 g, on_hand: 200 g}\n"
    }
    found = taken(files, {"d": 126})
    assert need(found, "gin").on_hand == pytest.approx(4.0)
    assert need(found, "gin").to_buy == 7
    assert need(found, "dried butterfly pea flowers").to_buy == 0
    assert [packs_to_buy(2.0), packs_to_buy(2.1), packs_to_buy(1.0, 5.0)] == [2, 3, 0]


def test_what_has_no_pack_is_still_counted() -> None:
    """Leaves by the piece, with nobody to say how many make a bunch."""
    mint = need(taken(week={"d": 30}), "mint leaf")
    assert (mint.amount, mint.needed, mint.to_buy) == (30.0, None, None)


def test_what_is_poured_and_what_is_laid_on_add_up_apart() -> None:
    """Lavender as a dash in the drink and as drops on top: the dashes come down to bottles still."""
    files = FILES | {
        "stock.yaml": "gin: {pack: 700 ml}\norange bitters: {pack: 100 ml}\n",
        "drinks/d.md": drink(
            "45 ml gin, 2 dashes orange bitters", "garnish: a line of the orange bitters\n"
        ),
    }
    poured, laid = [one for one in taken(files, {"d": 100}).buy if one.name == "orange bitters"]
    assert (poured.unit, poured.to_buy) == ("ml", 2)  # 100 x 2 x 0.8 ml
    assert poured.amount == pytest.approx(160.0)
    assert (laid.unit, laid.amount, laid.to_buy) == ("piece", 100.0, None)


def test_water_from_the_tap_is_not_bought() -> None:
    """Unless somebody sells it in packs."""
    files = FILES | {"drinks/d.md": drink("45 ml gin, 20 ml still water")}
    assert "still water" not in {one.name for one in taken(files, {"d": 10}).buy}
    files = files | {"stock.yaml": "still water: {pack: 1 l}\n"}
    assert need(taken(files, {"d": 100}), "still water").to_buy == 2


def test_a_week_that_plans_nothing_is_a_mistake() -> None:
    """With what to write; a nought in the plan plans nothing."""
    there = opened(FILES, house(more="week: {D: 3}\n"))
    assert week_of(there.collection) == {"d": 3}
    with pytest.raises(AuthorError, match="nothing says what the week serves"):
        week_of(opened(FILES, house(more="week: {d: 0}\n")).collection)


@pytest.mark.parametrize("plan", ["week", "par"])
def test_a_plan_for_a_drink_that_is_not_there_is_told(plan: str) -> None:
    """With its line and the nearest name; a menu is not held up by it, a buying list is."""
    there = opened(FILES, house(more=f"{plan}: {{e: 3}}\n"))
    (mistake,) = [one for one in there.warnings if one.kind == "unknown-drink"]
    assert mistake.place.line == 9
    assert "d" in mistake.mend
    with pytest.raises(AuthorError):
        week_of(there.collection)


def test_juice_is_bought_as_fruit_where_no_pack_of_it_is() -> None:
    """60 x 20 ml at 1.03 g/ml through a yield of 43 % is 2.87 kg of lemons, some 26 of 112 g."""
    there = opened({"drinks/d.md": drink("40 ml gin, 20 ml lemon juice")}, house())
    sums = take_off(there.computed, there.collection, there.shelf, {"d": 60})
    lemons = next(need for need in sums.buy if need.name == "lemons")
    assert lemons.unit == "g"
    assert lemons.amount == pytest.approx(60 * 20 * 1.03 / 0.43, rel=0.02)
    assert lemons.pieces == pytest.approx(25.7, abs=1.0)
    assert not any(need.name == "lemon juice" for need in sums.buy)


def test_a_petal_is_not_a_bud_and_honey_is_weighed() -> None:
    """Twenty petals are one bud; a litre of honey is 1.42 kg on the list."""
    text = drink("40 ml gin, 10 ml honey", "garnish: a petal of dried rose buds\n")
    there = opened({"drinks/d.md": text}, house())
    sums = take_off(there.computed, there.collection, there.shelf, {"d": 40})
    needs = {need.name: need for need in sums.buy}
    assert needs["dried rose buds"].amount == pytest.approx(2.0)
    assert needs["honey"].unit == "g"
    assert needs["honey"].amount == pytest.approx(400 * 1.42, rel=0.02)


def test_pieces_poured_and_pieces_laid_on_are_one_line() -> None:
    """Three wedges squeezed and one laid on are four of each serve, in one line of the order."""
    stock = "lime wedge: {pack: 60 pieces}\n"
    text = drink("50 ml gin, 3 pieces lime wedge", "garnish: the squeezed lime\n")
    found = taken({"stock.yaml": stock, "drinks/d.md": text}, {"d": 30})
    lines = [one for one in found.buy if one.name == "lime wedge"]
    assert [one.to_buy for one in lines] == [2]
    assert lines[0].needed == pytest.approx(2.0, rel=1e-6)


PEA = FILES["infusions/pea-gin.md"]


@pytest.mark.parametrize(
    ("more", "own", "made_ml"),
    [
        ("spare_percent: 5\n", "", 5953.5),  # 126 x 45 ml x 1.05
        ("spare_percent: 5\n", "spare: 10 %\n", 6237.0),  # its own word goes first
        ("spare_percent: 5\n", "spare: 0 %\n", 5670.0),
        ("spare_percent: 5\n", "least: 8 l\n", 8000.0),  # a jar of that size, whatever is needed
        ("spare_percent: 5\n", "least: 200 ml\n", 5953.5),
    ],
)
def test_what_is_made_has_a_spare_and_a_least_batch(more: str, own: str, made_ml: float) -> None:
    """A batch is made for what is used, and what it is made of is bought for the whole batch."""
    found = taken(FILES | {"infusions/pea-gin.md": PEA + own}, {"d": 126}, more)
    assert found.make == (HouseMade("pea gin", pytest.approx(5670.0), pytest.approx(made_ml)),)
    assert need(found, "gin").amount == pytest.approx(made_ml / 0.914, rel=1e-3)


def test_the_spare_is_five_percent_and_the_least_a_small_jar_where_nobody_says() -> None:
    """Of little 100 ml are made, or what a gram of the driest powder makes, or the whole recipe."""
    there = opened(FILES, house())
    (one,) = take_off(there.computed, there.collection, there.shelf, {"d": 126}).make
    assert one.made_ml == pytest.approx(1.05 * 5670.0)
    (one,) = take_off(there.computed, there.collection, there.shelf, {"d": 2}).make
    assert one.made_ml == pytest.approx(914.0 / 8.0)  # a gram of the eight in a litre poured on
    small = FILES | {"infusions/pea-gin.md": PEA.replace("batch: 1 l", "batch: 40 ml")}
    there = opened(small, house())
    (one,) = take_off(there.computed, there.collection, there.shelf, {"d": 0.2}).make
    assert one.made_ml == pytest.approx(0.914 * 40.0, rel=1e-3)
    plain = "kind: syrup\nname: plain\nparts: [300 ml lemon juice, 300 ml water]\n"
    there = opened({"syrups/p.md": plain, "drinks/d.md": drink("40 ml gin, 5 ml plain")}, house())
    (one,) = take_off(there.computed, there.collection, there.shelf, {"d": 1}).make
    assert one.made_ml == pytest.approx(100.0)


def test_a_least_batch_is_made_of_as_much_of_what_goes_into_it() -> None:
    """A litre of cordial takes half a litre of syrup, though three serves use a tenth of that."""
    files = {
        "syrups/plain.md": "kind: syrup\nname: plain\nparts: [100 g sucrose, 100 g water]\n",
        "syrups/sharp.md": "kind: syrup\nname: sharp\nleast: 1 l\n"
        "parts: [50 ml plain, 50 ml lemon juice]\n",
        "drinks/d.md": drink("40 ml gin, 30 ml sharp"),
    }
    made = {one.name: one for one in taken(files, {"d": 3}).make}
    assert made["sharp"].used_ml == pytest.approx(90.0, rel=1e-3)
    assert made["sharp"].made_ml == pytest.approx(1000.0)
    assert made["plain"].used_ml == pytest.approx(500.0, rel=0.01)
