"""Tristimulus sums, CIELAB, CIEDE2000 and the screen, against colour-science and by law."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.facts.colour import colours, pigments
from anthocard.facts.colour.light import library as loaded
from hypothesis import example, given, strategies as st

unit = st.floats(0, 1)


@pytest.fixture(scope="module")
def library():
    """colour-science, the outside reference."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield loaded()


@pytest.fixture(scope="module")
def working() -> np.ndarray:
    """XYZ of 400 drinks of every plant, dose, pH and path."""
    rng = np.random.default_rng(7)
    rows = []
    for i in range(400):
        liquid = pigments.coloured(PLANTS[i % len(PLANTS)], rng.uniform(0.05, 3))
        rows.append(
            10 ** (-rng.uniform(1, 6) * pigments.absorbance_per_cm(liquid, 1.0, rng.uniform(2, 8)))
        )
    return colours.to_xyz(np.array(rows))


def test_weights_are_the_librarys(library) -> None:
    """The shipped table is D65 times the 10° observer at 5 nm, as colour-science has them."""
    shape = library.SpectralShape(380, 780, 5)
    observer = library.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape)
    d65 = library.SDS_ILLUMINANTS["D65"].copy().align(shape)
    weights = observer.values * d65.values[:, None]
    np.testing.assert_allclose(
        colours.to_xyz(np.eye(81)), 100 * weights / weights[:, 1].sum(), atol=1e-7
    )


def test_clear_water_is_white() -> None:
    """T = 1 gives exactly L* 100, a* = b* = 0, and the screen's white."""
    clear = colours.colour_of(np.ones(81))
    assert clear.lab == pytest.approx((100, 0, 0), abs=1e-9)
    assert (clear.hex, clear.in_gamut, clear.name) == ("#ffffff", True, "colourless")


def test_lab_is_the_librarys(library, working: np.ndarray) -> None:
    """CIELAB agrees with colour-science on working colours."""
    xy = colours.white()[:2] / colours.white().sum()
    theirs = library.XYZ_to_Lab(working / 100, xy)
    np.testing.assert_allclose(colours.lab_of_xyz(working), theirs, atol=1e-3)


def test_delta_e_is_the_librarys(library, working: np.ndarray) -> None:
    """CIEDE2000 agrees with colour-science on pairs of working colours."""
    lab = colours.lab_of_xyz(working)
    ours = colours.delta_e_2000(lab[:-1], lab[1:])
    np.testing.assert_allclose(
        ours, library.delta_E(lab[:-1], lab[1:], method="CIE 2000"), atol=1e-6
    )


@given(
    st.tuples(st.floats(0, 100), *[st.floats(-90, 90)] * 2),
    st.tuples(st.floats(0, 100), *[st.floats(-90, 90)] * 2),
)
@example((0, 70.39775734726402, 70.39775734726402), (0, -0.29343872073664556, -0.29343872073664556))
def test_delta_e_is_a_distance(one: tuple[float, ...], other: tuple[float, ...]) -> None:
    """Nothing from itself, the same both ways, never negative."""
    assert colours.delta_e_2000(one, one) == 0
    there, back = colours.delta_e_2000(one, other), colours.delta_e_2000(other, one)
    assert there == pytest.approx(float(back), abs=1e-9)
    assert there >= 0


def test_adaptation_is_the_librarys(library, working: np.ndarray) -> None:
    """CAT02 from the 10° white to the screen's white, as colour-science does it."""
    screen = np.array([0.95045593, 1.0, 1.08905775])
    theirs = library.chromatic_adaptation(
        working / 100, colours.white() / 100, screen, method="Von Kries", transform="CAT02"
    )
    ours = colours.adapt(working / 100, colours.white() / 100, screen)
    np.testing.assert_allclose(ours, theirs, atol=1e-6)


def test_oklab_is_the_librarys(library) -> None:
    """Oklab of screen colours agrees with colour-science to its four-figure matrices."""
    rgb = np.random.default_rng(3).random((200, 3))
    xyz = library.RGB_to_XYZ(rgb, "sRGB")
    np.testing.assert_allclose(colours.oklab_of_linear(rgb), library.XYZ_to_Oklab(xyz), atol=1e-3)


def test_lab_comes_back(working: np.ndarray) -> None:
    """XYZ of CIELAB undoes CIELAB of XYZ."""
    lab = colours.lab_of_xyz(working)
    np.testing.assert_allclose(colours.xyz_of_lab(lab), working, atol=1e-9)


