"""Light through a drink: what is left of it after all the ways that it can take.

Belongs here: ways through a liquid as lengths with weights, the chords of a round bottle, thin and
full parts of a glass. Does not belong here: what the liquid absorbs (pigments), what an eye makes
of it (colours), how light runs through a real glass (engine/optics).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.chemistry.speciation import LN10

_BLOCK: Final = 32  # spectra worked out together: all their ways stay in a processor's cache


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """The ways that light takes: `cm` (…, k) lengths ≥ 0, `weights` (…, k) adding to one."""

    cm: Floats
    weights: Floats

    @property
    def mean_mm(self) -> Floats:
        """The mean length, mm, of the leading axes' shape."""
        return np.asarray(10.0 * (self.cm * self.weights).sum(axis=-1))

    def times(self, factor: ArrayLike) -> Paths:
        """All ways longer by a factor ≥ 0 that broadcasts against the leading axes."""
        return Paths(self.cm * np.asarray(factor)[..., np.newaxis], self.weights)


def transmittance_through(absorbance_per_cm: Floats, paths: Paths) -> Floats:
    """Mean transmittance over all ways, shape (…, 81), 0-1 (Beer-Lambert law on each).

    `absorbance_per_cm` (…, 81), decadic; leading axes broadcast against those of `paths`. What is
    given in single precision comes out in it, right to a millionth, in a third of the time.
    """
    kind = np.result_type(absorbance_per_cm, np.float32)
    lead = np.broadcast_shapes(absorbance_per_cm.shape[:-1], paths.cm.shape[:-1])

    def flat(values: Floats) -> Floats:
        last = values.shape[-1:]
        return np.broadcast_to(values.astype(kind), (*lead, *last)).reshape(-1, *last)

    density, cm, weights = flat(absorbance_per_cm), -LN10 * flat(paths.cm), flat(paths.weights)
    found = np.empty_like(density)
    for start in range(0, len(density), _BLOCK):
        part = slice(start, start + _BLOCK)
        light = cm[part, :, np.newaxis] * density[part, np.newaxis]
        np.exp(light, out=light)
        found[part] = (weights[part, np.newaxis] @ light)[:, 0]
    return found.reshape(*lead, density.shape[-1])


def chords(width_mm: ArrayLike, ice_fraction: ArrayLike = 0.0) -> Paths:
    """The chords of a round vessel looked at straight across.

    `width_mm` inner diameter, ≥ 0; `ice_fraction` the share of every way that is clear ice, 0-1;
    both broadcast. With the chord 2R cos θ the mean over the width is the integral of
    T(2R cos θ) cos θ over 0..π/2.
    """
    cos, weights = _chords()
    wide_cm = np.asarray(width_mm, dtype=np.float64) / 10 * (1 - np.asarray(ice_fraction))
    return Paths(wide_cm[..., np.newaxis] * cos, weights)


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
