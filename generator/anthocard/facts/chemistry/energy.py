"""Energy and strength of a serve, as food law counts them.

Belongs here: the factors, and the frozen figures of one serve. Does not belong here: which
country's drinks a house counts (places, strength.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import Floats, Liquid


class Energy(NamedTuple):
    """Energy of a whole liquid, shape of the liquid."""

    kj: Floats
    kcal: Floats


@dataclass(frozen=True, slots=True)
class ServeStrength:
    """How strong one serve is: % vol, grams of ethanol, drinks of a named kind, energy."""

    abv_percent: float
    ethanol_g: float
    drinks: float
    drink_label: str
    kj: float
    kcal: float


def energy(liquid: Liquid) -> Energy:
    """KJ and kcal of a liquid from its ethanol, sugar and organic acids.

    Factors of Reg. (EU) 1169/2011 Annex XIV; protein, fat and the rest of the dry matter are not
    counted, so a drink with cream or egg comes out too low.
    """
    rows = _factors()
    grams = {
        "ethanol": liquid["ethanol_g"],
        "sugar": liquid["sugar_g"],
        "acids": sum(
            liquid[f"{key}_mmol"] * acid(key).molar_mass_g_per_mol / 1000.0
            for key in rows["acids"]["of"]
        ),
    }
    kj, kcal = (
        sum(mass * rows[part][unit] for part, mass in grams.items())
        for unit in ("kj_per_g", "kcal_per_g")
    )
    return Energy(kj, kcal)


def _factors() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.facts.chemistry", "energy.yaml")["factors"]
    return rows
