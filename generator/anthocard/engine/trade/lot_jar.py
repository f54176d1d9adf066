"""A lot as a jar of liquid: what is in it by its own readings, beside what its recipe makes.

Belongs here: putting a lot, or none, on the shelf and looking at it as a sample is looked at. Does
not belong here: whether it is good (lot_verdict.py), what can be done about it (lot_correction.py).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity, appearance, composition
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.calibration import counting
from anthocard.engine.mix.fitting import ROOM_C
from anthocard.engine.mix.shelf import LITRE_ML, Shelf
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, Floats, Liquid
from anthocard.facts.chemistry.volume import abv_percent, volume_ml
from anthocard.facts.colour import colours
from anthocard.house.collection import Collection, fold
from anthocard.house.lots import Lot
from anthocard.house.readings import SORTS


@dataclass(frozen=True, slots=True)
class SampleReading:
    """What instruments and eyes say of a liquid at room temperature, in the sample bottle.

    `strength` is % vol, `brix` °Bx, `lab` CIELAB (3,) and `colour` its name.
    """

    ph: float
    strength: float
    brix: float
    lab: Floats
    colour: str
    hex: str


@dataclass(frozen=True, slots=True)
class Jar:
    """A liquid by the ml, how much of it there is in ml, and the shift of its pigment's pK."""

    per_ml: Liquid
    volume_ml: float
    pk_shift: float

    def read(self) -> SampleReading:
        """How it reads and looks."""
        ph = float(acidity.read(self.per_ml, ROOM_C).ph)
        seen = appearance.seen(self.per_ml, ph, appearance.sample(), self.pk_shift).side
        return SampleReading(
            ph,
            float(abv_percent(self.per_ml)),
            composition.brix(self.per_ml),
            np.asarray(seen.lab),
            seen.name,
            seen.hex,
        )

    @property
    def pigment(self) -> float:
        """How much colour is in a ml, all plants together."""
        return float(self.per_ml.amounts[PLANT_COLUMNS].sum())

    def scaled(self, volume: float) -> Jar:
        """The same liquid, so much of it."""
        per_ml = self.per_ml * (1.0 / float(volume_ml(self.per_ml)))
        return replace(self, per_ml=per_ml, volume_ml=volume)

    def mixed(self, other: Liquid, other_ml: float) -> Jar:
        """The jar with so many ml of another liquid (one ml of it given) stirred in."""
        whole = self.per_ml * self.volume_ml + other * other_ml
        volume = float(volume_ml(whole))
        return replace(self, per_ml=whole * (1.0 / volume), volume_ml=volume)


@dataclass(frozen=True, slots=True)
class LotComparison:
    """A lot beside its recipe: the two jars, the bottles they come from, and what was read.

    `read` names what was read of it: ph, colour, strength, brix, strained. `mistakes` say why its
    readings cannot be of this recipe, or what is doubtful about them; `left` is the distance
    between its colour readings and any strength of its plant (unit, figure).
    """

    lot: Lot
    target: Jar
    jar: Jar
    made: Bottle
    shelf: Shelf
    read: frozenset[str]
    mistakes: tuple[Mistake, ...]
    left: tuple[tuple[str, float], ...]
    yellow: float

    @property
    def times(self) -> float:
        """Its colour over that of the recipe; 1 where there is none."""
        return self.jar.pigment / self.target.pigment if self.target.pigment > 0.0 else 1.0


def compared(collection: Collection, lot: Lot) -> LotComparison:
    """A lot beside what its recipe makes without it. Raises KeyError where there is no recipe."""
    others = tuple(one for one in collection.lots if fold(one.of) != fold(lot.of))
    usual = Shelf(replace(collection, lots=others), MistakeLog())
    made = usual[lot.of]
    log = MistakeLog()
    poured = lot.model_copy(update={"in_use": lot.made, "discarded": None})
    bottle = Shelf(replace(collection, lots=(*others, poured)), log)[lot.of]
    volume = lot.volume or (LITRE_ML if made.batch is None else float(volume_ml(made.batch)))
    rows = lot.current_readings
    fits = [fit for fit in bottle.fits if fit.kind in ("absorbances", "colour")]
    return LotComparison(
        lot,
        Jar(made.per_ml, volume, made.pk_shift),
        Jar(bottle.per_ml, volume, bottle.pk_shift),
        made,
        usual,
        frozenset(sort for sort in SORTS if counting(rows, sort)),
        tuple(log),
        tuple((fit.unit, fit.fitted) for fit in fits),
        _yellow(bottle) / max(_yellow(made), 1e-9),
    )


def delta_e00(one: SampleReading, other: SampleReading) -> float:
    """CIEDE2000 between two looks."""
    return float(colours.delta_e_2000(one.lab, other.lab))


@cache
def limits(section: str) -> dict[str, Any]:
    """A section of lots.yaml."""
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "lots.yaml")[section]
    return rows


def _yellow(bottle: Bottle) -> float:
    """Yellow over pigment: what a fresh infusion has of it, and a browned one more."""
    pigment = float(bottle.per_g.amounts[PLANT_COLUMNS].sum())
    return float(bottle.per_g["yellow_au_ml"]) / pigment if pigment > 0.0 else 0.0
