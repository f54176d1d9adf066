"""Band shapes and peaks on the grid."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.colour import spectra

from tests.facts import laboratory


def test_grid_is_that_of_the_weights() -> None:
    """81 points, 380 to 780 nm, every 5 nm (OIV-MA-AS2-11, abstract read)."""
    assert spectra.NM.shape == (81,)
    assert (spectra.NM[0], spectra.NM[-1]) == (380, 780)
    assert set(np.diff(spectra.NM)) == {5.0}


def test_band_halves_where_a_gaussian_does() -> None:
    """At sqrt(2 ln 2) sigma from the peak, on either side, a band has half its height."""
    reach = np.sqrt(2 * np.log(2))
    sides = np.array([1e7 / (20_000 - 1000 * reach), 1e7 / (20_000 + 500 * reach)])
    half = spectra.band(500.0, 0.8, sigma_red=1000, sigma_blue=500, at_nm=sides)
    np.testing.assert_allclose(half, 0.4, rtol=1e-12)


@pytest.mark.parametrize("nm", [503.0, 547.4, 612.5])
def test_peak_is_found_between_grid_points(nm: float) -> None:
    """A peak between two points of the grid is found to a fifth of a step."""
    assert abs(laboratory.peak_nm(spectra.band(nm, 1.0, 800, 800)) - nm) < 1.0


def test_no_bands_absorb_nothing() -> None:
    """The empty sum is zero, in the shape of the grid."""
    np.testing.assert_array_equal(spectra.bands([]), np.zeros(81))
