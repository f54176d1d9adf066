"""Coloured plants: which form their pigments take at a pH, and what each form absorbs.

Belongs here: acid-base and hydration equilibria of the pigments, the ethanol shift of their
constants, absorbance of a liquid. Does not belong here: how much colour a plant gives up to a
spirit (extraction) and how an eye sees it (glass, colours).

Model: for every pigment family, with h = 10**-pH,
D = 1 + Ka/h + Ka Kb/h² + Kh/h (1 + Kc/h); the forms are flavylium 1/D, quinoidal base Ka/h/D,
its anion Ka Kb/h²/D, and colourless hemiketal with its chalcones for the rest (Mendoza J. et al.
2018, quoted in Recent Advances in Polyphenol Research).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, PLANTS, Floats, Liquid
from anthocard.facts.chemistry.speciation import LN10
from anthocard.facts.colour.spectra import NM, band, bands

#: Forms of a pigment, in the order of every `shares` axis.
FORMS: Final = ("flavylium", "quinoidal", "anion", "hemiketal")

# Three Gauss-Hermite nodes stand for the spread of pK inside a plant's mixture of pigments: exact
# for a quintic, which a logistic curve under a spread of 0.25 pK is to within 0.001.
_NODES: Final = np.array([-(3.0**0.5), 0.0, 3.0**0.5])
_NODE_WEIGHTS: Final = np.array([1 / 6, 2 / 3, 1 / 6])


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """One family of pigments in a plant: its share of the dose, constants and spectra.

    The pK hold in water at 25 °C, `ethanol_pk_shift` is what a unit mass fraction of ethanol adds
    to the acid and hydration pK; `spectra` has shape (4, 81), in units of the dose.
    """

    weight: float
    pk_acid: float
    pk_base: float
    pk_hydration: float
    pk_hemiketal: float
    ethanol_pk_shift: float
    spectra: Floats


NEUTRAL_PH: Final = 7.0  # of water: what turns above it turns in no drink


@dataclass(frozen=True, slots=True, eq=False)
class Plant:
    """A plant's row: what it is called, what colours it, what comes along, how sure we are.

    `yellow` and `haze` are absorbance at 400 nm and extinction at 550 nm per unit of dose.
    `uncertainty` holds s.d. of pH and pK, of the lift of pK by ethanol, of ln yellow, and the top
    of a uniform haze.
    `food` maps us, eu and flag to plain words: information, not legal advice. `limits` names where
    the pigment fails.
    """

    key: str
    label: str
    latin: str
    part: str
    pigments: str
    families: tuple[Family, ...]
    mixture_sd: float
    yellow: float
    haze: float
    uncertainty: Mapping[str, float]
    kinetics: str
    food: Mapping[str, str]
    limits: Mapping[str, Any]
    source: str
    how: str

    @property
    def turns(self) -> bool:
        """Whether its colour changes between a spirit and a sour: an acid step below pH 7."""
        return any(family.pk_acid < NEUTRAL_PH for family in self.families)


@cache
def plants() -> Mapping[str, Plant]:
    """Every plant by its key, in the order of `liquid.PLANTS`."""
    rows = read_table("anthocard.facts.colour", "pigments.yaml")["plants"]
    return {key: _plant(key, rows[key]) for key in PLANTS}


def plant(key: str) -> Plant:
    """One plant; KeyError for a key that is not in `liquid.PLANTS`."""
    return plants()[key]


def shares(
    family: Family,
    ph: ArrayLike,
    ethanol_mass_fraction: ArrayLike = 0.0,
    pk_shift: ArrayLike = 0.0,
    mixture_sd: float = 0.0,
) -> Floats:
    """Shares of a family's four forms (see FORMS), shape (…, 4), each 0-1, adding to one.

    `ph` 0-14, `ethanol_mass_fraction` of the solvent 0-1 and `pk_shift` (added to every pK)
    broadcast. Ethanol lifts the first pK and the hydration constant, so red flavylium lasts to a
    higher pH (Coutinho I.B. et al., Food Chem. 172:476-480, 2015), and, like that of any neutral
    acid, the pK at which blue anions form.
    """
    shift = np.asarray(pk_shift, dtype=np.float64)
    ethanol = np.asarray(ethanol_mass_fraction, dtype=np.float64)
    above = np.asarray(ph, dtype=np.float64) - shift
    first = np.exp(LN10 * (above - family.ethanol_pk_shift * ethanol))
    second = np.exp(LN10 * (above - _shift_on_base() * ethanol))
    if mixture_sd == 0.0:
        return np.stack(_equilibrium(family, first, second), axis=-1)
    lower = 10.0 ** (-mixture_sd * _NODES)
    forms = _equilibrium(family, first[..., np.newaxis] * lower, second[..., np.newaxis] * lower)
    return np.stack([form @ _NODE_WEIGHTS for form in forms], axis=-1)


def fractions(
    plant_key: str, ph: ArrayLike, ethanol_mass_fraction: ArrayLike = 0.0, pk_shift: ArrayLike = 0.0
) -> Floats:
    """Shares of the four forms over all families of a plant, shape (…, 4), adding to one."""
    one = plant(plant_key)
    total = np.zeros(len(FORMS))
    for family in one.families:
        total = total + family.weight * shares(
            family, ph, ethanol_mass_fraction, pk_shift, one.mixture_sd
        )
    return total


def absorbance_per_cm(
    liquid: Liquid, volume_ml: ArrayLike, ph: ArrayLike, pk_shift: ArrayLike = 0.0, every: int = 1
) -> Floats:
    """Absorbance (decadic) per cm of path on `spectra.NM`, or `every` so many of it: (…, 81).

    `volume_ml` (> 0; where it is 0 nothing absorbs), `ph` and `pk_shift` broadcast against the
    liquid's leading axes. Plants, their yellow and haze are summed in one matrix product.
    """
    volume = np.asarray(volume_ml, dtype=np.float64)
    ph = np.asarray(ph, dtype=np.float64)
    pk_shift = np.asarray(pk_shift, dtype=np.float64)
    shape = np.broadcast_shapes(liquid.shape, volume.shape, ph.shape, pk_shift.shape)
    ethanol = liquid.ethanol_mass_fraction
    per_ml = np.divide(1.0, volume, out=np.zeros_like(volume), where=volume > 0)

    doses = liquid.amounts[..., PLANT_COLUMNS]
    present = np.flatnonzero(doses.reshape(-1, len(PLANTS)).any(axis=0))
    columns = [(liquid["yellow_au_ml"] * per_ml)[..., np.newaxis]]
    columns.append((liquid["haze_au_ml"] * per_ml)[..., np.newaxis])
    basis = [_background()]
    for i in present:
        one = plants()[PLANTS[i]]
        dose = (doses[..., i] * per_ml)[..., np.newaxis]
        for family in one.families:
            columns.append(dose * shares(family, ph, ethanol, pk_shift, one.mixture_sd))
            basis.append(family.weight * family.spectra)
    amounts = np.concatenate(
        [np.broadcast_to(column, (*shape, column.shape[-1])) for column in columns], axis=-1
    )
    return np.asarray(amounts @ np.concatenate(basis)[:, ::every])


def coloured(plant_key: str, dose_au_ml: ArrayLike) -> Liquid:
    """Only the colour of a plant: a dose (AU per cm times ml) with the yellow and haze it brings.

    It has no volume, mass or acid: add it to a liquid that has.
    """
    one = plant(plant_key)
    dose = np.asarray(dose_au_ml, dtype=np.float64)
    return Liquid.of(
        **{f"{plant_key}_au_ml": dose}, yellow_au_ml=one.yellow * dose, haze_au_ml=one.haze * dose
    )


def failings(plant_key: str, ph: float, abv_percent: float) -> tuple[tuple[str, str], ...]:
    """Where the pigment fails at this pH and strength: stable key and words; empty when it holds.

    Keys: falls-out-in-acid, falls-out-in-alcohol, reddens-in-alkali, shade-drifts.
    """
    limits = plant(plant_key).limits
    low, high = limits.get("shade_ph", (-np.inf, np.inf))
    found = {
        "falls-out-in-acid": ph < limits.get("falls_out_below_ph", -np.inf),
        "falls-out-in-alcohol": abv_percent > limits.get("falls_out_above_abv", np.inf),
        "reddens-in-alkali": ph > limits.get("reddens_above_ph", np.inf),
        "shade-drifts": not low <= ph <= high,
    }
    rows = read_table("anthocard.facts.colour", "pigments.yaml")["failings"]
    return tuple((key, rows[key]["words"]) for key, fails in found.items() if fails)


def _equilibrium(family: Family, first: Floats, second: Floats) -> tuple[Floats, ...]:
    """Shares of each form at 10 to the pH, less what shifts the first and other pK."""
    # Ratios to the flavylium, each 10**(pH - pK); a pK of infinity gives a ratio of zero.
    quinoidal = first * 10.0**-family.pk_acid
    anion = quinoidal * (second * 10.0**-family.pk_base)
    hemiketal = first * 10.0**-family.pk_hydration
    hemiketal = hemiketal * (1.0 + second * 10.0**-family.pk_hemiketal)
    flavylium = 1.0 / (1.0 + quinoidal + anion + hemiketal)
    return flavylium, quinoidal * flavylium, anion * flavylium, hemiketal * flavylium


@cache
def _shift_on_base() -> float:
    table = read_table("anthocard.facts.colour", "pigments.yaml")
    return float(table["medium"]["ethanol_on_base"]["pk_shift"])


@cache
def _background() -> Floats:
    shapes = read_table("anthocard.facts.colour", "pigments.yaml")["shapes"]
    yellow, haze = shapes["yellow"], shapes["haze"]
    return np.stack(
        [
            np.exp(-(NM - yellow["at_nm"]) / yellow["decay_nm"]),
            (haze["at_nm"] / NM) ** haze["power"],
        ]
    )


def _plant(key: str, row: Mapping[str, Any]) -> Plant:
    return Plant(
        key=key,
        label=row["label"],
        latin=row["latin"],
        part=row["part"],
        pigments=row["pigments"],
        families=tuple(_family(component, row) for component in row["components"]),
        mixture_sd=row["mixture_sd"],
        yellow=row["yellow"],
        haze=row["haze"],
        uncertainty=row["uncertainty"],
        kinetics=row["kinetics"],
        food=row["food"],
        limits=row.get("limits", {}),
        source=row["source"],
        how=row["how"],
    )


def _family(row: Mapping[str, Any], of_plant: Mapping[str, Any]) -> Family:
    table = read_table("anthocard.facts.colour", "pigments.yaml")
    shapes, plain_shift = table["shapes"], table["medium"]["ethanol"]["pk_shift"]
    hemiketal = {k: shapes["hemiketal"][k] for k in ("nm", "height", "sigma_red", "sigma_blue")}
    pk = row["pk"]
    return Family(
        weight=row["weight"],
        pk_acid=pk["acid"],
        pk_base=pk["base"],
        pk_hydration=pk["hydration"],
        pk_hemiketal=pk["hemiketal"],
        ethanol_pk_shift=of_plant.get("ethanol_pk_shift", plain_shift),
        spectra=np.stack(
            [
                _flavylium(row["flavylium"], shapes["side_band"]),
                _scaled(row["quinoidal"]) if "quinoidal" in row else np.zeros(NM.size),
                _scaled(row["anion"]) if "anion" in row else np.zeros(NM.size),
                # A pigment that never hydrates has no hemiketal to absorb.
                bands([hemiketal]) if np.isfinite(pk["hydration"]) else np.zeros(NM.size),
            ]
        ),
    )


def _scaled(form: Mapping[str, Any]) -> Floats:
    shape = bands(form["bands"])
    return np.asarray(form["peak"] * shape / shape.max())


def _flavylium(form: Mapping[str, Any], side: Mapping[str, float]) -> Floats:
    """The main band, and enough of the side band to bring A440/Amax to the published ratio."""
    main = _scaled(form)
    at_440 = int(np.flatnonzero(NM == 440.0)[0])
    shape = band(side["nm"], 1.0, side["sigma_red"], side["sigma_blue"])
    height = max(0.0, (form["side_ratio"] * main.max() - main[at_440]) / shape[at_440])
    spectrum = main + height * shape
    return np.asarray(form["peak"] * spectrum / spectrum.max())
