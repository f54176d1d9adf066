"""Light through a round glass."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.colour import optics as glass
from hypothesis import given, strategies as st


@given(st.floats(0, 30), st.floats(1, 100))
def test_mean_over_chords_is_the_integral(absorbance: float, width_mm: float) -> None:
    """The quadrature agrees with 20,000 rays laid side by side across the glass."""
    rays = (np.arange(20_000) + 0.5) / 20_000
    chord_cm = width_mm / 10 * np.sqrt(1 - rays**2)
    brute = np.mean(10 ** (-absorbance * chord_cm))
    found = glass.transmittance_through(np.full(81, absorbance), glass.chords(width_mm))[0]
    assert found == pytest.approx(brute, abs=2e-4)


def test_first_order_is_the_mean_chord() -> None:
    """A faint drink sees the mean chord of a circle, pi/4 of its width."""
    faint = 1e-6
    loss = 1 - glass.transmittance_through(np.full(81, faint), glass.chords(60.0))[0]
    assert loss == pytest.approx(np.log(10) * faint * 6.0 * np.pi / 4, rel=1e-4)


@given(st.floats(0, 3), st.floats(10, 100), st.floats(0, 1))
def test_ice_only_lightens(absorbance: float, width_mm: float, ice: float) -> None:
    """Clear ice in the way shortens the path as a narrower glass would."""
    a = np.full(81, absorbance)
    iced = glass.transmittance_through(a, glass.chords(width_mm, ice))
    assert np.all(iced >= glass.transmittance_through(a, glass.chords(width_mm)) - 1e-12)
    np.testing.assert_allclose(
        iced, glass.transmittance_through(a, glass.chords(width_mm * (1 - ice)))
    )


def test_shapes_broadcast() -> None:
    """Spectra on one axis, glasses on another."""
    a = np.ones((4, 81))
    assert glass.transmittance_through(a, glass.chords(np.full((3, 1), 50.0))).shape == (3, 4, 81)
    assert glass.bands(a, 50.0).shape == (4, 3, 81)


def test_bands_darken_towards_the_middle() -> None:
    """Thin, middle, full: each darker than the last; full is Beer-Lambert over the width."""
    thin, middle, full = glass.bands(np.full(81, 0.3), 60.0)[:, 0]
    assert thin > middle > full
    assert full == pytest.approx(10 ** (-0.3 * 6.0))
