"""Steps obey laws: nothing is lost or made, allergens stay, colour comes from somewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from anthocard.engine.steps import dissolving, drawing, gassing, heating, parting
from anthocard.engine.steps.pot import Done, Given, Pot
from anthocard.facts.chemistry import carbonation
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, Liquid
from anthocard.facts.chemistry.substances import dissolve
from anthocard.facts.chemistry.titration import (
    base_to_reach_mmol,
    equivalent_mass_g_per_mol,
    titratable_acidity_g_per_l,
)
from anthocard.facts.chemistry.volume import abv_percent, brix, density_g_per_ml
from anthocard.facts.pantry import pantry
from anthocard.facts.stock import generic_stock, litre_of
from anthocard.house import steps as written
from hypothesis import given, settings, strategies as st

from tests.engine.opened import house, opened

Doing = Callable[[Pot], tuple[Pot, Done]]


def stock(name: str, grams: float) -> Given:
    """So many grams of a stock line that is poured."""
    item = generic_stock()[name]
    litre = litre_of(item)
    return Given(name, item.kind, litre * (1.0 / float(litre.mass_g)), grams)


def kitchen(name: str, grams: float) -> Given:
    return Given(name, "plant", Liquid.mix(()), grams, produce=pantry()[name])


def sugar(grams: float) -> Given:
    return Given("sucrose", "substance", dissolve("sucrose", 1.0), grams)


def poured(*lots: Given) -> Pot:
    return drawing.add(written.Add.model_construct(add=()), Pot(), lots)[0]


GRAMS = st.floats(1.0, 250.0)  # more leaf than that drinks the whole jar
HOURS = st.floats(0.05, 400.0)
FRESH = st.sampled_from(
    ["fresh ginger", "fresh chilli", "strawberries", "black tea leaves", "blackcurrants"]
)
CLOTH = st.sampled_from(["fine", "cloth", "paper"])


def doings(sort: str, grams: float, hours: float, cloth: str, fresh: str) -> Sequence[Doing]:
    """A few steps after one another, of every sort that adds, takes or changes."""
    steep = written.Steep.model_construct(steep=(), time=hours)
    strain = written.Strain.model_construct(strain=cloth)
    known: dict[str, Doing] = {
        "first": lambda pot: drawing.steep(steep, pot, (kitchen(fresh, grams),)),
        "last": lambda pot: parting.strain(strain, pot),
        "sweeten": lambda pot: dissolving.sweeten(written.Sweeten.model_construct(sweeten="sugar", ratio=0.7), pot, sugar(0.0)),
        "salt": lambda pot: dissolving.salt(written.Salt.model_validate({"salt": "2 %"}), pot, Given("salt", "substance", dissolve("salt", 1.0), 0.0)),
        "reduce": lambda pot: heating.reduce(written.Reduce.model_validate({"reduce": "to 70 %", "time": "30 min"}), pot),
        "milk": lambda pot: parting.wash(written.Wash.model_construct(wash=()), drawing.add(written.Add.model_construct(add=()), pot, (Given("citric acid", "substance", dissolve("citric acid", 1.0), 30.0),))[0], (stock("milk", grams),)),
        "agar": lambda pot: parting.clarify(written.Clarify.model_construct(clarify="agar"), pot, (stock("still water", grams),)),
        "rest": lambda pot: drawing.wait(written.Rest.model_construct(rest=hours), pot),
        "portion": lambda pot: gassing.portion(written.Portioned.model_validate({"portion": "1 g", "yield": "80 %"}), pot),
    }  # fmt: skip
    order = ("first", sort, "last") if sort != "agar" else ("first", "last", sort)
    return tuple(known[one] for one in order)


@given(
    sort=st.sampled_from(["sweeten", "salt", "reduce", "milk", "agar", "rest", "portion"]),
    grams=GRAMS, hours=HOURS, cloth=CLOTH, fresh=FRESH,
)  # fmt: skip
@settings(max_examples=60)
def test_what_went_in_is_there_or_was_left_behind(
    sort: str, grams: float, hours: float, cloth: str, fresh: str
) -> None:
    """Mass in is mass out and what stayed, step by step; the milk's acid is an addition of its own."""
    pot = poured(stock("gin", 900.0), stock("lime juice", 600.0))
    for do in doings(sort, grams, hours, cloth, fresh):
        before = pot.g
        pot, done = do(pot)
        extra = 30.0 if sort == "milk" and done.word == "wash" else 0.0
        assert before + done.put_in_g + extra == pytest.approx(
            pot.g + done.left_g, rel=1e-9, abs=1e-6
        )
        assert done.out_g == pytest.approx(pot.g)


@given(sort=st.sampled_from(["sweeten", "reduce", "milk", "agar", "rest"]), grams=GRAMS, cloth=CLOTH, fresh=FRESH)  # fmt: skip
@settings(max_examples=30)
def test_colour_never_comes_from_nothing(sort: str, grams: float, cloth: str, fresh: str) -> None:
    """No plant of known colour went in, so none is in it; and fruit's own is withheld, not guessed."""
    pot = poured(stock("gin", 900.0), stock("lime juice", 600.0))
    for do in doings(sort, grams, 2.0, cloth, fresh):
        pot, _ = do(pot)
        assert not pot.liquid.amounts[PLANT_COLUMNS].any()
    assert any(one.what == "colour" for one in pot.withheld)


