"""The whole walk of a recipe, on small houses: amounts, ice, reveal, warnings, provenance."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.house.reader import read_house
from hypothesis import given, settings, strategies as st

from tests.engine.conftest import HOUSE, Computer, write_house

BLUE = "kind: infusion\nname: blue gin\nplant: butterfly pea\ninto: gin\ndose: 8 g per litre\ntime: 100 min\n"
ACID = "kind: solution\nname: acid\nparts: [55 g citric acid]\nmade_up_to: 1 l\n"


def drink(pours: str, rest: str = "method: stirred\n", name: str = "d") -> str:
    return f"kind: drink\nname: {name}\nglass: small glass\npours: [{pours}]\n{rest}"


def figures_of(text: str, **more: str) -> Computed:
    with tempfile.TemporaryDirectory() as folder:
        files = {"infusions/b.md": BLUE, "solutions/a.md": ACID, "drinks/d.md": text, **more}
        return compute(read_house(write_house(Path(folder), files)))[0]["d"]


@settings(max_examples=15, deadline=None)
@given(st.permutations(["30 ml blue gin", "20 ml lemon juice", "15 ml agave syrup", "5 ml acid"]))
def test_the_order_of_pouring_changes_nothing(pours: list[str]) -> None:
    """pH, strength and colour are those of the mix, whatever went in first."""
    one = figures_of(drink(", ".join(pours))).before
    other = figures_of(drink(", ".join(sorted(pours)))).before
    assert one.ph == pytest.approx(other.ph, abs=1e-6)
    assert one.abv_percent == pytest.approx(other.abv_percent, abs=1e-6)
    assert one.colour.hex == other.colour.hex


@settings(max_examples=15, deadline=None)
@given(st.integers(2, 40).map(lambda tenths: tenths / 10))
def test_a_batch_is_the_drink_times_a_number(factor: float) -> None:
    """Scaling every pour of an unchilled drink leaves every intensive figure alone."""
    built = "method: built\n"
    one = figures_of(drink("30 ml blue gin, 20 ml lemon juice", built)).before
    text = f"{30 * factor:.1f} ml blue gin, {20 * factor:.1f} ml lemon juice"
    many = figures_of(drink(text, built)).before
    assert many.volume_ml == pytest.approx(factor * one.volume_ml, rel=1e-9)
    for name in ("ph", "abv_percent", "titratable_acidity_g_per_l", "sugar_g_per_l"):
        assert getattr(many, name) == pytest.approx(getattr(one, name), rel=1e-6, abs=1e-9)


def test_stirring_dilutes_by_two_fifths_and_keeps_the_alcohol(computer: Computer) -> None:
    """A stirred 60 ml spirit takes 40-52 % of its volume in ice water: a curve fitted to weighed
    drinks has 46 % at 40 % vol (Arnold 2014, second-hand), the 20-33 % of the trade's rules never
    say of what. No ethanol leaves: volume times strength is conserved.
    """
    one = computer({"drinks/d.md": drink("60 ml gin")})["d"]
    assert 40 < one.dilution_percent < 52
    assert one.before.volume_ml * one.before.abv_percent / 100 == pytest.approx(24.0, abs=0.01)


def test_a_house_that_weighed_its_dilution_is_believed(computer: Computer) -> None:
    """The house's own measured dilution replaces the heat balance."""
    house = (
        HOUSE
        + "methods: {stirred: {dilution: 22 % of the start, temperature: -1 °C, measured: 2026-01-01}}\n"
    )
    one = computer({"drinks/d.md": drink("60 ml gin")}, house)["d"]
    assert one.melt_ml == pytest.approx(0.22 * 60, abs=0.3)  # less a little contraction
    assert one.before.temperature_c == -1
    assert any(source.how == "measured" for source in one.sources)


def test_no_drink_is_colder_than_it_freezes(computer: Computer) -> None:
    """A nearly dry shaken drink stops at its freezing point, not at the method's temperature."""
    one = computer({"drinks/d.md": drink("60 ml lemon juice, 20 ml white syrup", "method: shaken\n"),
                    "syrups/w.md": "kind: syrup\nname: white syrup\nparts: [100 g sugar, 100 g still water]\n"})["d"]  # fmt: skip
    assert -5 < one.before.temperature_c < 0


def test_the_reveal_is_a_line_from_before_to_after(computer: Computer) -> None:
    """The turn starts at `before`, passes through `after` at the dose, and pH falls all the way."""
    files = {
        "infusions/b.md": BLUE,
        "solutions/a.md": ACID,
        "drinks/d.md": drink(
            "50 ml blue gin", "method: stirred\nreveal: {pour: acid, amount: 5 ml}\n"
        ),
    }
    one = computer(files)["d"]
    assert one.turn is not None
    assert one.after is not None
    assert one.turn.ph[0] == pytest.approx(one.before.ph, abs=1e-6)
    assert np.interp(5.0, one.turn.poured_ml, one.turn.ph) == pytest.approx(one.after.ph, abs=0.01)
    assert np.all(np.diff(one.turn.ph) < 0)
    assert one.turn.poured_ml[-1] == pytest.approx(7.5, rel=0.01)
    assert one.delta_e00 is not None
    assert one.delta_e00 > 10


