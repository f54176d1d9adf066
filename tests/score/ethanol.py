"""What ethanol does to the pK of acids, step by step, beside what was measured.

Belongs here: turning ethanol.yaml into shifts. Does not belong here: drinks (their pH rests on more).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import yaml
from anthocard.facts.chemistry import activity
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.alcohol import (
    density_g_per_ml,
    ethanol_density_g_per_ml,
    mass_fraction_of_abv,
)

from tests.score.outside import Area, Scored, held

ETHANOL_G_PER_MOL = 46.069  # IUPAC atomic weights
PERCENT_VOL = 12.0  # of the wine of `measured`


class Shift(NamedTuple):
    """One pK in ethanol less that in water, molal; `kind` of step as in activity.yaml."""

    key: str
    kind: str
    mass_fraction: float
    published: float


def tables() -> dict[str, Any]:
    text = (Path(__file__).parent / "ethanol.yaml").read_text(encoding="utf-8")
    whole: dict[str, Any] = yaml.safe_load(text)
    return whole


def quadratics() -> Iterator[Shift]:
    """The shifts of the quadratics at 5-20 % vol."""
    rows = tables()["quadratics"]
    for key, steps in rows.items():
        if key in ("source", "how", "at_percent_vol"):
            continue
        for step, (a, b, k0) in enumerate(steps, 1):
            for percent in rows["at_percent_vol"]:
                fraction = float(mass_fraction_of_abv(percent))
                c = 10.0 * percent * ethanol_density_g_per_ml() / ETHANOL_G_PER_MOL
                molar = np.log10((a * c * c + b * c + k0) / k0)
                kind, key_of = acid(key).ethanol[step - 1], f"{key} {step} at {percent} %"
                yield Shift(key_of, kind, fraction, float(molar) + thinner(fraction))


def thinner(mass_fraction: float) -> float:
    """What turns a molar shift of pK into a molal one: a litre of the mix weighs less."""
    return float(np.log10(density_g_per_ml(mass_fraction) / density_g_per_ml(0.0)))


def _scored() -> Iterator[Scored]:
    for one in quadratics():
        gain = float(activity.of_solvent(one.mass_fraction)[1])
        ours = activity.ethanol_coefficient(one.kind) * gain
        reach = 1.645 * float(activity.ethanol_uncertainty(one.kind, one.mass_fraction)) * gain
        yield Scored(
            one.key, one.published, ours, ours - reach, ours + reach, fitted=not held(one.key)
        )
    fraction = float(mass_fraction_of_abv(PERCENT_VOL))
    gain = float(activity.of_solvent(fraction)[1])
    slope = activity.debye_hueckel_slope(fraction) - activity.debye_hueckel_slope(0.0)
    for key, row in tables()["measured"].items():
        kind = acid(row["acid"]).ethanol[row["step"] - 1]
        salt = 2.0 * row["step"] * float(slope * activity.screening(row["ionic"]))
        ours = activity.ethanol_coefficient(kind) * gain - salt - thinner(fraction)
        reach = 1.645 * float(activity.ethanol_uncertainty(kind, fraction)) * gain
        yield Scored(key, row["shift"], ours, ours - reach, ours + reach)


def areas() -> tuple[Area, ...]:
    """One area: to 20 % vol, where pK were measured."""
    return (Area("pK of acids in ethanol, to 20 % vol", "", tuple(_scored())),)
