"""How sour a liquid is: the pH a meter shows, and the acidity a tongue counts.

Belongs here: reading a liquid at a temperature, and telling an author where the model ends. Does
not belong here: the equilibrium itself (facts.equilibrium), titration (facts.titration).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.engine.results import State
from anthocard.engine.together import Work, ask, column
from anthocard.facts.chemistry import equilibrium, titration
from anthocard.facts.chemistry.equilibrium import PhReading
from anthocard.facts.chemistry.liquid import Floats, Liquid

COLDEST_C = 0.0  # the constants hold for 0-50 °C; a drink below zero is read as at zero


def read(liquid: Liquid, temperature_c: ArrayLike) -> PhReading:
    """The pH and ionic strength at a serving temperature, °C."""
    return equilibrium.measure_ph(liquid, np.maximum(temperature_c, COLDEST_C))


def reading(liquid: Liquid, temperature_c: ArrayLike) -> Work[PhReading]:
    """The same, asked together with others."""
    return PhReading(*(yield from ask(_read, liquid.amounts, column(temperature_c))))


def _read(amounts: Floats, temperature_c: Floats) -> tuple[Floats, Floats, Floats]:
    found = read(Liquid(amounts), temperature_c[:, 0])
    return found.ph, found.ph_star, found.ionic_strength_mol_per_kg


def titratable(liquid: Liquid) -> Work[Floats]:
    """Titratable acidity as citric acid, g/l, asked together with others."""
    (found,) = yield from ask(_titratable, liquid.amounts)
    acid: Floats = found
    return acid


def _titratable(amounts: Floats) -> tuple[Floats]:
    return (titration.titratable_acidity_g_per_l(Liquid(amounts)),)


def beyond(liquid: Liquid, reading: PhReading, temperature_c: float) -> bool:
    """Whether a liquid as it was read lies where no pH can be told of it."""
    ionic = reading.ionic_strength_mol_per_kg
    found = equilibrium.limits(liquid, ionic, max(temperature_c, COLDEST_C))
    return any(limit.verdict == "refuse" for limit in found)


def warnings(one: State, place: Place, what: str) -> Iterator[Mistake]:
    """A warning for every limit of the pH model that a liquid as it was read is beyond."""
    ionic, temperature_c = one.ionic_strength_mol_per_kg, max(one.temperature_c, COLDEST_C)
    for limit in equilibrium.limits(one.liquid, ionic, temperature_c):
        yield Mistake(
            f"limit-{limit.name}",
            f"{what}: {limit.words}",
            place,
            "measure the pH of an aliquot and trust the meter over this figure",
            "warning",
        )
