"""Batches: strength as served, water for melt, weights, bottles, and the freezer."""

from __future__ import annotations

from datetime import date

import pytest
from anthocard.engine.trade.batching import Batch, batch, make, times, times_limits
from anthocard.engine.trade.dilution import bring_down_to
from anthocard.engine.trade.vessels import Vessel, bottles_for

from tests.engine.opened import Opened, drink, house, opened

STIRRED = (
    "kind: drink\nname: d\nglass: small glass\nmethod: stirred\nice: cubed\n"
    "pours: [50 ml gin, 10 ml dry vermouth, 2 dashes orange bitters]\n"
    "reveal: {pour: lemon juice, amount: 5 ml}\n"
)


def batched(text: str, serves: int = 20, more: str = "") -> tuple[Opened, Batch]:
    there = opened({"drinks/d.md": text}, house(more=more))
    return there, batch(there.computed["d"], serves, there.collection, there.shelf)


def test_a_bottle_pours_at_drinking_strength() -> None:
    """Its water is the melt: bottle and glass agree in % vol, and in volume by the serve."""
    there, found = batched(STIRRED)
    before = there.computed["d"].before
    assert found.abv_percent == pytest.approx(before.abv_percent, abs=0.01)
    assert found.total_ml == pytest.approx(20 * before.volume_ml, rel=1e-3)
    assert found.water_g > 0.0
    assert found.total_g == pytest.approx(found.total_ml * found.density_g_per_ml)


def test_a_batch_is_linear_in_its_serves() -> None:
    """Twice the guests, twice of everything but the strength."""
    there, one = batched(STIRRED, 10)
    two = batch(there.computed["d"], 20, there.collection, there.shelf)
    assert two.total_g == pytest.approx(2 * one.total_g)
    assert two.water_g == pytest.approx(2 * one.water_g)
    assert two.abv_percent == pytest.approx(one.abv_percent)
    assert two.freezing_c == pytest.approx(one.freezing_c)
    for line, double in zip(one.lines, two.lines, strict=True):
        assert line.g is not None
        assert double.g == pytest.approx(2 * line.g)


def test_more_than_half_a_litre_is_weighed() -> None:
    """20 x 50 ml of gin is a kilogram's business, 20 x 10 ml of vermouth a jug's."""
    _, found = batched(STIRRED)
    gin, vermouth, bitters = found.lines
    assert gin.ml == pytest.approx(1000.0)
    assert gin.g == pytest.approx(948.0, abs=1.0)  # 40 % vol: 0.948 g/ml, OIML R 22
    assert [gin.by_mass, vermouth.by_mass, bitters.by_mass] == [True, False, False]


def test_the_reveal_and_the_fizz_wait_for_the_glass() -> None:
    """Neither keeps in a bottle, so neither goes into it."""
    there, found = batched(
        drink("50 ml gin, 100 ml soda water", "reveal: {pour: lemon juice, amount: 5 ml}\n")
    )
    assert found.at_service == ("soda water", "lemon juice")
    assert [line.name for line in found.lines] == ["gin"]
    assert found.abv_percent == pytest.approx(40.0, abs=0.05)
    assert there.computed["d"].before.volume_ml > 140.0


def test_the_freezer() -> None:
    """Near 27 % vol a stirred drink stays liquid at -10 °C and not at -18 °C; neat gin at both."""
    _, thin = batched(STIRRED)
    assert -18.0 < thin.freezing_c < -10.0
    assert not thin.freezer_safe
    assert batched(STIRRED, more="freezer_temperature: -10 °C\n")[1].freezer_safe
    assert batched(drink("50 ml gin"))[1].freezer_safe


def test_bottles_and_labels_are_counted() -> None:
    """One label a bottle, a last bottle that is not full, and none too many for a full one."""
    there, found = batched(STIRRED)
    assert found.bottles == found.labels == bottles_for(found.total_ml, 1000.0)
    assert [bottles_for(ml, 700.0) for ml in (1.0, 700.0, 700.1, 1400.0)] == [1, 1, 2, 2]
    small = batch(
        there.computed["d"], 20, there.collection, there.shelf, (Vessel("bottle", 100.0),)
    )
    assert small.bottles > found.bottles
    with pytest.raises(ValueError, match="bottle"):
        bottles_for(100.0, 0.0)


def test_a_batch_with_juice_is_gone_in_a_week() -> None:
    """The date comes from what is in it; without juice the strength decides."""
    _, sour = batched(drink("50 ml gin, 25 ml lemon juice"))
    assert sour.last_day(date(2026, 3, 5)) == date(2026, 3, 11)
    _, neat = batched(drink("50 ml gin"))
    assert neat.last_day(date(2026, 3, 5)) is None