@given(one=GRAMS, other=GRAMS, salt=st.floats(1.0, 40.0))
@settings(max_examples=30)
def test_the_order_of_independent_steps_does_not_matter(
    one: float, other: float, salt: float
) -> None:
    """Pouring, salting by weight and sweetening by weight come to the same either way round."""
    known: dict[str, Doing] = {
        "added": lambda pot: drawing.add(written.Add.model_construct(add=()), pot, (stock("gin", one),)),
        "salted": lambda pot: dissolving.salt(written.Salt.model_validate({"salt": f"{salt:.6f} g"}), pot, Given("salt", "substance", dissolve("salt", 1.0), 0.0)),
        "sweet": lambda pot: dissolving.sweeten(written.Sweeten.model_construct(sweeten="sugar"), pot, sugar(other)),
    }  # fmt: skip
    ends = []
    for order in (
        ("added", "salted", "sweet"),
        ("sweet", "added", "salted"),
        ("salted", "sweet", "added"),
    ):
        pot = poured(stock("lime juice", 300.0))
        for word in order:
            pot, _ = known[word](pot)
        ends.append(pot.liquid.amounts)
    assert np.allclose(ends[0], ends[1])
    assert np.allclose(ends[0], ends[2])


@pytest.mark.parametrize(
    ("steps", "allergen"),
    [
        ("- add: [500 ml gin, 20 g citric acid]\n- wash: 150 ml milk\n- strain: paper\n- {clarify: centrifuge}\n", "milk"),
        ("- add: 500 ml gin\n- {wash: 100 g butter, time: 2 h}\n- freeze: -18 °C\n- strain: paper\n", "milk"),
        ("- add: 500 ml aged rum\n- wash: 20 g egg white\n- strain: paper\n", "egg"),
        ("- add: 500 ml apple juice\n- clarify: enzyme\n  with: 2 ml chitosan\n- strain: paper\n", "crustaceans"),
        ("- add: 500 ml gin\n- {wash: 50 ml sesame oil, time: 2 h}\n- freeze: -18 °C\n- strain: paper\n", None),
        ("- add: 500 ml red wine\n- {reduce: to 200 ml, time: 1 h}\n", "sulphites"),
    ],
)  # fmt: skip
def test_no_step_takes_an_allergen_away(steps: str, allergen: str | None) -> None:
    """Washed, cleared, frozen or boiled, it is still told; and of a drink made with it, too."""
    if allergen is None:  # an oil is weighed, never poured by the spoon
        steps, allergen = steps.replace("50 ml", "50 g"), "sesame"
    files = {
        "preparations/p.md": f"name: P\nsteps:\n{steps}",
        "drinks/d.md": "name: d\nglass: small glass\nmethod: stirred\npours: [50 ml P]\n",
    }
    there = opened(files, house())
    assert there.state("p", allergen) == "contains"
    assert there.state("d", allergen) == "contains"


def test_what_is_not_known_is_withheld_all_the_way_into_the_glass() -> None:
    """A drink of a wash with curd shows no colour, no turn, and says why."""
    files = {
        "preparations/p.md": "name: P\nsteps:\n- add: 500 ml gin\n- {steep: 8 g dried hibiscus, time: 3 h}\n- strain: fine\n- add: 10 g citric acid\n- wash: 100 ml milk\n",
        "drinks/d.md": "name: d\nglass: small glass\nmethod: stirred\npours: [50 ml P]\nreveal: {pour: lemon juice, amount: 10 ml}\n",
    }
    there = opened(files, house())
    drink = there.computed["d"]
    assert drink.before.colour.name == "colour not known"
    assert drink.turn is None
    assert "milk" in " ".join(one.because for one in drink.withheld)


def test_an_infusion_is_its_three_steps() -> None:
    """The short way and the steps written out make the same bottle."""
    files = {
        "infusions/short.md": "name: Short\nplant: hibiscus\ninto: gin\ndose: 8 g per litre\ntime: 3 h\nbatch: 700 ml\n",
        "preparations/long.md": "name: Long\nsteps:\n- add: 700 ml gin\n- {steep: 5.6 g dried hibiscus, time: 3 h}\n- strain: fine\n",
    }
    there = opened(files, house())
    short, long = there.shelf["Short"].batch, there.shelf["Long"].batch
    assert short is not None
    assert long is not None
    assert np.allclose(short.amounts, long.amounts)


# -- against the outside -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("abv", "sugar_g_per_l", "c", "volumes", "bar"),
    [
        (0, 0, 4, 3.0, 1.03), (0, 0, 20, 3.0, 2.47), (0, 90, 4, 3.0, 1.34), (8, 40, 4, 3.5, 1.78),
        (12, 8, 20, 5.0, 5.82), (15, 60, 4, 3.0, 1.70), (18, 80, 8, 2.5, 1.81),
    ],
)  # fmt: skip
def test_the_pressure_is_that_of_published_solubility(
    abv: float, sugar_g_per_l: float, c: float, volumes: float, bar: float
) -> None:
    """Plummer & Busenberg 1982 for water times the EU factor for wine, within 3 % of the solubility."""
    share = float(carbonation.solubility_share(abv, sugar_g_per_l))
    atm = volumes / (float(carbonation.henry_mol_per_kg_atm(c)) * 0.9982 / 0.04492 * share)
    assert (bar + 1.01325) / (atm * 1.01325) == pytest.approx(1.0, abs=0.03)


