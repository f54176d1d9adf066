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


def peak_nm(spectrum: Floats, from_nm: float = 450.0, to_nm: float = 700.0) -> Floats:
    """Wavelength of the highest point in a range, by a parabola through it and its neighbours.

    `spectrum` has shape (…, 81); the result has shape (…).
    """
    inside = (from_nm <= NM) & (to_nm >= NM)
    top = np.argmax(np.where(inside, spectrum, -np.inf), axis=-1)[..., np.newaxis]
    top = np.clip(top, 1, NM.size - 2)
    left, middle, right = (
        np.take_along_axis(spectrum, top + i, axis=-1)[..., 0] for i in (-1, 0, 1)
    )
    bend = left - 2 * middle + right
    shift = np.divide(
        0.5 * (left - right), bend, out=np.zeros_like(bend), where=np.abs(bend) > 1e-300
    )
    peak: Floats = NM[top[..., 0]] + 5.0 * np.clip(shift, -0.5, 0.5)
    return peak
