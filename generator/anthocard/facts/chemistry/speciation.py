"""Acids, salts and water laid out for arithmetic: every species of a batch at a given pH.

Belongs here: the constants a batch is worked with, its layout (acids and their species along the
first axis, liquids along the last, so that every sum over species is one small matrix product) and
the charges they carry. Does not belong here: finding the pH (equilibrium.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.facts.chemistry import activity
from anthocard.facts.chemistry.acids import Acid, acid, clarke_glew_terms, water_pk
from anthocard.facts.chemistry.liquid import ACID_COLUMNS, ACIDS, INDEX, Floats, Liquid

LN10: Final = float(np.log(10.0))


@dataclass(frozen=True, slots=True, eq=False)
class Constants:
    """Doubt about the model's constants, for a cloud of draws; the default changes nothing.

    Arrays broadcast with the liquid's shape. `ethanol_scale` multiplies every coefficient of
    ethanol, `ethanol_off` moves each by so many of its own s.d., `electrode_shift` is added to the
    meter's offset in pH, and `pk_shift` to every pK of the acid named.
    """

    ethanol_scale: ArrayLike = 1.0
    ethanol_off: ArrayLike = 0.0
    electrode_shift: ArrayLike = 0.0
    pk_shift: Mapping[str, ArrayLike] = field(default_factory=dict)


TABLES: Final = Constants()


class SpeciesLayout(NamedTuple):
    """A acids and their S species, laid out for the sums of a charge balance."""

    acids: tuple[Acid, ...]
    slopes: Floats  # (S, 2) ln weight per unit p, and per unit of the Debye-Hückel term
    log_k: Floats  # (S, 6) ln weight per unit of each of `flatten`'s terms
    steps: Floats  # (S, A) protons that a species has lost, in its own acid's column
    moments: Floats  # (5A, S) rows: sums of weights times charge to the powers 0 to 4
    sides: Floats  # (2, A) 1 where an acid's species are cations; where they are anions


@cache
def layout_of(keys: tuple[str, ...]) -> SpeciesLayout:
    """The layout of those acids, in that order."""
    acids = tuple(acid(key) for key in keys)
    lost = [np.arange(len(one.pk) + 1.0) for one in acids]
    charges = [one.charge - gone for one, gone in zip(acids, lost, strict=True)]
    owner = np.repeat(np.arange(len(acids)), [gone.size for gone in lost])
    charge = np.concatenate([*charges, []])
    member = (owner == np.arange(len(acids))[:, np.newaxis]).astype(np.float64)
    columns = [
        np.array([np.concatenate([[0.0], np.cumsum(column)]) for column in _of_steps(one)])
        for one in acids
    ]
    cationic = np.array([one.charge > 0 for one in acids], dtype=np.float64)
    return SpeciesLayout(
        acids=acids,
        slopes=LN10 * np.stack([np.concatenate([*lost, []]), charge**2], axis=1),
        log_k=-LN10 * np.concatenate([*columns, np.zeros((6, 0))], axis=1).T,
        steps=(member * np.concatenate([*lost, []])).T,
        moments=np.concatenate([member * charge**power for power in range(5)]),
        sides=np.stack([cationic, 1.0 - cationic]),
    )


def _of_steps(one: Acid) -> tuple[tuple[float, ...], ...]:
    """What each step's pK is made of, in the order of `flatten`'s terms."""
    coefficients = tuple(map(activity.ethanol_coefficient, one.ethanol))
    doubts = tuple(float(activity.ethanol_uncertainty(kind)) for kind in one.ethanol)
    ones = (1.0,) * len(doubts)
    return one.pk, one.dh_kj_per_mol, one.dcp_j_per_mol_k, coefficients, doubts, ones


@dataclass(frozen=True, slots=True, eq=False)
class MolalBatch:
    """A batch of n liquids in mol per kg of solvent; axis 0 of 2-D arrays as in `SpeciesLayout`."""

    layout: SpeciesLayout
    totals: Floats  # (A, n)
    cations: Floats
    anions: Floats
    solvent_kg: Floats
    empty: Any  # no solvent there: solved as pure water, reported as NaN
    log_k: Floats  # (S, n) ln of the product of the dissociation constants up to that species
    pkw: Floats
    slope: Floats  # Debye-Hückel A
    electrode: Floats

    @property
    def size(self) -> int:
        """How many liquids."""
        return self.cations.size

    def cut(self, part: slice | NDArray[np.bool_]) -> MolalBatch:
        """Some of the liquids."""
        return MolalBatch(
            self.layout,
            *(getattr(self, name)[..., part] for name in MolalBatch.__slots__ if name != "layout"),
        )


def flatten(
    liquid: Liquid,
    temperature_c: ArrayLike,
    constants: Constants,
    keys: tuple[str, ...] | None = None,
) -> tuple[MolalBatch, tuple[int, ...]]:
    """Lay a batch out flat; only the acids present anywhere in it take part (or `keys`)."""
    if keys is None:
        acids = liquid.amounts[..., ACID_COLUMNS].reshape(-1, len(ACIDS))
        present = np.count_nonzero(acids, axis=0)
        keys = tuple(key for key, there in zip(ACIDS, present, strict=True) if there)
    layout = layout_of(keys)
    knobs = (constants.ethanol_scale, constants.ethanol_off, constants.electrode_shift)
    shifts = {key: by for key, by in constants.pk_shift.items() if key in keys}
    shape = np.broadcast_shapes(
        liquid.shape, *(np.shape(knob) for knob in (temperature_c, *knobs, *shifts.values()))
    )

    def flat(values: ArrayLike) -> Floats:
        return np.broadcast_to(np.asarray(values, dtype=np.float64), shape).ravel()

    ethanol = liquid.ethanol_mass_fraction
    slope, gain = activity.of_solvent(ethanol, temperature_c)
    scale, off, electrode_shift = map(np.asarray, knobs)
    off = gain * off
    terms = (
        1.0, *clarke_glew_terms(temperature_c),
        gain * scale, off, activity.growing_uncertainty(ethanol) * off,
    )  # fmt: skip
    log_k = layout.log_k @ np.array([flat(term) for term in terms])
    for key, by in shifts.items():
        log_k -= LN10 * layout.steps[:, keys.index(key), np.newaxis] * flat(by)
    amounts = np.broadcast_to(liquid.amounts, (*shape, liquid.amounts.shape[-1]))
    amounts = amounts.reshape(-1, amounts.shape[-1]).T
    solvent_kg = flat(liquid.solvent_kg)
    empty = solvent_kg <= 0
    per_kg = np.where(empty, 0.0, 1e-3 / np.where(empty, 1.0, solvent_kg))
    return MolalBatch(
        layout=layout,
        totals=amounts[[INDEX[f"{key}_mmol"] for key in keys]] * per_kg,
        cations=amounts[INDEX["strong_cation_mmol"]] * per_kg,
        anions=amounts[INDEX["strong_anion_mmol"]] * per_kg,
        solvent_kg=solvent_kg,
        empty=empty,
        log_k=log_k,
        pkw=flat(water_pk(temperature_c)),
        slope=flat(slope),
        electrode=flat(activity.electrode_offset(ethanol) + electrode_shift),
    ), shape


class Charges(NamedTuple):
    """Both sides of the charge balance and the ionic strength, mol/kg, each (n,).

    `by_p` and `by_screen` (3, n) are the slopes of those three in p and in A·screening(I).
    """

    positive: Floats
    negative: Floats
    ionic: Floats
    by_p: Floats
    by_screen: Floats


def weights_at(flat: MolalBatch, p: Floats, screen: Floats) -> Floats:
    """How much of each species there is beside the others of its acid, (S, n)."""
    exponent = flat.layout.slopes @ np.stack([p, screen])
    exponent += flat.log_k
    weights: Floats = np.exp(exponent, out=exponent)
    return weights


def charges_at(flat: MolalBatch, p: Floats, screen: Floats) -> Charges:
    """Charges and their slopes at -log10 activity `p` and A·screening(I) `screen`, all (n,)."""
    shape = (5, len(flat.layout.acids), flat.size)
    sums = (flat.layout.moments @ weights_at(flat, p, screen)).reshape(shape)
    mean, square, cube, fourth = sums[1:] / sums[0]
    # A weight goes by 10 to -charge·p and charge²·screen: slopes are covariances of these powers.
    each = np.empty(shape)
    each[0], each[1], each[2] = mean, mean * mean - square, cube - mean * square
    each[3], each[4] = square, fourth - square * square
    each *= flat.totals
    charges, in_p, in_screen = flat.layout.sides @ each[:3]
    squares_in_p, squares, squares_in_screen = each[2:].sum(axis=1)
    acidity = np.exp(LN10 * (screen - p))
    hydroxide = np.exp(LN10 * (screen + p - flat.pkw))
    free = acidity + hydroxide
    return Charges(
        flat.cations + acidity + charges[0],
        flat.anions + hydroxide - charges[1],
        0.5 * (flat.cations + flat.anions + free + squares),
        LN10
        * np.stack(
            [in_p[0] - acidity, hydroxide - in_p[1], 0.5 * (hydroxide - acidity - squares_in_p)]
        ),
        LN10
        * np.stack(
            [in_screen[0] + acidity, hydroxide - in_screen[1], 0.5 * (free + squares_in_screen)]
        ),
    )
