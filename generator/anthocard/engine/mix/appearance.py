"""How a liquid looks: its colour through the glass it stands in.

Belongs here: putting pigments, path, ice and the eye together. Does not belong here: any of those
by itself (facts.pigments, facts.glass, facts.colours).
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour import (
    colours,
    pigments,
)
from anthocard.facts.colour import (
    optics as glass,
)
from anthocard.facts.colour.colours import Colour


def transmittance(
    liquid: Liquid, ph: ArrayLike, width_mm: float, ice: float = 0.0, pk_shift: ArrayLike = 0.0
) -> Floats:
    """Light left after a round glass `width_mm` wide, shape (…, 81) on 380-780 nm."""
    absorbance = pigments.absorbance_per_cm(liquid, volume_ml(liquid), ph, pk_shift)
    return glass.transmittance_through(absorbance, width_mm, ice)


def colour(
    liquid: Liquid, ph: float, width_mm: float, ice: float = 0.0, pk_shift: float = 0.0
) -> Colour:
    """The colour of one liquid, with its screen colour, CIELAB and name."""
    return colours.colour_of(transmittance(liquid, ph, width_mm, ice, pk_shift))


def sample_width_mm() -> float:
    """The round sample bottle through which liquids that are not served are looked at, mm."""
    return float(
        read_table("anthocard.engine.mix", "methods.yaml")["samples"]["bottle"]["width_mm"]
    )
