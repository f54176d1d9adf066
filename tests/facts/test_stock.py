"""The generic stock table, and the liquid in a litre of each of its lines."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import ACIDS, PLANTS, Liquid
from anthocard.facts.chemistry.substances import substance
from anthocard.facts.chemistry.volume import abv_percent, density_g_per_ml, per_litre, volume_ml
from anthocard.facts.stock import StockItem, generic_stock, litre_of
from hypothesis import given, strategies as st

CHECKS: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parent / "stock_checks.yaml").read_text(encoding="utf-8")
)
ANNEX_II = {
    "gluten", "crustaceans", "egg", "fish", "peanut", "soy", "milk", "tree nuts", "celery",
    "mustard", "sesame", "sulphites", "lupin", "molluscs",
}  # fmt: skip


@pytest.fixture(scope="module")
def litres() -> dict[str, Liquid]:
    """A litre of whatever is poured; flowers, peels, nuts have none."""
    loose = {name: item for name, item in generic_stock().items() if item.substance is None}
    found = {name: litre_of(item) for name, item in loose.items()}
    poured = {name: litre for name, litre in found.items() if float(litre.mass_g) > 0.0}
    assert len(poured) > 300
    return poured


def strong_ions_meq(liquid: Liquid) -> float:
    return float(liquid["strong_cation_mmol"] - liquid["strong_anion_mmol"])


def test_the_table_is_whole() -> None:
    """Nobody loses a line without noticing: the row count of each kind is pinned.

    Of the substances, 16 stand in the table (three of them sugars), 47 come from
    substances.yaml and 4 from pantry.yaml, with the plants and fats that no colour is known of.
    """
    kinds = [item.kind for item in generic_stock().values()]
    counted = {kind: kinds.count(kind) for kind in sorted(set(kinds))}
    assert counted == {
        "bitters": 17, "dairy": 10, "egg": 6, "fat": 7, "garnish": 48, "juice": 53, "liqueur": 63,
        "mixer": 47, "other": 34, "plant": 54, "spirit": 74, "substance": 67, "syrup": 41,
        "water": 4, "wine": 40,
    }  # fmt: skip


def test_names_and_aliases_are_unique() -> None:
    """No word names two lines, whatever its capitals."""
    words = [
        word.casefold() for item in generic_stock().values() for word in (item.name, *item.aliases)
    ]
    assert sorted(words) == sorted(set(words))


@pytest.mark.parametrize("name", sorted(generic_stock()))
def test_a_row_speaks_the_tables_own_words(name: str) -> None:
    """Acids, plants, substances and allergens of every row are ones the other tables know."""
    item = generic_stock()[name]
    assert set(item.acids_g_per_l) <= set(ACIDS)
    assert set(item.colours_au_per_cm) <= set(PLANTS)
    assert item.plant is None or item.plant in PLANTS
    assert {*item.allergens.contains, *item.allergens.may_contain} <= ANNEX_II
    assert item.allergens.checked is None, "only a house can have read the label"
    if item.substance is not None:
        assert substance(item.substance).for_drinks or "not-for-drinks" in item.traits


def test_every_coloured_plant_can_be_bought() -> None:
    """Each plant of the pigment table has one dried line, food grade, with its Latin name."""
    lines = [item for item in generic_stock().values() if item.kind == "plant" and item.plant]
    assert sorted(item.plant or "" for item in lines) == sorted(PLANTS)
    assert all(item.food_grade and item.latin for item in lines)


def test_what_may_hold_an_allergen_says_so() -> None:
    """Wine is flagged for sulphites, dairy for milk, egg for egg (Reg. (EU) 1169/2011 Annex II)."""
    flag = {"wine": "sulphites", "dairy": "milk", "egg": "egg"}
    for item in generic_stock().values():
        if item.kind in flag:
            assert flag[item.kind] in item.allergens.contains, item.name


def test_a_litre_is_a_litre(litres: dict[str, Liquid]) -> None:
    """The parts of a litre fill 1000 ml at the strength written, and none of them is negative."""
    for name, litre in litres.items():
        assert float(volume_ml(litre)) == pytest.approx(1000.0, abs=0.01), name
        strength = generic_stock()[name].abv_percent
        assert float(abv_percent(litre)) == pytest.approx(strength, abs=0.001), name
        assert np.all(litre.amounts >= 0.0), name


def test_a_meter_reads_the_ph_written(litres: dict[str, Liquid]) -> None:
    """The strong ions inferred make a meter at 25 °C read the row's own pH."""
    written = {
        name: item.ph
        for name, item in generic_stock().items()
        if name in litres and item.ph is not None and item.strong_ions is None
    }
    assert len(written) > 100
    for name, ph in written.items():
        assert float(measure_ph(litres[name], 25.0).ph) == pytest.approx(ph, abs=1e-6), name