def test_carbon_dioxide_is_lost_on_pouring(computer: Computer) -> None:
    """A house that loses more fizz pours a less acid soda."""
    text = drink("100 ml soda water", "method: built\n")
    gentle = computer({"drinks/d.md": text}, HOUSE + "pour_loss: 5 %\n")["d"].before
    rough = computer({"drinks/d.md": text}, HOUSE + "pour_loss: 90 %\n")["d"].before
    assert rough.ph > gentle.ph + 0.3


def test_hard_ice_lifts_the_ph_of_an_unbuffered_drink(computer: Computer) -> None:
    """Melt water brings its alkalinity along: hard water leaves a stirred gin less acid."""
    text = drink("50 ml gin, 1 ml acid")
    files = {"solutions/a.md": ACID, "drinks/d.md": text}
    soft = computer(files, HOUSE + "water: {alkalinity_mg_caco3_per_l: 0}\n")["d"].before.ph
    hard = computer(files, HOUSE + "water: {alkalinity_mg_caco3_per_l: 300}\n")["d"].before.ph
    assert hard > soft + 0.05


UNWEIGHED = HOUSE.replace("measures:\n  dash: {ml: 0.8, measured: 2026-01-01}\n", "")


@pytest.mark.parametrize(
    ("words", "ml", "told"),
    [
        ("2 dashes orange bitters", 1.6, "1.6 ml, and may be 1.2 to 2 ml"),
        ("1 barspoon acid", 3.75, "3.75 ml, and may be 2.5 to 5 ml"),
        ("1 pinch salt", None, "0.35 g, and may be 0.2 to 0.5 g"),
    ],
)
def test_a_loose_measure_counts_and_is_told(
    words: str, ml: float | None, told: str, computer: Computer
) -> None:
    """The middle of the trade's range (common practice, no source) is in the drink, in words.

    The mend invents no figure: it says how to weigh, in the very words to type.
    """
    files = {"solutions/a.md": ACID, "drinks/d.md": drink(f"50 ml gin, {words}")}
    one = computer(files, UNWEIGHED)["d"]
    assert one.measures[1].ml == ml
    assert one.measures[1].g
    (warning,) = (w for w in one.warnings if w.kind == "unmeasured")
    assert told in warning.message
    assert not any(sign.isdecimal() for sign in warning.mend.replace("--count 20", ""))


def test_a_spoon_nobody_weighed_is_a_doubt(computer: Computer) -> None:
    """The range of a barspoon of acid becomes the spread of the drink's pH and is named behind it.

    Weighed, the house's own spoon wins and the doubt goes.
    """

    def made(house: str) -> Computed:
        files = {"solutions/a.md": ACID, "drinks/d.md": drink("50 ml still water, 1 barspoon acid")}
        return computer(files, house)["d"]

    def weighed(ml: float) -> Computed:
        return made(f"{UNWEIGHED}measures: {{barspoon: {{ml: {ml}, measured: 2026-01-01}}}}\n")

    guess, low, high = made(UNWEIGHED), weighed(5.0), weighed(2.5)
    assert guess.before.ph == weighed(3.75).before.ph
    assert guess.uncertainty_before is not None
    assert low.uncertainty_before is not None
    assert low.before.ph < guess.uncertainty_before.ph.p5 + 0.05
    assert high.before.ph > guess.uncertainty_before.ph.p95 - 0.05
    assert guess.uncertainty_before.ph.plus_minus > 1.2 * low.uncertainty_before.ph.plus_minus
    assert "the barspoon of acid" in [one.words for one in guess.uncertainty_before.ph_by]
    assert "loose" not in [one.kind for one in low.uncertainty_before.ph_by]
    assert not [w for w in low.warnings if w.kind == "unmeasured"]


def test_a_squeeze_nobody_knows_is_told(computer: Computer) -> None:
    """What is counted and would change the drink is not left out in silence; a leaf is."""
    told = computer({"drinks/d.md": drink("50 ml gin, 1 squeeze verjus")})["d"]
    assert [w.kind for w in told.warnings] == ["uncounted"]
    quiet = computer({"drinks/d.md": drink("50 ml gin, 2 mint leaves")})["d"]
    assert not quiet.warnings


def test_powder_by_volume_is_a_mistake(tmp_path: Path) -> None:
    """A powder is weighed: millilitres of it are refused with the way to mend it."""
    folder = write_house(tmp_path, {"solutions/a.md": ACID.replace("55 g", "55 ml")})
    with pytest.raises(AuthorError) as caught:
        compute(read_house(folder))
    assert [m.kind for m in caught.value.mistakes] == ["dry-by-volume"]


