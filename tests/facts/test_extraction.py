"""Strength of infusions: laws of uptake, and rules of thumb of the bar."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry import extraction
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import COMPONENTS, PLANTS, Liquid
from anthocard.facts.colour import colours, names, optics as glass, pigments
from hypothesis import given, strategies as st

plants = st.sampled_from(PLANTS)


def shown(plant: str, dose: float, ph: float, ethanol: float) -> colours.Colour:
    """The colour in a round glass of 60 mm."""
    liquid = Liquid.of(water_g=1 - ethanol, ethanol_g=ethanol) + pigments.coloured(plant, dose)
    return colours.colour_of(
        glass.transmittance_through(pigments.absorbance_per_cm(liquid, 1.0, ph), glass.chords(60.0))
    )


@given(plants, st.floats(0, 100), st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_uptake_saturates(plant: str, grams: float, hours: float, abv: float, warm: float) -> None:
    """Never more than the plant holds, never less than nothing, and longer is never weaker."""
    first = extraction.strength(plant, grams, hours, abv, warm).au_per_cm
    later = extraction.strength(plant, grams, hours + 1, abv, warm).au_per_cm
    whole = extraction.strength(plant, grams, 1e9, abv, 100.0).au_per_cm
    assert 0 <= first <= later + 1e-12 <= whole + 2e-12


@given(plants, st.floats(0.1, 50), st.floats(0.1, 10))
def test_colour_scales_with_dose(plant: str, grams: float, factor: float) -> None:
    """Twice the plant in the same spirit is twice the colour, the yellow and the cloud."""
    one = extraction.strength(plant, grams, 6, 20)
    more = extraction.strength(plant, grams * factor, 6, 20)
    for part in ("au_per_cm", "yellow_au_per_cm", "haze_au_per_cm"):
        assert getattr(more, part) == pytest.approx(factor * getattr(one, part))


def test_boiling_water_takes_most_in_five_minutes() -> None:
    """Butterfly pea, boiling water: 83 % in 5 min (Marpaung & Chiang 2018, abstract; fitted to)."""
    five, whole = extraction.strength("butterfly_pea", 16, [5 / 60, 24], 0, 100.0).au_per_cm
    assert five / whole == pytest.approx(0.83, abs=0.03)


def test_solvent_strength_as_published() -> None:
    """Butterfly pea: 30 % best of five (Abdullah 2025); 50 % about 1.6 times water (Pham 2019)."""
    abv = [0, 30, 50, 70, 100]
    taken = extraction.strength("butterfly_pea", 10, 24, abv).au_per_cm
    assert abv[int(np.argmax(taken))] == 30
    assert taken[2] / taken[0] == pytest.approx(1.6, abs=0.1)


def test_butterfly_pea_two_hours_is_deep_blue() -> None:
    """1 g in 250 ml of 40 % spirit, 2 h: deep blue (common practice, no source); the deepest of it, over
    60 mm, lies where a screen's blue is indigo, one step on.
    """
    dose = float(extraction.strength("butterfly_pea", 4, 2, 40).au_per_cm)
    assert shown("butterfly_pea", dose, 6.5, 0.333).name in {"deep blue", "indigo"}


def test_rose_is_straw_until_acid_comes() -> None:
    """2.5 g buds in 250 ml, 12 h: pale yellowish, pink in acid (common practice, no source)."""
    dose = float(extraction.strength("rose", 10, 12, 40).au_per_cm)
    assert "straw" in shown("rose", dose, 6.5, 0.333).name
    assert names.wanted("pink").holds(shown("rose", dose * 0.3, 2.6, 0.08).lab)


def test_red_cabbage_is_purple_and_lime_makes_it_pinkish_red() -> None:
    """4 g dehydrated in 250 ml, 12 h: vivid purple, lime turns it (common practice, no source).

    Purple is what the model gives at pH 5.0-5.8; from pH 5.9 it says indigo, then deep blue.
    """
    dose = float(extraction.strength("red_cabbage", 16, 12, 40).au_per_cm)
    assert shown("red_cabbage", dose, 5.3, 0.333).name in {"deep purple", "deep violet"}
    assert shown("red_cabbage", dose * 0.5, 2.8, 0.15).name == "pinkish red"


def pooled() -> dict[str, dict[str, Any]]:
    """The rows of the plants: the strength of each is pooled from papers."""
    rows: dict[str, dict[str, Any]] = read_table("anthocard.facts.chemistry", "extraction.yaml")[
        "plants"
    ]
    return {key: row for key, row in rows.items() if "content" in row}


def middles(row: dict[str, Any]) -> Any:
    """What each source says that a gram gives, mg, the middle of a range."""
    return np.array([np.mean(one["mg_per_g"]) * one["share"] for one in row["content"]])


def test_strength_is_pooled_from_three_sources_or_more() -> None:
    """The geometric mean over the sources, over 16.7 mg/l per AU or what its own pigment takes;
    nothing else divides it.
    """
    table = read_table("anthocard.facts.chemistry", "extraction.yaml")
    reference = table["extraction"]["reference_mg_per_l"]["value"]
    assert tuple(table["plants"]) == PLANTS
    assert tuple(pooled()) == PLANTS
    for row in pooled().values():
        reads_one = row.get("reads_one", {"mg_per_l": reference})["mg_per_l"]
        worked = np.exp(np.mean(np.log(middles(row)))) / reads_one
        assert row["au_l_per_g"] == pytest.approx(worked, rel=2e-3)
        assert len(row["content"]) >= 3
        assert sum(one["how"] == "read" for one in row["content"]) >= 2
        assert all(one["source"] for one in row["content"])


@pytest.mark.parametrize("plant", list(pooled()))
def test_doubt_of_dose_is_what_the_sources_scatter(plant: str) -> None:
    """Between 0.55 and 0.85, and no less than their own scatter within those ends."""
    scatter = float(np.std(np.log(middles(pooled()[plant]))))
    assert 0.55 <= extraction.strength_spread(plant) <= 0.85
    assert extraction.strength_spread(plant) >= min(scatter, 0.85)


def test_hibiscus_covers_what_papers_say() -> None:
    """p5 to p95 of what a gram gives holds 2.1 and 13.9 mg (seven papers)."""
    row, reach = pooled()["hibiscus"], 1.645 * extraction.strength_spread("hibiscus")
    middle = row["au_l_per_g"] * 16.7
    assert middle * np.exp(-reach) < 2.1
    assert middle * np.exp(reach) > 13.9


@pytest.mark.parametrize("minutes", [5, 10, 30, 60])
def test_roselle_gives_more_to_hot_water_than_butterfly_pea(minutes: float) -> None:
    """Total anthocyanins in hot water: roselle calyx before butterfly pea (Yu Y. et al., Molecules
    29(22):5256, 2024, abstract).
    """
    taken = {
        plant: float(extraction.strength(plant, 5.0, minutes / 60.0, 0.0, 90.0).au_per_cm)
        for plant in ("hibiscus", "butterfly_pea")
    }
    assert taken["hibiscus"] > taken["butterfly_pea"]


def test_roselle_in_water_as_published() -> None:
    """Plain water at 25 °C takes 88 % in the end, and heat speeds it fourfold from 25 to 90 °C
    (17 kJ/mol; J. Food Eng. 109:16-21, 2012, abstract).
    """
    whole = extraction.strength("hibiscus", 1.0, 1e4, [0, 50], 25.0).au_per_cm
    assert whole[0] / whole[1] == pytest.approx(0.88, abs=0.01)
    early = extraction.strength("hibiscus", 1.0, 1e-3, 0.0, [25.0, 90.0]).au_per_cm
    assert early[1] / early[0] == pytest.approx(1.35e-10 / 3.9e-11, rel=0.05)


@pytest.mark.parametrize("plant", PLANTS)
def test_every_plant_brings_acids_that_hold_a_ph(plant: str) -> None:
    """Steeped in water every plant buffers: its own pH, moved by less alkali than water is."""
    row = extraction.acids_mmol_per_g(plant)
    assert set(row) - {"strong_cation"}, "a weak acid"
    assert row["strong_cation"] > 0
    litre = Liquid.of(water_g=1000.0, **{f"{key}_mmol": 10.0 * row[key] for key in row})
    ph = float(measure_ph(litre, 20.0).ph)
    assert 2.2 < ph < 6.8
    assert 0.0 < extraction.acid_spread(plant) < 1.0
    assert 0.0 < extraction.ph_spread(plant) < 1.0


def test_hibiscus_at_a_hundred_grams_a_litre() -> None:
    """pH 2.6 in water (Purbowati 2020, abstract; its cations were fitted to it)."""
    row = extraction.acids_mmol_per_g("hibiscus")
    litre = Liquid.of(water_g=1000.0, **{f"{key}_mmol": 100.0 * row[key] for key in row})
    assert float(measure_ph(litre, 20.0).ph) == pytest.approx(2.6, abs=0.1)


@pytest.mark.parametrize("plant", PLANTS)
def test_liquid_held_and_acids_are_plausible(plant: str) -> None:
    """Liquid held is between one and ten ml per g, acids are components of a liquid."""
    assert 1 <= extraction.held_ml_per_g(plant) <= 10
    for acid, amount in extraction.acids_mmol_per_g(plant).items():
        assert f"{acid}_mmol" in COMPONENTS
        assert 0 < amount < 2


@pytest.mark.parametrize(
    "wrong", [{"grams_per_litre": -1}, {"hours": -1}, {"abv_percent": 101}, {"temperature_c": 120}]
)
def test_out_of_range_is_refused(wrong: dict[str, float]) -> None:
    """A figure that cannot be is a mistake, not an extrapolation."""
    given = {"grams_per_litre": 4, "hours": 2, "abv_percent": 40, "temperature_c": 20} | wrong
    with pytest.raises(ValueError, match=next(iter(wrong))):
        extraction.strength("rose", **given)