@pytest.mark.parametrize("name", sorted(CHECKS["strong_ions"]))
def test_strong_ions_against_an_independent_solver(name: str) -> None:
    """Strong-ion difference per litre, see stock_checks.yaml for where each row comes from."""
    row, item = CHECKS["strong_ions"][name], generic_stock()[name]
    left_out = row.get("without", ())
    acids = {key: grams for key, grams in item.acids_g_per_l.items() if key not in left_out}
    found = strong_ions_meq(litre_of(item.model_copy(update={"acids_g_per_l": acids})))
    assert found == pytest.approx(row["meq_per_l"], rel=row["tolerance"], abs=0.005)


@pytest.mark.parametrize("name", sorted(CHECKS["densities"]))
def test_densities(name: str) -> None:
    """Density of a litre against OIML R 22, NBS Circular 440 or the row's own statement."""
    row = CHECKS["densities"][name]
    found = float(density_g_per_ml(litre_of(generic_stock()[name])))
    assert found == pytest.approx(row["g_per_ml"], abs=row["tolerance"])


@given(
    abv=st.floats(0, 60), sugar=st.floats(0, 300), citric=st.floats(0.1, 60), ph=st.floats(2.2, 6.5)
)
def test_any_line_closes(abv: float, sugar: float, citric: float, ph: float) -> None:
    """Without a density, water fills the litre whatever else is in it, and no gram is lost."""
    item = StockItem(
        name="x", kind="other", abv_percent=abv, sugar_g_per_l=sugar,
        acids_g_per_l={"citric": citric}, ph=ph,
    )  # fmt: skip
    litre = litre_of(item)
    assert float(volume_ml(litre)) == pytest.approx(1000.0, abs=0.01)
    assert float(per_litre(litre, "sugar_g")) == pytest.approx(sugar, rel=1e-4, abs=1e-9)
    assert float(litre["citric_mmol"]) == pytest.approx(1000.0 * citric / 192.124, rel=1e-4)


def test_stated_strong_ions_go_before_the_ph() -> None:
    """An analysis of the ions beats a pH from a label."""
    item = StockItem.model_validate(
        {
            "name": "x", "kind": "water", "ph": 7.0,
            "strong_ions": {"cations_meq_per_l": 8.0, "anions_meq_per_l": 3.0},
        }
    )  # fmt: skip
    litre = litre_of(item)
    assert float(litre["strong_cation_mmol"]) == 8.0
    assert float(litre["strong_anion_mmol"]) == 3.0


def test_colour_and_cloud_are_kept_per_litre() -> None:
    """Absorbance per cm times 1000 ml is what a litre holds of each colour."""
    item = generic_stock()["cranberry juice"]
    litre = litre_of(item)
    assert float(litre["yellow_au_ml"]) == 1000.0 * item.yellow_au_per_cm
    assert float(litre["elderberry_au_ml"]) == 1000.0 * item.colours_au_per_cm["elderberry"]


def test_fizz_is_told_as_carbonic_acid() -> None:
    """One volume of CO2 is 1.977 g a litre (0 °C, 1 atm; CRC Handbook, memory)."""
    soda = generic_stock()["soda water"]
    found = float(litre_of(soda)["carbonic_mmol"])
    assert found == pytest.approx(soda.co2_volumes * 1977.0 / 44.01, rel=0.002)


@pytest.mark.parametrize("name", ["dried rose buds", "lemon peel", "celery salt"])
def test_dry_goods_give_no_liquid(name: str) -> None:
    """A plant or a peel adds nothing to a glass by itself."""
    assert float(litre_of(generic_stock()[name]).mass_g) == 0.0


def test_what_is_weighed_is_not_poured() -> None:
    """A powder has no litre."""
    with pytest.raises(ValueError, match="weighed, not poured"):
        litre_of(generic_stock()["citric acid"])


@pytest.mark.parametrize(
    ("density", "sugar"), [(0.9, 0.0), (0.95, 1000.0), (1.0, 1200.0)], ids=["light", "thin", "full"]
)
def test_a_density_that_cannot_be_is_refused(density: float, sugar: float) -> None:
    """Density and composition must fit each other within a hundredth of the litre's room."""
    item = StockItem(name="x", kind="syrup", density_g_per_ml=density, sugar_g_per_l=sugar)
    with pytest.raises(ValueError, match="does not fit"):
        litre_of(item)


def test_more_than_a_litre_holds_is_refused() -> None:
    """Without a density too, a litre cannot hold more than a litre."""
    item = StockItem(name="x", kind="liqueur", abv_percent=90.0, sugar_g_per_l=900.0)
    with pytest.raises(ValueError, match="more than a litre"):
        litre_of(item)


def test_pure_ethanol_is_a_stock_line() -> None:
    """100 % vol fills its litre to the brim, and a little more than that is refused."""
    pure = StockItem.model_validate(
        {"name": "p", "kind": "spirit", "abv_percent": 100}, strict=False
    )
    litre = litre_of(pure)
    assert float(abv_percent(litre)) == pytest.approx(100.0, abs=1e-6)
    assert float(litre["water_g"]) == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(ValueError, match="more than a litre"):
        litre_of(pure.model_copy(update={"sugar_g_per_l": 10.0}))
