"""From colour readings of an infusion to its strength, its yellow and a shift of its pK.

Belongs here: the least squares and how far each reading is from the model. Does not belong here:
what is done with the answer (calibration.py).

All pigment is times one factor, the yellow times another, and, where readings were taken at two or
more pH, every pK moves by one shift: found by damped least squares over all readings at once, each
weighed by how sure it is, from the best of a grid of strengths, so that the answer does not depend
on a first guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity
from anthocard.engine.mix.appearance import sample
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS, Floats, Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour import colours, optics as glass, pigments
from anthocard.facts.colour.spectra import NM
from anthocard.house.readings import Calibration

ROOM_C = 20.0
CUVETTE_MM = 10.0
SAME_PH = 0.2  # readings nearer than this say nothing of pK
STEPS = 40


@dataclass(frozen=True, slots=True)
class ColourFit:
    """What colour readings tell of an infusion: factors on strength and yellow, a shift of pK."""

    strength: float
    yellow: float
    pk_shift: float
    knows_pk: bool
    strength_sd: float  # of its natural logarithm, by the readings' own weights

    @property
    def theta(self) -> Floats:
        """As `distances` takes it."""
        return np.array([np.log(self.strength), np.log(self.yellow), self.pk_shift])


def fit(per_ml: Liquid, rows: Sequence[Calibration], usual_pk: float = 0.0) -> ColourFit:
    """The strength, yellow and pK shift that explain colour readings of `per_ml` (one ml).

    `usual_pk` is the shift known of this plant before; readings at one pH alone leave it there.
    """
    ph = [row.ph for row in rows if row.ph is not None]
    knows_pk = len(ph) >= 2 and max(ph) - min(ph) > SAME_PH
    prior = np.array([_sd("log_strength"), _sd("log_yellow"), _sd("pk") if knows_pk else 1e-6])
    tries = np.zeros((81, 3))
    tries[:, 0] = np.linspace(-3.0, 3.0, 81)
    tries[:, 2] = usual_pk
    middle = np.array([0.0, 0.0, usual_pk])
    cost = np.sum(_residuals(per_ml, rows, tries, prior, middle) ** 2, axis=1)
    best, least = tries[np.argmin(cost)], float(np.min(cost))
    damping = 1.0
    off, slope = _slope(per_ml, rows, best, prior, middle)
    for _ in range(STEPS):
        square = slope.T @ slope
        step = np.linalg.solve(square + damping * np.diag(np.diag(square)), -slope.T @ off)
        trial = best + np.clip(step, -1.0, 1.0)
        missed, its_slope = _slope(per_ml, rows, trial, prior, middle)
        reached = float(np.sum(missed**2))
        if reached < least:
            done = least - reached < 1e-10 * (1.0 + least)
            best, least, damping = trial, reached, damping * 0.3
            off, slope = missed, its_slope
            if done:
                break
        else:
            damping *= 4.0
    sd = float(np.sqrt(np.linalg.inv(slope.T @ slope)[0, 0]))
    return ColourFit(float(np.exp(best[0])), float(np.exp(best[1])), float(best[2]), knows_pk, sd)


def _slope(
    per_ml: Liquid, rows: Sequence[Calibration], at: Floats, prior: Floats, middle: Floats
) -> tuple[Floats, Floats]:
    """The misses at one place (m,), and how each changes with each parameter there (m, 3)."""
    small = 1e-4
    around = np.concatenate([at[np.newaxis], at + small * np.eye(3)])
    off = _residuals(per_ml, rows, around, prior, middle)
    return off[0], (off[1:] - off[0]).T / small


def stronger(liquid: Liquid, strength: ArrayLike, yellow: ArrayLike) -> Liquid:
    """The liquid with its pigment, its yellow and its haze scaled; shapes broadcast."""
    strength, yellow = np.asarray(strength), np.asarray(yellow)
    amounts = np.array(np.broadcast_to(liquid.amounts, (*strength.shape, liquid.amounts.size)))
    amounts[..., PLANT_COLUMNS] *= strength[..., np.newaxis]
    return Liquid(amounts).having(
        yellow_au_ml=liquid["yellow_au_ml"] * strength * yellow,
        haze_au_ml=liquid["haze_au_ml"] * strength,
    )


def _absorbance(per_ml: Liquid, row: Calibration, theta: Floats) -> Floats:
    """Absorbance per cm of the reading's dilution, for parameters (k, 3): shape (k, 81)."""
    water = Liquid.of(water_g=(row.diluted - 1.0) * water_density_g_per_ml())
    liquid = stronger(per_ml, np.exp(theta[:, 0]), np.exp(theta[:, 1])) + water
    ph = row.ph if row.ph is not None else acidity.read(per_ml + water, ROOM_C).ph
    return pigments.absorbance_per_cm(liquid, volume_ml(liquid), ph, theta[:, 2])


