"""Every row of pigments_checks.yaml, run through a public function of the ground floor."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry import kinetics
from anthocard.facts.chemistry.liquid import PLANTS, Liquid
from anthocard.facts.colour import colours, light, pigments, spectra
from anthocard.facts.colour.light import library as loaded

from tests.facts import laboratory

TABLE = yaml.safe_load((Path(__file__).parent / "pigments_checks.yaml").read_text("utf-8"))
ROWS = {row["id"]: row for row in TABLE["checks"]}
WHITE = (94.811, 100.0, 107.304)  # D65/10 of ASTM E308, as the rows say


def pure(plant: str, ph: Any, dose: Any = 1.0) -> np.ndarray:
    """Absorbance per cm of the pigment alone, in water."""
    return pigments.absorbance_per_cm(Liquid.of(**{f"{plant}_au_ml": dose}), 1.0, ph)


def seen(plant: str, ph: Any, dose: Any = 1.0) -> np.ndarray:
    """CIELAB of an extract with its yellow and haze, in water, 1 cm."""
    liquid = pigments.coloured(plant, dose)
    return colours.to_lab(10 ** -pigments.absorbance_per_cm(liquid, 1.0, ph))


def family(acid: float, hydration: float) -> pigments.Family:
    return pigments.Family(1.0, acid, np.inf, hydration, np.inf, 0.0, np.zeros((4, 81)))


def half_flavylium(acid: float, hydration: float) -> float:
    """The pH at which half of the pigment is still flavylium: the apparent pK."""
    ph = np.linspace(0, 7, 7001)
    share = pigments.shares(family(acid, hydration), ph)[:, 0]
    return float(np.interp(-0.5, -share, ph))


def de2000(row: dict[str, Any]) -> Any:
    return colours.delta_e_2000(row["input"]["lab1"], row["input"]["lab2"])


def xyz_lab(row: dict[str, Any]) -> Any:
    return colours.lab_of_xyz(row["input"]["XYZ"], WHITE)


def xyz_de(row: dict[str, Any]) -> Any:
    return colours.delta_e_2000(
        colours.lab_of_xyz(row["input"]["XYZ1"], WHITE),
        colours.lab_of_xyz(row["input"]["XYZ2"], WHITE),
    )


def white_2(row: dict[str, Any]) -> Any:
    """The screen's white, XYZ of linear sRGB (1, 1, 1)."""
    return 100 * np.sum(
        read_table("anthocard.facts.colour", "colours.yaml")["matrices"]["srgb_to_xyz"]["values"],
        axis=1,
    )


def neutral(row: dict[str, Any]) -> Any:
    return colours.to_lab(np.full(81, 10.0 ** -row["input"]["A"]))


def contrast(row: dict[str, Any]) -> Any:
    return colours.wcag_contrast(row["input"]["fg"], row["input"]["bg"])


def greys_seen(row: dict[str, Any]) -> Any:
    """What three eyes make of white: one for every matrix row."""
    eyes = read_table("anthocard.facts.colour", "light.yaml")["eyes"]
    assert tuple(eyes) == light.deficiencies()
    return np.concatenate([np.sum(eye["values"], axis=1) for eye in eyes.values()])


