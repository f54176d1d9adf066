"""Published pH, pK, densities and heats (chemistry_checks.yaml), each run as it is written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.activity import debye_hueckel_slope, screening
from anthocard.facts.chemistry.alcohol import (
    abv_of_mass_fraction,
    density_g_per_ml,
    mass_fraction_of_abv,
    spirit,
)
from anthocard.facts.chemistry.carbonation import henry_mol_per_kg_atm
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.heat import freezing_point_c
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.melting import Bath, water_to
from anthocard.facts.chemistry.volume import volume_ml

from tests.facts import laboratory

POTASSIUM_G_PER_MOL = 39.098  # IUPAC atomic weight
CHECKS = yaml.safe_load(
    (Path(__file__).parent / "chemistry_checks.yaml").read_text(encoding="utf-8")
)["checks"]


def kilogram(sid: float, **molality: float) -> Liquid:
    """A kilogram of water with acids and a strong-ion difference, mol/kg."""
    parts = {f"{key}_mmol": 1000.0 * value for key, value in molality.items()}
    return Liquid.of(
        water_g=1000.0,
        strong_cation_mmol=max(1000.0 * sid, 0.0),
        strong_anion_mmol=max(-1000.0 * sid, 0.0),
        **parts,
    )


def ph_of_totals(given: dict[str, Any]) -> float:
    liquid = kilogram(given["SID"], **given["totals_mol_per_kg"])
    return float(measure_ph(liquid, given.get("T_C", 25.0)).ph)


def ph_of_bates_bower(given: dict[str, Any]) -> float:
    per_ml = 100.0 / given["diluted_to_mL"]  # mmol/l for each ml of 0.1 mol/l, taken as molal
    phthalate_ml, acid_ml = given["mL_0p1M_KHP"], given.get("mL_0p1M_HCl", 0.0)
    buffer = Liquid.of(
        water_g=1000.0,
        phthalic_mmol=phthalate_ml * per_ml,
        strong_cation_mmol=(phthalate_ml + given.get("mL_0p1M_NaOH", 0.0)) * per_ml,
        strong_anion_mmol=acid_ml * per_ml,
    )
    return float(measure_ph(buffer, given["T_C"]).ph)


def ph_of_mcilvaine(given: dict[str, Any]) -> float:
    phosphate, citric = given["mL_0p2M_Na2HPO4"] * 0.2, given["mL_0p1M_citric"] * 0.1
    factor = given["molal_over_molar"] / (given["mL_0p2M_Na2HPO4"] + given["mL_0p1M_citric"])
    liquid = kilogram(
        2.0 * phosphate * factor, phosphoric=phosphate * factor, citric=citric * factor
    )
    return float(measure_ph(liquid, given["T_C"]).ph)


def ph_of_walpole(given: dict[str, Any]) -> float:
    acid_ml, salt_ml = given["mL_0p1N_acetic"], given["mL_0p1N_NaAc"]
    sodium = 0.1 * salt_ml / (acid_ml + salt_ml)
    return float(measure_ph(kilogram(sodium, acetic=0.1), given["T_C"]).ph)


def ph_of_juice(given: dict[str, Any], solvent_kg_per_l: float, density: float) -> float:
    grams = {key.removesuffix("_gL"): value for key, value in given.items() if key != "K_mg_100g"}
    acids = {
        key: value / acid(key).molar_mass_g_per_mol / solvent_kg_per_l
        for key, value in grams.items()
    }
    potassium = given["K_mg_100g"] * density / 100.0 / POTASSIUM_G_PER_MOL / solvent_kg_per_l
    return float(measure_ph(kilogram(potassium, **acids)).ph)


def dilution_of_phthalate(given: dict[str, Any]) -> float:
    whole, half = kilogram(0.05, phthalic=0.05), kilogram(0.025, phthalic=0.025)
    return float(measure_ph(half).ph - measure_ph(whole).ph)


def lactic_shift_at_12_percent(given: dict[str, Any]) -> float:
    fraction = mass_fraction_of_abv(12.0)
    salt = 2.0 * screening(given["I"])
    slope = debye_hueckel_slope(fraction) - debye_hueckel_slope(0.0)
    return float(laboratory.ethanol_shift_pk("first", fraction) - salt * slope)


RUNNERS: dict[str, Callable[[dict[str, Any]], float]] = {
    "std": ph_of_totals,
    "acetate": ph_of_totals,
    "phreeqc": ph_of_totals,
    "gomori": ph_of_totals,
    "bates": ph_of_bates_bower,
    "mcilvaine": ph_of_mcilvaine,
    "walpole": ph_of_walpole,
    "cranberry": lambda given: ph_of_juice(given, 0.9668, 1.035),
    "lemon": lambda given: ph_of_juice(given, 0.9578, 1.03),
    "citric_pK1_10C": lambda given: float(acid("citric").pk_of_t(given["T_C"])[0]),
    "lactic_pK_22.5": lambda given: float(acid("lactic").pk_of_t(given["T_C"])[0]),
    "co2_pKH_25": lambda given: float(-np.log10(henry_mol_per_kg_atm(given["T_C"]))),
    "dilution": dilution_of_phthalate,
    "beta": lambda given: float(laboratory.buffer_value_mol_per_kg(kilogram(0.05, citric=0.05))),
    "benzoic": lambda given: float(
        laboratory.ethanol_shift_pk("benzoic", given["wt_frac_ethanol"])
    ),
    "lactic_dpK_12pctvv": lactic_shift_at_12_percent,
    "oiml_rho": lambda given: float(
        1000.0 * density_g_per_ml(mass_fraction_of_abv(100.0 * given["abv"]))
    ),
    "oiml_p": lambda given: float(100.0 * mass_fraction_of_abv(40.0)),
    "contraction": lambda given: float(volume_ml(spirit(50.0, 100.0) + spirit(50.0, 0.0))),
    "lange": lambda given: float(abv_of_mass_fraction(given["w"])),
    "freeze": lambda given: float(
        freezing_point_c(Liquid.of(water_g=1.0 - given["w"], ethanol_g=given["w"]))
    ),
    "ice": lambda given: float(water_to(Liquid.of(water_g=100.0), 25.0, 0.0, Bath())),
}


def runner_of(row_id: str) -> Callable[[dict[str, Any]], float]:
    """The runner whose name begins the row's id most fully."""
    name = max((name for name in RUNNERS if row_id.startswith(name)), key=len)
    return RUNNERS[name]


@pytest.mark.parametrize("row", CHECKS, ids=lambda row: row["id"])
def test_published_value(row: dict[str, Any]) -> None:
    """The engine gives the published figure within the row's own tolerance, or in its range."""
    got = runner_of(row["id"])(row["inputs"])
    if isinstance(row["expected"], list):
        low, high = row["expected"]
        assert low <= got <= high
    else:
        assert got == pytest.approx(row["expected"], abs=row["tolerance"])


def test_table_is_whole() -> None:
    """No row was lost and each one says where its figure comes from."""
    assert len(CHECKS) == 37
    assert len({row["id"] for row in CHECKS}) == 37
    assert all(row["source"] and row["reference_value_provenance"] for row in CHECKS)


def test_gomori_is_not_reproduced() -> None:
    """Gomori 1955 prints 4.0 for a mixture that is all but the 3.776 standard: we must disagree."""
    row = next(row for row in CHECKS if row["id"] == "gomori_negative")
    assert abs(ph_of_totals(row["inputs"]) - 4.0) > 0.15
