"""A glass with one pour taken out of it, and what it reads with every dose of another in its place.

Belongs here: the liquid without what is missing, and its pH, acidity and colour along a walk of
doses. Does not belong here: which bottle and which dose is chosen (standing_in.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anthocard.engine.mix import acidity
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.line import Along
from anthocard.engine.results import State
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour import pigments
from anthocard.facts.colour.colours import to_lab
from anthocard.facts.colour.optics import Paths, transmittance_through


@dataclass(frozen=True, slots=True)
class Replaced:
    """A glass without what is missing, and as it should be."""

    base: Liquid
    state: State

    def with_each(self, bottle: Bottle, doses_ml: Floats) -> Along:
        """It with every dose of a bottle in the place of what is missing."""
        liquids = self.base + bottle.per_ml * doses_ml
        ph = acidity.read(liquids, self.state.temperature_c).ph
        return Along(doses_ml, liquids, ph, self._lab(liquids, ph))

    @property
    def lab(self) -> Floats:
        """The colour it should have."""
        return self._lab(self.state.liquid, np.asarray(self.state.ph))

    def _lab(self, liquid: Liquid, ph: Floats) -> Floats:
        """As seen from above, over the mean way of light that the drink as written has: tracing a
        glass anew at every level takes a hundred times as long, and moves both alike.
        """
        absorbance = pigments.absorbance_per_cm(liquid, volume_ml(liquid), ph)
        way = Paths(np.array([self.state.seen.above_mm / 10.0]), np.array([1.0]))
        return to_lab(transmittance_through(absorbance, way))


def without(state: State, lost: Liquid) -> Replaced:
    """A glass as it should be, and with a liquid taken out of it, never below nothing."""
    return Replaced(Liquid(np.maximum((state.liquid + lost * -1.0).amounts, 0.0)), state)
