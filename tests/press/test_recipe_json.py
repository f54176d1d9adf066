"""The JSON of a recipe is an interface: its keys, units and order hold."""

import json
from dataclasses import replace

from anthocard.engine.results import Computed, Cost
from anthocard.press.data.recipe_json import as_json

STATE = {
    "volume_ml",
    "abv_percent",
    "ph",
    "ph_between",
    "pigments",
    "titratable_acidity_g_per_l",
    "sugar_g_per_l",
    "temperature_c",
    "colour",
    "seen",
    "path_mm",
}


def test_a_drink_has_before_after_and_the_reveal_last(frost: Computed) -> None:
    """Amounts in pour order, the reveal marked and last; both states whole."""
    data = as_json(frost)
    assert [a["name"] for a in data["amounts"]][-1] == "verjus"
    assert [a.get("reveal", False) for a in data["amounts"]] == [False] * 4 + [True]
    assert data["amounts"][0] == {
        "name": "pea-flower gin",
        "ml": 50.0,
        "g": None,
        "metric": "50 ml",
        "us_oz": "1½ oz + 1 tsp",
        "lies": "in",
    }
    assert set(data["before"]) == set(data["after"]) == STATE
    assert set(data["before"]["colour"]) == {"name", "hex", "lab", "in_gamut"}
    assert "liquid" not in data


def test_a_drink_that_stays_has_no_after(still: Computed) -> None:
    """`after` and `delta_e00` are null where nothing is poured."""
    data = as_json(still)
    assert (data["after"], data["delta_e00"]) == (None, None)
    assert not any("reveal" in amount for amount in data["amounts"])


def test_what_the_house_makes_has_one_liquid(infusion: Computed) -> None:
    """An infusion is one liquid; what is weighed has grams and no millilitres."""
    data = as_json(infusion)
    assert set(data["liquid"]) == STATE
    assert "before" not in data
    assert (data["amounts"][0]["ml"], data["amounts"][0]["g"]) == (None, 8.0)


def test_it_is_json_and_says_where_figures_come_from(frost: Computed) -> None:
    """It survives a round trip, with warnings and sources."""
    data = json.loads(json.dumps(as_json(frost)))
    assert data["warnings"] == ["the window is narrow"]
    assert data["sources"] == [{"what": "acid: citric acid", "source": "a handbook", "how": "read"}]


def test_cautions_allergens_and_cost_are_for_programs_too(frost: Computed) -> None:
    """Each caution with its weight, words and papers; allergens in three states; what a cost is of."""
    costed = replace(frost, cost=Cost("GBP", "serve", (), 0.25, 2.5, ("salt",)))
    data = json.loads(json.dumps(as_json(costed)))
    assert data["cautions"]
    for one in data["cautions"]:
        assert {"key", "weight", "words", "on"} <= {*one}
        assert one["words"]
    assert {*data["allergens"]} == {"contains", "may_contain", "unchecked"}
    assert data["cost"] == {"total": 2.5, "currency": "GBP", "of": "serve", "unpriced": ["salt"]}
    assert as_json(frost)["cost"] is None
