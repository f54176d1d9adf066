"""Where a plant's colour absorbs most, beside what others read off theirs.

Belongs here: the pigment alone, in water. Does not belong here: values (peaks.yaml).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import yaml
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour.pigment_figures import peak_half_nm
from anthocard.facts.colour.pigments import absorbance_per_cm

from tests.facts.laboratory import peak_nm
from tests.score.outside import Area, Scored


def areas() -> tuple[Area, ...]:
    """One area: what `figures` tells as the wavelength most absorbed."""
    return (Area("wavelength most absorbed", "nm", tuple(scored())),)


def scored() -> Iterator[Scored]:
    """Every reading at its pH."""
    found = yaml.safe_load((Path(__file__).parent / "peaks.yaml").read_text(encoding="utf-8"))
    for key, row in found["values"].items():
        plant = key.split(", ")[0]
        spectrum = absorbance_per_cm(Liquid.of(**{f"{plant}_au_ml": 1.0}), 1.0, row["ph"])
        ours = float(peak_nm(spectrum, *row.get("near", (450.0, 700.0))))
        half = peak_half_nm()
        yield Scored(key, row["nm"], ours, ours - half, ours + half, row.get("fitted", False))