def test_a_sparkling_wine_holds_what_the_eu_method_says() -> None:
    """6 bar over the air at 20 °C in 12 % vol, 8 g/l: 1.951e-5 · P · (0.86 - 0.12) · (1 - 0.0115) = 10.0 g/l."""
    grams = 1.951e-5 * 7.01325e5 * (0.86 - 0.12) * (1 - 0.00144 * 8)
    share = float(carbonation.solubility_share(12.0, 8.0))
    per_atm = float(carbonation.henry_mol_per_kg_atm(20.0)) * 0.9982 / 0.04492 * share
    assert float(carbonation.co2_g_per_l(per_atm * 7.01325 / 1.01325)) == pytest.approx(
        grams, rel=0.03
    )


def test_fizz_counts_as_acid() -> None:
    """3.5 volumes bring pure water near pH 3.6 (Henry and the first constant of carbonic acid)."""
    there = opened(
        {
            "preparations/p.md": "name: P\nsteps:\n- add: 1 l still water\n- {carbonate: 3.5 volumes, temperature: 4 °C, vessel: keg}\n"
        },
        house(),
    )
    assert there.computed["p"].before.ph == pytest.approx(3.65, abs=0.15)


@pytest.mark.parametrize(
    ("name", "grams"), [("citric", 64.04), ("malic", 67.04), ("tartaric", 75.04), ("lactic", 90.08)]
)
def test_an_equivalent_weighs_what_handbooks_say(name: str, grams: float) -> None:
    """Grams that carry a mole of titratable acid."""
    assert equivalent_mass_g_per_mol(name) == pytest.approx(grams, abs=0.01)


def test_phosphoric_acid_titrates_by_its_steps() -> None:
    """Two of its three protons are gone at pH 8.2: 98.0 g/mol over 2 is 49.0 g a mole (pK2 7.2)."""
    litre = Liquid.of(water_g=1000.0, phosphoric_mmol=10.0)
    base = float(base_to_reach_mmol(litre, 8.2))
    assert acid("phosphoric").molar_mass_g_per_mol / (base / 10.0) == pytest.approx(50.5, abs=1.5)


def test_a_titration_by_hand() -> None:
    """14.2 ml of 0.1 mol/l on 10 ml of juice is 14.2 · 0.1 · 64.04 / 10 = 9.09 g/l as citric."""
    litre = dissolve("citric acid", 9.09) + Liquid.of(water_g=995.0)
    assert float(titratable_acidity_g_per_l(litre)) == pytest.approx(9.09, abs=0.1)


@pytest.mark.parametrize(("bx", "density"), [(50.0, 1.2296), (60.0, 1.2865), (66.7, 1.3261)])
def test_syrup_to_a_brix_has_its_density(bx: float, density: float) -> None:
    """NBS Circular 440 (1942), 20 °C: 1.2296, 1.2865; 1.326 at 66.7 °Bx."""
    step = written.Sweeten.model_construct(sweeten="sugar", to=bx)
    pot, done = dissolving.sweeten(step, poured(stock("still water", 500.0)), sugar(0.0))
    assert float(brix(pot.liquid)) == pytest.approx(bx, abs=0.01)
    assert float(density_g_per_ml(pot.liquid)) == pytest.approx(density, abs=0.003)
    assert done.used[0][1] == pytest.approx(500.0 * bx / (100.0 - bx), rel=1e-3)


def test_dilution_is_by_mass() -> None:
    """700 ml of 57 % to 40 % vol takes 305 ml of water, not the 297.5 of added volumes (OIML R 22)."""
    gin = stock("navy-strength gin", 1.0)
    litre_g = 1.0 / float(1.0 / density_g_per_ml(gin.per_g))
    pot = poured(stock("navy-strength gin", 700.0 * litre_g))
    water = stock("still water", 0.0)
    pot, done = dissolving.dilute(written.Dilute.model_construct(dilute=40.0), pot, water)
    assert float(abv_percent(pot.liquid)) == pytest.approx(40.0, abs=0.01)
    assert done.used[0][1] / 0.9982 == pytest.approx(305.2, abs=1.0)


@pytest.mark.parametrize(("fruit", "grams"), [("lemons", 48.0), ("limes", 44.0), ("oranges", 86.0)])
def test_a_fruit_gives_what_food_tables_say(fruit: str, grams: float) -> None:
    """Juice of one fruit, USDA SR28: lemon 48 g, lime 44 g, orange 86 g."""
    one = pantry()[fruit]
    assert one.piece_g is not None
    assert one.juice_share is not None
    assert one.piece_g * one.juice_share[1] == pytest.approx(grams, rel=0.02)
