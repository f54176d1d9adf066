"""What comes out of a jar: formulas, crystal water, assays, names."""

from __future__ import annotations

import re

import numpy as np
import pytest
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.substances import Substance, dissolve, substance, substances

# IUPAC abridged standard atomic weights, 2021 (memory).
WEIGHTS = {
    "H": 1.008, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305,
    "P": 30.974, "S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078,
}  # fmt: skip
CHARGES = {"Na": 1, "K": 1, "Mg": 2, "Ca": 2}


def counts(formula: str) -> dict[str, float]:
    """Atoms of a formula such as Na3C6H5O7(H2O)2."""
    dry, _, water = formula.partition("(H2O)")
    found: dict[str, float] = {}
    for element, number in re.findall(r"([A-Z][a-z]?)(\d*)", dry):
        found[element] = found.get(element, 0.0) + float(number or 1)
    waters = float(water or 1) if "(H2O)" in formula else 0.0
    for element, number in (("H", 2.0), ("O", 1.0)):
        found[element] = found.get(element, 0.0) + number * waters
    return found


@pytest.mark.parametrize("one", substances(), ids=lambda one: one.key)
def test_formula_gives_the_row(one: Substance) -> None:
    """Molar mass and strong cations follow from the formula; a hazard names its source."""
    atoms = counts(one.formula)
    mass = sum(WEIGHTS[element] * number for element, number in atoms.items())
    assert one.molar_mass_g_per_mol == pytest.approx(mass, abs=0.012)
    assert one.strong_cations == sum(CHARGES.get(e, 0) * n for e, n in atoms.items())
    assert bool(one.hazards) == bool(one.hazard_source)


@pytest.mark.parametrize("one", substances(), ids=lambda one: one.key)
def test_dissolving_keeps_mass(one: Substance) -> None:
    """Ten grams out of the jar are ten grams in the glass, in any shape of batch."""
    grams = np.array([[0.0, 10.0], [1.0, 2.5]])
    assert dissolve(one, grams).mass_g == pytest.approx(grams, abs=1e-12)


def test_names_are_all_different() -> None:
    """No two substances answer to one name, whatever its capitals."""
    seen: dict[str, str] = {}
    for one in substances():
        for name in {n.replace("_", " ").casefold() for n in (one.key, one.label, *one.aliases)}:
            assert seen.setdefault(name, one.key) == one.key


def test_people_write_names_many_ways() -> None:
    """ "Sodium Citrate" is the dihydrate every shop sells; an unknown name is told the nearest."""
    assert substance("Sodium  Citrate").key == "trisodium_citrate_dihydrate"
    assert substance("citric").key == "citric_acid"
    with pytest.raises(KeyError, match="sodium citrate"):
        substance("sodium citrat")


def test_crystal_water_and_assay_by_hand() -> None:
    """294.098 g trisodium citrate dihydrate: 1 mol citrate, 3 mol Na, 36.03 g water. 100 g lactic
    acid 80 %: 80/90.078 mol and 20 g water.
    """
    salt = dissolve("sodium citrate", 294.098)
    assert salt["citric_mmol"] == pytest.approx(1000.0)
    assert salt["strong_cation_mmol"] == pytest.approx(3000.0)
    assert salt["water_g"] == pytest.approx(36.03)
    sour = dissolve("lactic acid 80 %", 100.0)
    assert sour["lactic_mmol"] == pytest.approx(80000.0 / 90.078)
    assert sour["water_g"] == pytest.approx(20.0)


def test_carbonate_can_lose_its_gas() -> None:
    """84.006 g baking soda with its CO2 gone: no carbonic acid, 44.009 g lighter, same sodium."""
    kept, lost = dissolve("bicarb", 84.006), dissolve("bicarb", 84.006, carbon_dioxide_lost=True)
    assert kept["carbonic_mmol"] == pytest.approx(1000.0)
    assert lost["carbonic_mmol"] == 0.0
    assert kept.mass_g - lost.mass_g == pytest.approx(44.009)
    assert lost["strong_cation_mmol"] == kept["strong_cation_mmol"]


@pytest.mark.parametrize(
    ("jar", "grams", "ph"),
    [
        ("potassium_dihydrogen_citrate", 11.41, 3.776),
        ("potassium hydrogen phthalate", 10.12, 4.005),
        ("borax", 3.80, 9.180),
    ],
)
def test_weighed_standards(jar: str, grams: float, ph: float) -> None:
    """The NIST buffers as a chemist weighs them for a litre (NIST SP 260-53, memory): their pH at
    25 °C (Staples & Bates 1969, Hamer et al. 1946, read; Buck et al. 2002, memory), ±0.02.
    """
    assert measure_ph(dissolve(jar, grams) + Liquid.of(water_g=994.0)).ph == pytest.approx(
        ph, abs=0.02
    )


def test_only_lab_things_are_barred_from_drinks() -> None:
    """What is kept for checking the engine, and is a poison or a caustic, says so."""
    barred = {one.key for one in substances() if not one.for_drinks}
    assert barred >= {"borax", "boric_acid", "potassium_hydrogen_phthalate", "sodium_hydroxide"}
    assert substance("tartaric").hazards == ("H318",)
    assert substance("citric").hazards == substance("malic").hazards == ("H319",)
