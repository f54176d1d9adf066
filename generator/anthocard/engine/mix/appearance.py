"""How a liquid looks: its colour through the glass it stands in.

Belongs here: putting pigments, path, ice and the eye together, and telling an author where a
pigment fails. Does not belong here: any of those by itself (pigments.py, optics.py, colours.py).
"""

from __future__ import annotations

from collections.abc import Iterator

from numpy.typing import ArrayLike

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.results import State
from anthocard.facts.chemistry.liquid import PLANTS, Floats, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour import colours, optics as glass, pigments
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


def doubts(one: State, place: Place, what: str) -> Iterator[Mistake]:
    """A warning for every pigment that does not hold at the pH and strength of a liquid."""
    for key in PLANTS:
        if float(one.liquid[f"{key}_au_ml"]) > 0.0:
            for kind, words in pigments.failings(key, one.ph, one.abv_percent):
                yield Mistake(
                    kind,
                    f"{what}: {pigments.plant(key).label.lower()} {words}",
                    place,
                    "make a glass and look, or colour it with another plant",
                    "warning",
                )


def sample_width_mm() -> float:
    """The round sample bottle through which liquids that are not served are looked at, mm."""
    return float(
        read_table("anthocard.engine.mix", "methods.yaml")["samples"]["bottle"]["width_mm"]
    )
