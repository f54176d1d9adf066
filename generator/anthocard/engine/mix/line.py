"""The straight line of a pour: what stands in the glass, and every dose of one thing added to it.

Belongs here: many doses worked out in one call, and the walk along them that is printed. Does not
belong here: choosing one (search.py), how far one may stray (tolerance.py).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity, appearance as look
from anthocard.engine.optics.sight import Sight, Which
from anthocard.engine.results import Turn
from anthocard.engine.together import Work, alone
from anthocard.facts.chemistry import heat, titration
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.volume import abv_percent, sugar_g_per_l
from anthocard.facts.colour import colours


@dataclass(frozen=True, eq=False)
class Along:
    """What a batch of doses gives, arrays of the doses' shape.

    What few wishes ask of is worked out when it is asked; `looks` finds the colours.
    """

    doses_ml: Floats
    liquids: Liquid
    ph: Floats
    looks: Callable[[], Floats]
    unit: str = "ml"

    @cached_property
    def lab(self) -> Floats:
        """CIELAB, with one more axis of 3."""
        return self.looks()

    @property
    def acidity_g_per_l(self) -> Floats:
        """Titratable acidity as citric acid."""
        return titration.titratable_acidity_g_per_l(self.liquids)

    @property
    def sugar_g_per_l(self) -> Floats:
        """Grams of sugar in a litre."""
        return sugar_g_per_l(self.liquids)

    @property
    def abv_percent(self) -> Floats:
        """% vol at 20 °C."""
        return abv_percent(self.liquids)


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A glass as it stands, and one millilitre of what is poured into it.

    Of a powder one gram, and then every dose is in grams (`unit`). `before_c` and `poured_c` are
    their temperatures, °C; `pk_shift` is added to the pK of the pigments; `view` is how the
    glass is looked at, as a guest does unless told otherwise.
    """

    before: Liquid
    per_ml: Liquid
    before_c: float
    poured_c: float
    sight: Sight
    pk_shift: float = 0.0
    view: Which = "above"
    unit: str = "ml"

    def liquids(self, doses_ml: ArrayLike) -> Liquid:
        """The glass with each dose (≥ 0) stirred in."""
        return self.before + self.per_ml * doses_ml

    def temperatures_c(self, doses_ml: ArrayLike) -> Floats:
        """How warm each of them is, by heat capacities; that of the glass where all is empty."""
        capacity = heat.heat_capacity_j_per_k(self.before)
        added = heat.heat_capacity_j_per_k(self.per_ml) * np.asarray(doses_ml, dtype=np.float64)
        total = capacity + added
        share = np.divide(added, total, out=np.zeros_like(total), where=total > 0)
        return np.asarray(self.before_c + (self.poured_c - self.before_c) * share)

    def at(self, doses_ml: ArrayLike) -> Along:
        """pH, colour and taste at every dose (ml ≥ 0, any shape)."""
        return alone(self.going(doses_ml))

    def going(self, doses_ml: ArrayLike) -> Work[Along]:
        """The same, its pH asked together with others."""
        doses = np.asarray(doses_ml, dtype=np.float64)
        liquids = self.liquids(doses)
        ph = (yield from acidity.reading(liquids, self.temperatures_c(doses))).ph

        def looks() -> Floats:
            light = look.transmittance(liquids, ph, self.sight, self.view, self.pk_shift)
            return colours.to_lab(light)

        return Along(doses, liquids, ph, looks, self.unit)

    def light(self, liquids: Liquid, doses_ml: Floats) -> Work[tuple[Floats, Floats]]:
        """The pH (…) of liquids as warm as those doses make it, and the light (…, 81) left of them
        in this glass, asked together with others.
        """
        ph = (yield from acidity.reading(liquids, self.temperatures_c(doses_ml))).ph
        light = yield from look.light(liquids, ph, self.sight, self.view, self.pk_shift)
        return ph, light


@cache
def _turn() -> dict[str, Any]:
    row: dict[str, Any] = read_table("anthocard.engine.mix", "methods.yaml")["samples"]["turn"]
    return row


def walk(
    before: Liquid,
    per_ml: Liquid,
    dose_ml: float,
    temperatures_c: tuple[float, float],
    sight: Sight,
    pk_shift: float = 0.0,
) -> Work[Turn]:
    """pH and colour from nothing poured to half as much again as the dose, in even steps.

    Seen as the guest does, from above. `temperatures_c` are those before and at the dose; between
    and beyond they follow a line.
    """
    poured = np.linspace(0.0, dose_ml * float(_turn()["overshoot"]), int(_turn()["points"]))
    liquids = before + per_ml * poured
    share = np.clip(poured / dose_ml, 0.0, 1.0) if dose_ml > 0.0 else np.zeros_like(poured)
    start_c, end_c = temperatures_c
    reading = yield from acidity.reading(liquids, start_c + (end_c - start_c) * share)
    light = yield from look.light(liquids, reading.ph, sight, "above", pk_shift)
    seen = yield from look.shown(colours.to_xyz(light))
    return Turn(
        poured_ml=poured,
        ph=reading.ph,
        lab=np.array([one.lab for one in seen]),
        hexes=tuple(one.hex for one in seen),
        names=tuple(one.name for one in seen),
    )