def test_parts_that_overfill_their_mark_are_a_mistake(tmp_path: Path) -> None:
    """A solution cannot be made up to less than its parts already fill."""
    text = "kind: solution\nname: a\nparts: [500 ml still water]\nmade_up_to: 100 ml\n"
    with pytest.raises(AuthorError) as caught:
        compute(read_house(write_house(tmp_path, {"solutions/a.md": text})))
    assert [m.kind for m in caught.value.mistakes] == ["over-full"]


def test_made_up_to_the_mark_is_exactly_the_mark(computer: Computer) -> None:
    """55 g of citric acid made up to 1 l is 1 l, and 55 g/l (w/v), not 5.5 % by weight."""
    one = computer({"solutions/a.md": ACID})["a"]
    assert one.before.volume_ml == pytest.approx(1000.0, abs=1e-6)
    assert one.before.titratable_acidity_g_per_l == pytest.approx(55.0, abs=0.6)


def test_bicarbonate_that_fizzed_out_is_gone(computer: Computer) -> None:
    """`co2_lost` removes carbon dioxide: bicarbonate then only neutralises, and the pH is higher."""
    text = "kind: solution\nname: s\nparts: [5 g citric acid, 3 g sodium bicarbonate]\nmade_up_to: 1 l\n"
    kept = computer({"solutions/s.md": text})["s"].before.ph
    lost = computer({"solutions/s.md": text + "co2_lost: true\n"})["s"].before.ph
    assert lost > kept


def test_every_figure_says_where_it_comes_from(computer: Computer) -> None:
    """A drink names the rows of its acids, pigment, light, ice and stock, and what is from memory."""
    one = computer(
        {"infusions/b.md": BLUE, "drinks/d.md": drink("50 ml blue gin, 20 ml lemon juice")}
    )["d"]
    told = {source.what for source in one.sources}
    assert {"acid: citric acid", "pigment: Butterfly pea", "stock: gin", "method: stirred"} <= told
    assert all(source.source and source.how for source in one.sources)
    assert any("second-hand" in default.why for default in one.defaults)


def test_the_edition_changes_with_what_is_printed_and_with_nothing_else(computer: Computer) -> None:
    """Another price leaves the stamp alone; a millilitre more changes it."""
    base = computer({"drinks/d.md": drink("50 ml gin", "method: stirred\nprice: 9\n")})["d"].edition
    dearer = computer({"drinks/d.md": drink("50 ml gin", "method: stirred\nprice: 10\n")})[
        "d"
    ].edition
    longer = computer({"drinks/d.md": drink("51 ml gin", "method: stirred\nprice: 9\n")})[
        "d"
    ].edition
    assert base == dearer != longer


def test_too_much_for_the_glass_is_told(computer: Computer) -> None:
    """Drink and ice that would run over the brim are a warning, before anybody mops."""
    text = drink("200 ml orange juice", "method: built\nice: cubed\n")
    one = computer({"drinks/d.md": text})["d"]
    assert [w.kind for w in one.warnings] == ["overflow"]


def test_figures_can_be_asked_for_at_a_temperature(computer: Computer) -> None:
    """`at_c` replaces the serving temperature of every figure."""
    text = (
        "kind: solution\nname: p\nparts: [10.12 g potassium hydrogen phthalate]\nmade_up_to: 1 l\n"
    )
    one = computer({"solutions/p.md": text}, at_c=25.0)["p"]
    assert one.before.temperature_c == 25.0
    # 0.05 mol/l is 0.0496 mol/kg: Hamer, Pinching & Acree, J. Res. NBS 36 (1946) 47: 4.005
    assert one.before.ph == pytest.approx(4.005, abs=0.02)


def test_a_plant_steeped_in_a_powder_is_a_mistake(tmp_path: Path) -> None:
    """`into:` must name a liquid; a powder is told, not a crash."""
    folder = write_house(
        tmp_path, {"infusions/b.md": BLUE.replace("into: gin", "into: citric acid")}
    )
    with pytest.raises(AuthorError) as caught:
        compute(read_house(folder))
    assert [m.kind for m in caught.value.mistakes] == ["dry-steep"]


def test_a_pigment_that_falls_out_is_told() -> None:
    """Spirulina in lemon and gin has no blue to show: its row says so, and the author hears it."""
    blue = "kind: infusion\nname: blue water\nplant: spirulina\ninto: still water\ndose: 2 g per litre\ntime: 1 h\n"
    found = figures_of(
        drink("30 ml blue water, 20 ml lemon juice"), **{"infusions/w.md": blue}
    ).warnings
    assert "falls-out-in-acid" in {one.kind for one in found}
    assert "falls-out-in-acid" not in {
        one.kind for one in figures_of(drink("30 ml blue gin")).warnings
    }
