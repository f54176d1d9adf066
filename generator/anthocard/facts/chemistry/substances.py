"""Pure things that are weighed: what a gram of each brings into a liquid.

Belongs here: acids, salts and sugars as they come out of a jar, with their crystal water, assay,
other names and hazards. Does not belong here: juices, spirits and anything else of many parts (the
stock table), the acids' own constants (acids.py).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike
from pydantic import PlainValidator, WithJsonSchema

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.units.fields import refusal
from anthocard.facts.units.written_numbers import MeasureError

WATER_G_PER_MOL: Final = 18.015  # IUPAC atomic weights
CARBON_DIOXIDE_G_PER_MOL: Final = 44.009  # IUPAC atomic weights


@dataclass(frozen=True, slots=True)
class Substance:
    """One thing from a jar. Counts are per mole of `formula`; see substances.yaml for each field.

    `hazards` are CLP statements of the pure thing (H318 = serious eye damage, H319 = eye
    irritation …), `for_drinks` is False for what must never go into one.
    """

    key: str
    label: str
    aliases: tuple[str, ...]
    formula: str
    molar_mass_g_per_mol: float
    assay: float
    acids: Mapping[str, int]
    strong_cations: int
    strong_anions: int
    crystal_water: float
    is_sugar: bool
    ml_per_g: float
    hazards: tuple[str, ...]
    hazard_source: str
    for_drinks: bool
    note: str
    source: str

    @property
    def acid_equivalents_per_g(self) -> float:
        """Titratable protons (to pH 8.2) less strong base, mol per gram weighed."""
        protons = sum(count * acid(key).equivalents for key, count in self.acids.items())
        per_mole = protons + self.strong_anions - self.strong_cations
        return per_mole * self.assay / self.molar_mass_g_per_mol

    @property
    def potassium(self) -> int:
        """Atoms of potassium in the formula."""
        found = re.search(r"K(\d*)(?![a-z])", self.formula)
        return 0 if found is None else int(found[1] or 1)


@cache
def _all() -> Mapping[str, Substance]:
    rows = read_table("anthocard.facts.chemistry", "substances.yaml")["substances"]
    return {key: _substance(key, row) for key, row in rows.items()}


def _substance(key: str, row: Mapping[str, Any]) -> Substance:
    return Substance(
        key=key,
        label=row["label"],
        aliases=tuple(row["aliases"]),
        formula=row["formula"],
        molar_mass_g_per_mol=row["molar_mass"],
        assay=row.get("assay", 1.0),
        acids=row.get("acids", {}),
        strong_cations=row.get("strong_cations", 0),
        strong_anions=row.get("strong_anions", 0),
        crystal_water=row.get("crystal_water", 0.0),
        is_sugar=row.get("sugar", False),
        ml_per_g=row.get("ml_per_g", 0.0),
        hazards=tuple(row.get("hazards", ())),
        hazard_source=row.get("hazard_source", ""),
        for_drinks=row.get("for_drinks", True),
        note=row.get("note", ""),
        source=row["source"],
    )


@cache
def _by_name() -> Mapping[str, Substance]:
    names: dict[str, Substance] = {}
    for one in _all().values():
        for name in (one.key, one.label, *one.aliases):
            names[_folded(name)] = one
    return names


def _folded(name: str) -> str:
    return " ".join(name.replace("_", " ").casefold().split())


def substance(name: str) -> Substance:
    """The substance of that key, label or other name, whatever its capitals.

    Raises KeyError with the nearest known name.
    """
    try:
        return _by_name()[_folded(name)]
    except KeyError:
        hint = did_you_mean(_folded(name), _by_name())
        raise KeyError(f"no substance is called {name!r}: {hint}") from None


def _read(value: object) -> str:
    text = str(value)
    with suppress(KeyError):
        return substance(text).key
    mend = did_you_mean(text, [one.key for one in substances() if one.for_drinks])
    wrong = f"no substance is called “{text}”"
    raise refusal(MeasureError("unknown-substance", wrong, mend, 0, len(text)))


#: A substance that an author names, by any of its names, read to its key.
SubstanceName: TypeAlias = Annotated[str, PlainValidator(_read), WithJsonSchema({"type": "string"})]


def substances() -> tuple[Substance, ...]:
    """All of them, in the table's order."""
    return tuple(_all().values())


def dissolve(
    what: str | Substance, grams: ArrayLike, *, carbon_dioxide_lost: bool = False
) -> Liquid:
    """What so many grams bring into a liquid: no solvent but crystal water and the assay's rest.

    `carbon_dioxide_lost` leaves a carbonate's CO2 out, as when it fizzes away in acid. Arrays of
    grams give liquids of that shape. Raises KeyError for an unknown name.
    """
    one = substance(what) if isinstance(what, str) else what
    weighed_g = np.asarray(grams, dtype=np.float64)
    pure_g = weighed_g * one.assay
    mmol = 1000.0 * pure_g / one.molar_mass_g_per_mol
    crystal_g = mmol * one.crystal_water * WATER_G_PER_MOL / 1000.0
    dry_g = pure_g - crystal_g
    parts = {f"{key}_mmol": mmol * count for key, count in one.acids.items()}
    gas_mmol = parts.pop("carbonic_mmol", 0.0 * mmol) if carbon_dioxide_lost else 0.0 * mmol
    solids = (
        {"sugar_g": dry_g}
        if one.is_sugar
        else {
            "solutes_g": dry_g - gas_mmol * CARBON_DIOXIDE_G_PER_MOL / 1000.0,
            "solutes_ml": dry_g * one.ml_per_g,
        }
    )
    return Liquid.of(
        water_g=weighed_g - pure_g + crystal_g,
        strong_cation_mmol=mmol * one.strong_cations,
        potassium_mmol=mmol * one.potassium,
        strong_anion_mmol=mmol * one.strong_anions,
        **parts,
        **solids,
    )
