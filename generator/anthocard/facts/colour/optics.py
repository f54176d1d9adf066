"""Light through a drink in a glass: the path is as long as the glass is wide, or shorter.

Belongs here: chords of a round glass, ice in the way, thin and full parts of a glass. Does not
belong here: what the liquid absorbs (pigments) or what an eye makes of it (colours).
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats


def transmittance_through(
    absorbance_per_cm: Floats, width_mm: ArrayLike, ice_fraction: ArrayLike = 0.0
) -> Floats:
    """Mean transmittance over the chords of a round glass, shape (…, 81), 0-1.

    `absorbance_per_cm` (…, 81), decadic; `width_mm` inner diameter, ≥ 0; `ice_fraction` the share
    of every path that is clear ice, 0-1; both broadcast against the leading axes. With the chord
    2R cos θ the mean is the integral of T(2R cos θ) cos θ over 0..π/2 (Beer-Lambert law).
    """
    path = np.asarray(width_mm, dtype=np.float64) / 10 * (1 - np.asarray(ice_fraction))
    density = np.log(10) * absorbance_per_cm * path[..., np.newaxis]
    total = np.zeros_like(density)
    light = np.empty_like(density)  # one array for every chord: a cloud of draws is megabytes
    for cos, weight in zip(*_chords(), strict=True):
        np.multiply(density, -cos, out=light)
        np.exp(light, out=light)
        light *= weight
        total += light
    return np.asarray(total)


def bands(absorbance_per_cm: Floats, width_mm: float, ice_fraction: float = 0.0) -> Floats:
    """Transmittance in three parts of the glass, thin, middle, full: shape (…, 3, 81)."""
    share = np.array([row["of_width"] for row in _parts().values()])
    path_cm = share * width_mm / 10 * (1 - ice_fraction)
    return np.asarray(10 ** -(absorbance_per_cm[..., np.newaxis, :] * path_cm[:, np.newaxis]))


@cache
def _parts() -> dict[str, dict[str, float]]:
    table: dict[str, dict[str, float]] = read_table("anthocard.facts.colour", "optics.yaml")[
        "parts"
    ]
    return table


@cache
def _chords() -> tuple[Floats, Floats]:
    """Cosines and weights: Gauss-Legendre in θ, crowded towards the rim where dark drinks pass."""
    node, weight = np.polynomial.legendre.leggauss(12)
    # θ = π/2 (1 - s²) with s on 0..1 puts nodes near the rim, θ = π/2, where paths are short.
    s = (node + 1) / 2
    theta = np.pi / 2 * (1 - s**2)
    cos = np.cos(theta)
    weights = weight / 2 * np.pi * s * cos
    return cos, weights / weights.sum()