def against_library(row: dict[str, Any]) -> Any:
    """The largest difference of XYZ from colour-science over 200 model spectra."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        colour = loaded()
        rng = np.random.default_rng(1)
        spectra_t = []
        for _ in range(200):
            plant = PLANTS[rng.integers(len(PLANTS))]
            liquid = pigments.coloured(plant, rng.uniform(0.05, 4))
            absorbance = pigments.absorbance_per_cm(liquid, 1.0, rng.uniform(1, 9))
            spectra_t.append(10 ** (-absorbance * rng.uniform(0.2, 6)))
        observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"]
        library = [
            colour.sd_to_XYZ(
                colour.SpectralDistribution(t, spectra.NM),
                observer,
                colour.SDS_ILLUMINANTS["D65"],
                method="ASTM E308",
            )
            for t in spectra_t
        ]
    return np.abs(np.array(library) - colours.to_xyz(np.array(spectra_t))).max()


def two_maxima(row: dict[str, Any]) -> Any:
    a = pure("butterfly_pea", row["input"]["pH"])
    top = np.flatnonzero((a[1:-1] > a[:-2]) & (a[1:-1] > a[2:])) + 1
    return [laboratory.peak_nm(a, spectra.NM[i] - 5, spectra.NM[i] + 5) for i in top]


def blue_extract() -> np.ndarray:
    """Butterfly pea at its own pH, about 6, dosed to the published lightness."""
    dose = np.linspace(0.05, 30, 6000)
    lab = seen("butterfly_pea", 6.0, dose)
    return np.asarray(lab[np.argmin(np.abs(lab[:, 0] - 27.74))])


def lowest_peak(row: dict[str, Any]) -> Any:
    ph = np.arange(1, 9.01, 0.05)
    visible = pure("red_cabbage", ph)[:, spectra.NM >= 450]
    return ph[np.argmin(visible.max(axis=-1))]


def potato_hue(ph: list[float], signed: bool) -> Any:
    hue = colours.lch_of_lab(seen("purple_sweet_potato", np.array(ph)))[:, 2]
    return np.where(hue > 180, hue - 360, hue) if signed else hue


def cyanin_step(row: dict[str, Any]) -> Any:
    """Largest CIE 1976 difference over the published range of concentrations, 30 000 l/mol/cm."""
    dose = 30_000 * np.geomspace(1e-5, 2.5e-3, 60)
    two = [colours.to_lab(10 ** -pure("rose", ph, dose)) for ph in (2.5, 3.5)]
    return np.linalg.norm(two[0] - two[1], axis=-1).max()


def hibiscus_cyanidin() -> pigments.Family:
    return pigments.plant("hibiscus").families[1]


RUN: dict[str, Callable[[dict[str, Any]], Any]] = {
    **{key: de2000 for key in ROWS if key.startswith("de2000_")},
    **{key: xyz_lab for key in ROWS if key.startswith("xyz_lab_")},
    **{key: xyz_de for key in ROWS if key.startswith("xyz_de_")},
    "wp_d65_10_e308": lambda row: colours.white(),
    "wp_d65_2_e308": white_2,
    "wp_d65_10_xy": lambda row: colours.white()[:2] / colours.white().sum(),
    "neutral_A0": neutral,
    "neutral_A1": neutral,
    "srgb_lab_ff0000": lambda row: colours.lab_of_linear(
        colours.decode(colours.srgb_of_hex(row["input"]["hex"]))
    ),
    "wcag_000000_ffffff": contrast,
    "wcag_767676_ffffff": contrast,
    "cvd_rows": greys_seen,
    "matrix_vs_lib": against_library,
    "hib_cy_pKa": lambda row: hibiscus_cyanidin().pk_acid,
    # The table's constant includes cis-chalcone, which lowers the published one by 0.07.
    "hib_cy_pKh": lambda row: hibiscus_cyanidin().pk_hydration + 0.07,
    "hib_cy_AH_pH3": lambda row: pigments.shares(family(4.385, 3.111), row["input"]["pH"])[0],
    "hba1_pseudo": lambda row: half_flavylium(3.8, 4.6 - np.log10(1 + 1.1)),
    "hba1_equil": lambda row: half_flavylium(3.8, 4.6 - np.log10(1 + 1.1 * (1 + 4))),
    "hba3_pseudo": lambda row: half_flavylium(4.19, 2.1 - np.log10(1 + 0.37)),
    "c3g_per_A": lambda row: read_table("anthocard.facts.chemistry", "extraction.yaml")[
        "extraction"
    ]["reference_mg_per_l"]["value"],
    "fractions_sum": lambda row: np.concatenate(
        [pigments.fractions(plant, np.arange(0, 14.1, 0.5)).sum(axis=-1) for plant in PLANTS]
    ),
    "bpf_two_maxima": two_maxima,
    "bpf_conc_h": lambda row: colours.lch_of_lab(blue_extract())[2],
    "bpf_conc_de": lambda row: colours.delta_e_2000(blue_extract(), (27.74, 46.90, -63.25)),
    "rc_lmax_35": lambda row: laboratory.peak_nm(pure("red_cabbage", 3.5)),
    "rc_lmax_7": lambda row: laboratory.peak_nm(pure("red_cabbage", 7.0)),
    "rc_lmax_8": lambda row: laboratory.peak_nm(pure("red_cabbage", 8.0)),
    "rc_min_eps": lowest_peak,
    "psp_hue_acid": lambda row: potato_hue([1, 2, 3], signed=True),
    "psp_hue_alk": lambda row: potato_hue([7, 8, 9], signed=False),
    "cyanin_dE": cyanin_step,
    "phyco_lmax": lambda row: laboratory.peak_nm(pure("spirulina", 5.75)),
    "roselle_thalf_0.0017": lambda row: kinetics.half_life(row["input"]["k"]),
    "carrot_k80": lambda row: kinetics.rate_of_half_life(8.4),
    "bpf_arrhenius": lambda row: kinetics.arrhenius_ratio(83.21, 45.0, 55.0),
}


@pytest.mark.parametrize("key", ROWS)
def test_published_number(key: str) -> None:
    """The engine meets the published number within the row's own tolerance."""
    row = ROWS[key]
    found = np.asarray(RUN[key](row), dtype=float)
    if "expected_is" in row:
        low, high = np.moveaxis(np.array(row["expected"], dtype=float), -1, 0)
        assert np.all((low <= found) & (found <= high)), (found, row["what"])
    else:
        expected = np.array(row["expected"], dtype=float)
        assert expected.ndim == 0 or found.shape == expected.shape
        assert np.abs(found - expected).max() <= row["tolerance"], (found, row["what"])


def test_every_row_has_a_run_a_source_and_a_way() -> None:
    """No row without a run, no run without a row, no row without where its number comes from."""
    assert set(RUN) == set(ROWS)
    assert all(
        row["source"] and row["how"] in {"read", "memory", "computed"} for row in ROWS.values()
    )
