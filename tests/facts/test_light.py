"""Other lamps and other eyes."""

from __future__ import annotations

import subprocess
import sys
import warnings

import numpy as np
import pytest
from anthocard.diagnostics.tables import read_table
from anthocard.facts.colour import colours, light, pigments
from hypothesis import given, strategies as st

SPECTRA = 10 ** -pigments.absorbance_per_cm(
    pigments.coloured("red_cabbage", 1.5), 1.0, np.linspace(2, 8, 7)
)


@pytest.fixture(scope="module")
def library():
    """colour-science, the outside reference."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield light.library()


@pytest.mark.parametrize("lamp", ["planckian", "led"])
@pytest.mark.parametrize("cct_k", [1900.0, 2700.0, 4000.0, 6500.0])
def test_clear_water_is_white_under_any_lamp(lamp: light.Lamp, cct_k: float) -> None:
    """The eye has settled: clear water is L* 100, a* = b* = 0."""
    np.testing.assert_allclose(light.in_our_light(np.ones(81), cct_k, lamp), [100, 0, 0], atol=1e-6)


def test_lamp_agrees_with_the_library(library) -> None:
    """XYZ under 2856 K, adapted, as colour-science works it out on its own."""
    observer = library.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"]
    shape = library.SpectralShape(380, 780, 5)
    lamp = library.sd_blackbody(2856, shape)
    one = np.ones(81)
    xyz = [
        library.sd_to_XYZ(library.SpectralDistribution(t, shape.range()), observer, lamp)
        for t in (SPECTRA[3], one)
    ]
    theirs = library.chromatic_adaptation(
        xyz[0] / 100, xyz[1] / 100, colours.white() / 100, method="Von Kries", transform="CAT02"
    )
    ours = light.xyz_in_our_light(SPECTRA[3], 2856.0) / 100
    np.testing.assert_allclose(ours, theirs, atol=2e-4)


def test_warm_light_moves_the_colour() -> None:
    """A turn looks otherwise by candle than by day: several units of CIEDE2000."""
    moved = colours.delta_e_2000(light.in_our_light(SPECTRA, 1900.0), colours.to_lab(SPECTRA))
    assert moved.max() > 3
    near = colours.delta_e_2000(light.in_our_light(SPECTRA, 6500.0), colours.to_lab(SPECTRA))
    assert near.max() < 3


@pytest.mark.parametrize("cct_k", [0.0, 1400.0, 20_000.0])
def test_unlikely_lamps_are_refused(cct_k: float) -> None:
    """Outside 1500-10,000 K nothing is a bar's lamp."""
    with pytest.raises(ValueError, match="cct_k"):
        light.in_our_light(SPECTRA, cct_k)


def test_matrices_are_the_librarys(library) -> None:
    """Machado, Oliveira & Fernandes 2009 at severity 1, as colour-science ships them."""
    theirs = {"protan": "Protanomaly", "deutan": "Deuteranomaly", "tritan": "Tritanomaly"}
    rgb = np.random.default_rng(5).uniform(0.2, 0.6, (50, 3))
    assert light.deficiencies() == tuple(theirs)
    for ours, name in theirs.items():
        matrix = library.blindness.CVD_MATRICES_MACHADO2010[name][1.0]
        expected = colours.encode(np.clip(colours.decode(rgb) @ matrix.T, 0, 1))
        np.testing.assert_allclose(light.seen_by(rgb, ours), expected, atol=1e-6)


@given(st.floats(0, 1), st.sampled_from(light.deficiencies()))
def test_grey_stays_grey(level: float, deficiency: str) -> None:
    """No eye sees a hue in a grey."""
    np.testing.assert_allclose(light.seen_by(np.full(3, level), deficiency), level, atol=2e-5)


def test_blue_to_magenta_hardly_turns_for_red_green_blindness() -> None:
    """Butterfly pea's turn: smaller for protan and deutan, larger for tritan (model; see table 3
    of Machado et al. for the matrices). It is why a word and a pattern go with every colour.
    """
    liquid = pigments.coloured("butterfly_pea", 0.5)
    pair = 10 ** (-4 * pigments.absorbance_per_cm(liquid, 1.0, np.array([6.0, 2.6])))
    turn = light.turn_seen_by(*colours.to_srgb(pair))
    assert turn["protan"] < turn["normal"]
    assert turn["deutan"] < turn["normal"]
    assert turn["tritan"] > turn["normal"]
    assert turn["normal"] == pytest.approx(
        float(
            colours.delta_e_2000(
                *(colours.lab_of_linear(colours.decode(c)) for c in colours.to_srgb(pair))
            )
        )
    )


def test_lamps_are_those_of_the_library() -> None:
    """lamps.yaml holds every LED of colour-science (CIE 015:2018) times its 10° observer."""
    colour = light.library()
    shape = colour.SpectralShape(380, 780, 5)
    observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape).values
    for name, row in read_table("anthocard.facts.colour", "lamps.yaml")["weights"].items():
        power = colour.SDS_ILLUMINANTS[name].copy().align(shape).values
        wanted = observer * power[:, np.newaxis]
        wanted = wanted / wanted[:, 1].sum()
        assert np.allclose(np.array(row["values"]), wanted, atol=1e-8, rtol=1e-5)


def test_the_library_leaves_no_stand_in_behind() -> None:
    """Without SciPy colour-science puts a mock in its place; whoever asks for SciPy next (Numba does)
    must find it missing, not there without a version."""
    program = """
import sys
import numpy as np
from anthocard.facts.colour import light
light.in_our_light(np.ones(81), 2700.0)
import numba
assert not any(type(module).__module__ == "unittest.mock" for module in sys.modules.values())
"""
    subprocess.run([sys.executable, "-c", program], check=True)