def test_display_p3_is_the_librarys(library) -> None:
    """Screen colours in Display P3, through D65/10° and back, agree with colour-science."""
    rgb = np.random.default_rng(5).random((200, 3))
    screen = library.RGB_to_XYZ(rgb, "sRGB")
    white = library.RGB_to_XYZ(np.ones(3), "sRGB")
    lab = colours.lab_of_xyz(colours.adapt(100.0 * screen, 100.0 * white, colours.white()))
    wanted = library.XYZ_to_RGB(screen, "Display P3", apply_cctf_encoding=True)
    np.testing.assert_allclose(colours.display_p3(lab), wanted, atol=2e-4)


def test_display_p3_takes_more_and_not_everything() -> None:
    """A green that no sRGB screen has lies in it (its own primary); a laser's does not."""
    green = np.array([[0.2656676932, 0.6917385218, 0.0451133819]])
    white = np.array([0.9504559271, 1.0, 1.0890577508])  # of x, y 0.3127 0.3290
    lab = colours.lab_of_xyz(colours.adapt(100.0 * green * 0.999, 100.0 * white, colours.white()))
    assert not colours.in_gamut(colours.linear_of_xyz(colours.xyz_of_lab(lab))).any()
    np.testing.assert_allclose(colours.display_p3(lab), [[0.0, 1.0, 0.0]], atol=0.02)
    laser = colours.display_p3([[60.0, -160.0, 100.0]])
    assert laser.min() >= 0.0
    assert laser.max() < 0.95  # brought in: paler and no lighter


def test_gamut_keeps_hue_and_lightness(working: np.ndarray) -> None:
    """Colours outside the screen land inside, with the Oklab hue and lightness they had."""
    linear = colours.linear_of_xyz(working)
    out = ~colours.in_gamut(linear)
    assert 0.1 < out.mean() < 0.9  # the test means something
    held = colours.into_gamut(linear)
    assert np.all((held >= 0) & (held <= 1))
    np.testing.assert_array_equal(held[~out], np.clip(linear[~out], 0, 1))
    before, after = colours.oklab_of_linear(linear[out]), colours.oklab_of_linear(held[out])
    np.testing.assert_allclose(after[:, 0], before[:, 0], atol=1e-4)
    turned = np.arctan2(after[:, 2], after[:, 1]) - np.arctan2(before[:, 2], before[:, 1])
    chroma = np.hypot(after[:, 1], after[:, 2])
    across = np.abs(np.sin(turned)) * chroma
    assert across.max() < 1e-4
    assert np.all(chroma <= np.hypot(before[:, 1], before[:, 2]) + 1e-6)


def test_gamut_reduction_stops_at_the_edge(working: np.ndarray) -> None:
    """No duller than need be: a channel touches 0 or 1 in every colour that was outside."""
    linear = colours.linear_of_xyz(working)
    held = colours.into_gamut(linear)[~colours.in_gamut(linear)]
    assert np.minimum(held, 1 - held).min(axis=-1).max() < 1e-4


@given(unit, unit, unit)
def test_encoding_comes_back(r: float, g: float, b: float) -> None:
    """decode undoes encode over the whole range."""
    rgb = np.array([r, g, b])
    np.testing.assert_allclose(colours.decode(colours.encode(rgb)), rgb, atol=1e-7)


@given(st.integers(0, 0xFFFFFF))
def test_hex_comes_back(number: int) -> None:
    """Every #rrggbb survives being read and written."""
    text = f"#{number:06x}"
    assert colours.hex_of(colours.srgb_of_hex(text)) == text


@pytest.mark.parametrize("text", ["red", "#fff", "#12345g", "1234567"])
def test_other_spellings_are_refused(text: str) -> None:
    """Only #rrggbb is a colour here."""
    with pytest.raises(ValueError, match=r".+"):
        colours.srgb_of_hex(text)


@given(st.lists(unit, min_size=81, max_size=81), st.floats(0, 1))
def test_filter_never_lightens(spectrum: list[float], grey: float) -> None:
    """A grey filter in front can only darken."""
    t = np.array(spectrum)
    assert colours.to_lab(grey * t)[0] <= colours.to_lab(t)[0] + 1e-9


@given(st.integers(0, 0xFFFFFF))
def test_black_or_white_always_reads(number: int) -> None:
    """One of black and white always contrasts at 4.5:1 or better (WCAG 2.1 arithmetic)."""
    text = f"#{number:06x}"
    assert max(colours.wcag_contrast(text, "#000000"), colours.wcag_contrast(text, "#ffffff")) > 4.5