def _lab(per_ml: Liquid, row: Calibration, theta: Floats) -> Floats:
    """The reading's colour for parameters (k, 3): shape (k, 3), as the reading saw it."""
    width_mm = sample().tube_mm if row.path is None else row.path
    light = glass.transmittance_through(_absorbance(per_ml, row, theta), glass.chords(width_mm))
    if row.lab is not None:
        return colours.to_lab(light)
    return colours.lab_of_linear(colours.linear_of_xyz(colours.to_xyz(light)))


def read_lab(row: Calibration) -> Floats:
    """The CIELAB of a reading that has a colour or `lab`."""
    if row.lab is not None:
        return np.array(row.lab)
    assert row.colour is not None
    return colours.lab_of_linear(colours.decode(colours.srgb_of_hex(row.colour)))


def _at_nm(spectra: Floats, nm: Sequence[int]) -> Floats:
    """Spectra (k, 81) read at some wavelengths: shape (k, len(nm))."""
    return np.stack([np.interp(nm, NM, one) for one in spectra])


def _residuals(
    per_ml: Liquid, rows: Sequence[Calibration], theta: Floats, prior: Floats, middle: Floats
) -> Floats:
    """Weighed misses of every reading and of the priors, for parameters (k, 3): shape (k, m)."""
    parts = [(theta - middle) / prior]
    for row in rows:
        if row.absorbances:
            nm, read = list(row.absorbances), np.array(list(row.absorbances.values()))
            weight = _table("weights")["absorbance"]
            path_cm = (CUVETTE_MM if row.path is None else row.path) / 10.0
            given = _at_nm(_absorbance(per_ml, row, theta), nm) * path_cm
            parts.append((given - read) / (weight["sd"] + weight["share"] * read))
        else:
            sd = row.within or colour_sd()
            parts.append((_lab(per_ml, row, theta) - read_lab(row)) / sd)
    return np.concatenate(parts, axis=1)


def distances(
    per_ml: Liquid, rows: Sequence[Calibration], theta: Floats
) -> list[tuple[str, float]]:
    """How far each reading is off at log strength, log yellow and pK shift `theta` (3,).

    Root mean square in AU, or ΔE00.
    """
    found = []
    for row in rows:
        if row.absorbances:
            nm, read = list(row.absorbances), np.array(list(row.absorbances.values()))
            path_cm = (CUVETTE_MM if row.path is None else row.path) / 10.0
            given = _at_nm(_absorbance(per_ml, row, theta[np.newaxis]), nm)[0] * path_cm
            found.append(("AU", float(np.sqrt(np.mean((given - read) ** 2)))))
        else:
            given = _lab(per_ml, row, theta[np.newaxis])[0]
            found.append(("ΔE00", float(colours.delta_e_2000(given, read_lab(row)))))
    return found


def colour_sd() -> float:
    """How far off a colour may be of which no more is known, one s.d. in CIELAB units."""
    return float(_table("weights")["colour"]["sd"])


def _sd(prior: str) -> float:
    return float(_table("priors")[prior]["sd"])


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.mix", "calibration.yaml")[section]
    return rows
