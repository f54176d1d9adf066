"""Spectra on one grid: 380 to 780 nm every 5 nm, 81 points, and the shapes drawn on it.

Belongs here: the grid, band shapes, where a spectrum peaks. Does not belong here: which plant has
which band (pigments), or what an eye makes of it (colours).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

import numpy as np

from anthocard.facts.chemistry.liquid import Floats

#: Wavelengths in nm of every spectrum in the project (the 5 nm interval of OIV-MA-AS2-11).
NM: Final[Floats] = np.arange(380.0, 781.0, 5.0)
NM.setflags(write=False)


def band(
    nm: float, height: float, sigma_red: float, sigma_blue: float, at_nm: Floats = NM
) -> Floats:
    """One absorption band, an asymmetric Gaussian in wavenumber.

    `nm` is the peak (> 0), `sigma_red` and `sigma_blue` the standard deviations in cm-1 towards
    lower and higher wavenumber. Returns the shape of `at_nm`.
    """
    offset = 1e7 / at_nm - 1e7 / nm
    sigma = np.where(offset < 0, sigma_red, sigma_blue)
    return np.asarray(height * np.exp(-0.5 * (offset / sigma) ** 2))


def bands(rows: Iterable[Mapping[str, float]], at_nm: Floats = NM) -> Floats:
    """The sum of bands, each a mapping of `band`'s arguments; nothing absorbs nothing."""
    total = np.zeros_like(at_nm)
    for row in rows:
        total = total + band(**row, at_nm=at_nm)
    return total
