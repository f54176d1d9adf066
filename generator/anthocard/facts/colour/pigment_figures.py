"""What a laboratory would write down of a coloured liquid: forms, the peak and its absorbance.

Belongs here: figures to hold beside published ones. Does not belong here: the spectra themselves
(pigments.py), what the eye makes of them (colours.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import PLANTS, Floats, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour.pigments import FORMS, absorbance_per_cm, fractions
from anthocard.facts.colour.spectra import NM

VISIBLE_NM: Final = (450.0, 700.0)  # where a peak is looked for: beyond the yellow of every plant


def peak_half_nm() -> float:
    """How far the wavelength most absorbed may be out, nm from the middle to p5 and p95."""
    table = read_table("anthocard.facts.colour", "pigments.yaml")
    return float(table["shapes"]["peak"]["half_nm"])


@dataclass(frozen=True, slots=True)
class PigmentFigures:
    """The pigments of one liquid at its own pH and strength, over a path of 1 cm.

    `shares` are those of each plant's forms (`pigments.FORMS`), 0-1, adding to one; `absorbance`
    is decadic, at the peak `lambda_max_nm`, haze and yellow in it; `spectrum` the same every 20 nm.
    """

    shares: tuple[tuple[str, tuple[tuple[str, float], ...]], ...]
    lambda_max_nm: float
    absorbance: float
    spectrum: tuple[tuple[int, float], ...]


def pigment_figures(liquid: Liquid, ph: float, pk_shift: float = 0.0) -> PigmentFigures | None:
    """The figures of one liquid (shape ()); None where no plant colours it or it has no pH."""
    present = [key for key in PLANTS if float(liquid[f"{key}_au_ml"]) > 0.0]
    if not present or np.isnan(ph):
        return None
    ethanol = float(liquid.ethanol_mass_fraction)
    absorbed = absorbance_per_cm(liquid, volume_ml(liquid), ph, pk_shift)
    nm, height = peak(absorbed)
    return PigmentFigures(
        shares=tuple(
            (key, tuple(zip(FORMS, map(float, fractions(key, ph, ethanol, pk_shift)), strict=True)))
            for key in present
        ),
        lambda_max_nm=nm,
        absorbance=height,
        spectrum=tuple((int(at), float(absorbed[i])) for i, at in enumerate(NM) if at % 20 == 0),
    )


def peak(spectrum: Floats) -> tuple[float, float]:
    """Wavelength and height of the highest point of the visible, by a parabola through three."""
    inside = (VISIBLE_NM[0] <= NM) & (VISIBLE_NM[1] >= NM)
    top = int(np.clip(np.argmax(np.where(inside, spectrum, -np.inf)), 1, NM.size - 2))
    left, middle, right = (float(spectrum[top + i]) for i in (-1, 0, 1))
    bend = left - 2.0 * middle + right
    shift = float(np.clip(0.5 * (left - right) / bend, -0.5, 0.5)) if abs(bend) > 1e-300 else 0.0
    step = float(NM[1] - NM[0])
    return float(NM[top]) + step * shift, middle - 0.25 * (left - right) * shift