def test_bottling_has_cautions_of_its_own() -> None:
    """Mixed in advance, labelled, packed: what a single drink is not told."""
    there = opened({"drinks/d.md": STIRRED}, house("US"))
    found = batch(there.computed["d"], 10, there.collection, there.shelf)
    keys = {one.key for one in found.cautions}
    assert {"advance-mixing-us", "container-label"} <= keys
    assert there.caution("d", "advance-mixing-us") is None


def test_a_solution_is_made_by_the_litre_with_its_water() -> None:
    """55 g/l made up to three litres: 165 g, and the water that the mark takes, by weight."""
    text = "kind: solution\nname: x\nparts: [55 g citric acid]\nmade_up_to: 1 l\n"
    there = opened({"solutions/x.md": text})
    found = make(there.computed["x"], 3000.0, there.collection, there.shelf)
    (acid,) = found.lines
    assert acid.g == pytest.approx(165.0, rel=1e-6)
    assert acid.by_mass
    assert found.water_g == pytest.approx(found.total_g - 165.0)
    assert found.total_ml == pytest.approx(3000.0)
    assert 2850.0 < found.water_g < 2950.0


def test_a_batch_says_what_it_should_show() -> None:
    """PH and colour of what is in the bottle: without the fizz and the acid that come later."""
    there, found = batched(STIRRED)
    assert found.ph == pytest.approx(there.computed["d"].before.ph, abs=0.05)
    assert found.colour


def test_an_infusion_brought_down_is_counted_as_what_it_became() -> None:
    """Litres, bottles, freezer and shelf are those of the weaker liquid; the making stays as it was."""
    text = (
        "kind: infusion\nname: x\nplant: butterfly pea\ninto: gin\ndose: 8 g per litre\n"
        "time: 100 min\nkeeps: 60 days\nstore: on the dark shelf\n"
    )
    there = opened({"infusions/x.md": text})
    figures, bottle = there.computed["x"], there.shelf["x"]
    down = bring_down_to(bottle, 20.0, 2000.0)
    weak = make(figures, down.strong_ml, there.collection, there.shelf, None, down)
    strong = make(figures, down.strong_ml, there.collection, there.shelf)
    assert weak.lines == strong.lines
    assert weak.total_ml == pytest.approx(2000.0)
    assert weak.abv_percent == pytest.approx(20.0)
    assert (weak.bottles, strong.bottles) == (2, 1)
    assert weak.freezing_c > strong.freezing_c
    assert weak.keeping.days == 30  # 15 to 30 % vol, common practice; the recipe's 60 are of 40 %
    assert weak.keeping.store == "5 °C or colder"
    assert strong.keeping.days == 60


def test_half_a_serve_is_half_of_all() -> None:
    """Fractions are honoured, of a drink and of what is made, and are exactly so much of one."""
    solution = "kind: solution\nname: x\nparts: [55 g citric acid]\nmade_up_to: 1 l\n"
    there = opened({"drinks/d.md": STIRRED, "solutions/x.md": solution}, house())
    for slug in ("d", "x"):
        one, half, more = (
            times(there.computed[slug], count, there.collection, there.shelf)
            for count in (1, 0.5, 7.25)
        )
        for factor, found in ((0.5, half), (7.25, more)):
            assert (found.total_ml, found.total_g) == (factor * one.total_ml, factor * one.total_g)
            assert found.water_g == factor * one.water_g > 0.0
            for first, line in zip(one.lines, found.lines, strict=True):
                assert line.g == factor * (first.g or 0.0)
    by_litre = make(there.computed["x"], 5000.0, there.collection, there.shelf)
    five = times(there.computed["x"], 5, there.collection, there.shelf)
    assert by_litre.total_g == pytest.approx(five.total_g)
    assert times_limits() == (0.1, 100_000.0)


def test_what_is_all_fizz_cannot_be_bottled() -> None:
    """A drink of soda alone has no batch, and says why."""
    there = opened({"drinks/d.md": drink("100 ml soda water")})
    with pytest.raises(ValueError, match="fizzy"):
        batch(there.computed["d"], 10, there.collection, there.shelf)


def test_nothing_makes_no_batch() -> None:
    """No serve, no litre, and the wrong kind of recipe are refused."""
    there, _ = batched(STIRRED)
    figures = there.computed["d"]
    with pytest.raises(ValueError, match="serve"):
        batch(figures, 0, there.collection, there.shelf)
    with pytest.raises(ValueError, match="makes"):
        make(figures, 100.0, there.collection, there.shelf)
