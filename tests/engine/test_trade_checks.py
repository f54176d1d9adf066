"""Every row of trade_checks.yaml through public functions; the sources stand on the rows."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.engine.safety.inherited_allergens import sulphite_mg_per_l
from anthocard.engine.safety.profile import profile
from anthocard.engine.trade.batching import make
from anthocard.engine.trade.records import calibrate
from anthocard.engine.trade.vessels import bottles_for
from anthocard.facts.chemistry.alcohol import ethanol_g, standard_drinks
from anthocard.facts.law.allergens import declare_sulphites
from anthocard.facts.law.places import in_fixed_measures, jurisdiction
from anthocard.facts.law.shelf_life import last_day, table_b

from tests.engine.opened import drink, house, opened

ROWS: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in yaml.safe_load(Path(__file__).with_name("trade_checks.yaml").read_text("utf-8"))
}
STRAINED = """\
kind: infusion
name: flower gin
plant: butterfly pea
into: gin
dose: 8 g in 700 ml
time: 100 min
strained: 91.428571 %
batch: 700 ml
"""


def agrees(key: str, *found: float) -> None:
    row = ROWS[key]
    for value, wanted, within in zip(found, row["expect"], row["tolerance"], strict=True):
        assert value == pytest.approx(wanted, abs=within or 1e-12)


def test_every_row_has_a_source_and_a_test() -> None:
    """No row of the table lies idle, and none stands without saying where it comes from."""
    tested = {name[5:8].upper() for name in globals() if name.startswith("test_o")}
    assert tested == set(ROWS)
    assert all(row["source"] and row["how"] for row in ROWS.values())


def test_o16_standard_drinks_are_those_of_the_country() -> None:
    """45 ml of 40 % vol is 14.2 g: 1.01 US, 1.80 UK, 1.42 Australian."""
    grams = float(ethanol_g(45.0, 40.0))
    agrees("O16", grams, *(float(standard_drinks(grams, one)) for one in ("us", "uk", "au")))


def test_o28_a_probe_has_the_slope_its_buffers_give() -> None:
    """172 mV over 2.99 pH is 57.5 mV a pH, 97.2 % of Nernst's."""
    found = calibrate(4.01, 171.4, 7.00, -0.6)
    agrees("O28", found.slope_mv_per_ph, found.slope_percent)
    assert found.accepted


def test_o29_an_infusion_is_scaled_by_what_came_through_the_strainer() -> None:
    """Three litres net of an infusion that yields 640 of 700 ml."""
    there = opened({"infusions/flower-gin.md": STRAINED})
    wanted = make(there.computed["flower-gin"], 3000.0, there.collection, there.shelf)
    plant, spirit = wanted.lines
    assert spirit.ml is not None
    assert plant.g is not None
    agrees("O29", spirit.ml, plant.g)


def test_o30_a_batch_is_serves_times_spec_and_its_water() -> None:
    """24 serves of 82.5 ml and a quarter water fill four bottles."""
    mix = 24 * (45.0 + 22.5 + 15.0)
    water = 0.25 * mix
    agrees("O30", mix, water, bottles_for(mix + water, 700.0))


def test_o31_the_day_of_making_is_day_one() -> None:
    """Seven days from the 5th end on the 11th."""
    assert last_day(date(2026, 3, 5), 7) == date.fromisoformat(ROWS["O31"]["expect"])


def test_o32_a_serve_costs_what_its_batch_cost_over_its_yield() -> None:
    """Strain loss, garnish and tax all count, through the whole walk of a house."""
    files = {
        "stock.yaml": "gin: {pack: 700 ml, price: 24.50}\n"
        "dried butterfly pea flowers: {pack: 8 g, price: 0.96}\n"
        "sharp: {kind: solution, pack: 1 l, price: 0.80, ph: 2}\n"
        "sweet: {kind: syrup, pack: 1 l, price: 1.60, sugar_g_per_l: 600}\n",
        "infusions/flower-gin.md": STRAINED,
        "drinks/d.md": drink(
            "45 ml flower gin, 22.5 ml sharp, 15 ml sweet", "garnish: a leaf\nprice: 12\n"
        ),
    }
    more = "vat_percent: 20\ngarnish_costs: {a leaf: 0.15}\npriced: 2026-03-01\n"
    cost = opened(files, house(more=more)).computed["d"].cost
    assert cost is not None
    assert cost.pour_cost_percent is not None
    assert (cost.unpriced, cost.currency, cost.priced) == ((), "GBP", date(2026, 3, 1))
    agrees("O32", cost.total, cost.pour_cost_percent)


def test_o33_sulphite_is_told_as_it_stands_in_the_glass() -> None:
    """Diluted eight times, 100 mg/l is still to be told, everywhere."""
    files = {
        "stock.yaml": "test vermouth: {kind: wine, sulphite_mg_per_l: 100}\n",
        "drinks/d.md": drink("15 ml test vermouth, 105 ml still water"),
    }
    mg_per_l = sulphite_mg_per_l(opened(files).computed["d"])
    agrees("O33", mg_per_l, declare_sulphites(mg_per_l, "EU"), declare_sulphites(mg_per_l, "US"))


def test_o34_quinine_is_counted_by_the_serve_and_by_the_litre() -> None:
    """8.3 mg come with 100 ml of tonic at the US limit."""
    files = {
        "stock.yaml": "test tonic: {kind: mixer, co2_volumes: 3, acids_g_per_l: {quinine: 0.083}}\n",
        "drinks/d.md": drink("100 ml test tonic, 50 ml still water"),
    }
    there = opened(files)
    facts = profile(there.computed["d"], there.collection)
    agrees("O34", facts.quinine_mg, facts.quinine_mg_per_l)


def test_o35_the_food_codes_table_b() -> None:
    """Wet food is safe on its acid alone below pH 4.2, and has to be assessed from there on."""
    assert [table_b(4.1, 0.97), table_b(4.4, 0.97)] == ROWS["O35"]["expect"]


def test_o36_no_acid_drink_in_copper() -> None:
    """The caution fires on a computed drink and proofreading warns of it."""
    there = opened({"drinks/d.md": drink("30 ml lemon juice", "vessel: unlined copper mug\n")})
    allowed = there.caution("d", "copper") is None
    assert allowed is ROWS["O36"]["expect"]
    assert "care-copper" in {one.kind for one in there.warnings}


def test_o37_two_liquids_are_sold_by_the_measure() -> None:
    """40 ml is no multiple of 25."""
    allowed = in_fixed_measures([40.0], 2, jurisdiction("GB"), 25.0)
    assert allowed is ROWS["O37"]["expect"]
