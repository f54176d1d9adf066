"""Carbon dioxide that water holds, beside what others measured.

Belongs here: their units turned into volumes. Does not belong here: values (gas.yaml).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.alcohol import density_g_per_ml, spirit
from anthocard.facts.chemistry.carbonation import volumes_per_bar
from anthocard.facts.chemistry.liquid import Liquid

from tests.score.outside import Area, Scored

MOL_PER_VOLUME = 0.04492  # mol in a litre of gas at 0 °C and 1 atm
WATER_G_PER_MOL = 18.0153
CO2_G_PER_MOL = 44.01
BAR_PER_ATM = 1.01325


def areas() -> tuple[Area, ...]:
    """One area: what the pressure of a keg is worked out from."""
    return (Area("carbon dioxide dissolved", "volumes", tuple(scored())),)


def scored() -> Iterator[Scored]:
    """Volumes under one atmosphere of gas; no fit of ours used any."""
    found = yaml.safe_load((Path(__file__).parent / "gas.yaml").read_text(encoding="utf-8"))
    for key, row in found["values"].items():
        drink = spirit(1000.0, row.get("abv", 0.0)) + Liquid.of(sugar_g=row.get("sugar", 0.0))
        ours = float(volumes_per_bar(drink, row["c"])) * BAR_PER_ATM
        half = uncertainty("abv" in row)
        yield Scored(key, _volumes(row), ours, ours * (1.0 - half), ours * (1.0 + half))


def uncertainty(in_drinks: bool) -> float:
    """How far a solubility may be out, as a share from the middle to p5 and p95."""
    row = read_table("anthocard.facts.chemistry", "carbonation.yaml")["drink"]["solubility"]
    return float(row["half_in_drinks" if in_drinks else "half"])


def _volumes(row: dict[str, Any]) -> float:
    if "bunsen" in row:
        return float(row["bunsen"])
    if "ostwald" in row:
        return float(row["ostwald"]) * 273.15 / (273.15 + row["c"])
    if "henry" in row:
        return float(row["henry"]) * BAR_PER_ATM / (MOL_PER_VOLUME * CO2_G_PER_MOL)
    if "molar" in row:
        return float(row["molar"]) / MOL_PER_VOLUME
    litre_g = 1000.0 * float(density_g_per_ml(0.0, row["c"]))
    mol_per_l = row["mole"] / 1000.0 * litre_g / WATER_G_PER_MOL
    return float(mol_per_l / MOL_PER_VOLUME * BAR_PER_ATM)
