"""A glass with one pour taken out of it, and what it reads with every dose of another in its place.

Belongs here: the liquid without what is missing, and its pH, acidity and colour along a walk of
doses. Does not belong here: which bottle and which dose is chosen (stand_ins.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from anthocard.engine.mix import acidity
from anthocard.engine.mix.line import Along
from anthocard.engine.results import State
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.titration import titratable_acidity_g_per_l
from anthocard.facts.chemistry.volume import abv_percent, sugar_g_per_l, volume_ml
from anthocard.facts.colour import pigments
from anthocard.facts.colour.colours import to_lab
from anthocard.facts.colour.optics import Paths, transmittance_through


@dataclass(frozen=True, slots=True, eq=False)
class Replaced:
    """A glass without what is missing, and as it should be; or many, along leading axes.

    `base` is without, `whole` as written, with its pH and temperature; `above_cm` the mean way of
    light through that, as a guest looks in.
    """

    base: Liquid
    whole: Liquid
    ph: Floats
    temperature_c: Floats
    above_cm: Floats

    @classmethod
    def stack(cls, glasses: Sequence[Replaced]) -> Replaced:
        """Many glasses side by side along a first axis."""
        return cls(
            Liquid.stack(one.base for one in glasses), Liquid.stack(one.whole for one in glasses),
            np.array([one.ph for one in glasses]),
            np.array([one.temperature_c for one in glasses]),
            np.array([one.above_cm for one in glasses]),
        )  # fmt: skip

    def __getitem__(self, which: Any) -> Replaced:
        """Some of them, or with axes more, as an array's."""
        rows = which if isinstance(which, tuple) else (which,)
        base, whole = (Liquid(one.amounts[*rows, :]) for one in (self.base, self.whole))
        return Replaced(
            base, whole, self.ph[which], self.temperature_c[which], self.above_cm[which]
        )

    def with_each(self, per_ml: Liquid, doses_ml: Floats) -> Along:
        """It with every dose of what one millilitre of a bottle is, or of many bottles, in the
        place of what is missing; all shapes broadcast.
        """
        liquids = self.base + per_ml * doses_ml
        ph = acidity.read(liquids, self.temperature_c).ph
        return Along(doses_ml, liquids, ph, lambda: self._lab(liquids, ph))

    @property
    def lab(self) -> Floats:
        """The colour it should have."""
        return self._lab(self.whole, self.ph)

    @property
    def acidity_g_per_l(self) -> Floats:
        """The titratable acidity it should have."""
        return titratable_acidity_g_per_l(self.whole)

    @property
    def sugar_g_per_l(self) -> Floats:
        """The sugar it should have."""
        return sugar_g_per_l(self.whole)

    @property
    def abv_percent(self) -> Floats:
        """The strength it should have."""
        return abv_percent(self.whole)

    def _lab(self, liquid: Liquid, ph: Floats) -> Floats:
        """As seen from above, over the mean way of light that the drink as written has: tracing a
        glass anew at every level takes a hundred times as long, and moves both alike.
        """
        absorbance = pigments.absorbance_per_cm(liquid, volume_ml(liquid), ph)
        way = absorbance * self.above_cm[..., np.newaxis]
        return to_lab(transmittance_through(way, Paths(np.ones(1), np.ones(1))))


def without(state: State, lost: Liquid) -> Replaced:
    """A glass as it should be, and with a liquid taken out of it, never below nothing."""
    return Replaced(
        Liquid(np.maximum((state.liquid + lost * -1.0).amounts, 0.0)), state.liquid,
        np.asarray(state.ph), np.asarray(state.temperature_c),
        np.asarray(state.seen.above_mm / 10.0),
    )  # fmt: skip
