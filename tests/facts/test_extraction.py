"""Strength of infusions: laws of uptake, and rules of thumb of the bar."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry import extraction
from anthocard.facts.chemistry.liquid import COMPONENTS, PLANTS, Liquid
from anthocard.facts.colour import colours, names, optics as glass, pigments
from hypothesis import given, strategies as st

plants = st.sampled_from(PLANTS)


def shown(plant: str, dose: float, ph: float, ethanol: float) -> colours.Colour:
    """The colour in a round glass of 60 mm."""
    liquid = Liquid.of(water_g=1 - ethanol, ethanol_g=ethanol) + pigments.coloured(plant, dose)
    return colours.colour_of(
        glass.transmittance_through(pigments.absorbance_per_cm(liquid, 1.0, ph), 60.0)
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


def test_yield_follows_from_content() -> None:
    """Colour per gram is content kept, over what the method sees, over 16.7 mg/l per AU."""
    table = read_table("anthocard.facts.chemistry", "extraction.yaml")
    reference = table["extraction"]["reference_mg_per_l"]["value"]
    assert tuple(table["plants"]) == PLANTS
    for row in list(table["plants"].values())[:8]:
        part = row["from"]
        worked = part["content_mg_per_g"] * part["kept"] / part["seen"] / reference
        assert row["au_l_per_g"] == pytest.approx(worked, rel=1e-3)


def test_share_seen_by_the_method_is_the_models() -> None:
    """pH differential (520 and 700 nm, pH 1.0 less 4.5, AOAC 2005.02) as our spectra see it."""
    rows = read_table("anthocard.facts.chemistry", "extraction.yaml")["plants"]
    for plant in PLANTS[:8]:
        pure = Liquid.of(**{f"{plant}_au_ml": 1.0})
        acid, weak = pigments.absorbance_per_cm(pure, 1.0, np.array([1.0, 4.5]))
        at_520, at_700 = 28, 64
        signal = (acid[at_520] - acid[at_700]) - (weak[at_520] - weak[at_700])
        assert signal == pytest.approx(rows[plant]["from"]["seen"], abs=0.03)


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
