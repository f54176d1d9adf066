"""The pH of a liquid: charge balance over all its acids, salts and water, activities included.

Belongs here: solving for pH, its inverse (which strong ions explain a measured pH), the share of
each species, and where the model's evidence ends. Does not belong here: constants (acids.py,
activity.py), the sums over species (speciation.py), titration and dosing (titration.py), colour.

Every species of charge z has log10 gamma = -A z² √I/(1+1.5√I). Newton steps take p =
-log10(activity of H+) and the ionic strength I together to where charge balances and I agrees with
its own species. At a fixed I the net charge falls steadily as p rises: what would not settle is
bracketed, with I turned round it until both stand still.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry import activity
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.speciation import (
    TABLES,
    Constants,
    MolalBatch,
    charges_at,
    flatten,
    weights_at,
)
from anthocard.facts.chemistry.volume import brix

_CHUNK: Final = 2048  # liquids solved together: a few hundred kB, so that all stays in cache
_ALONE: Final = 250_000  # multiplications that BLAS does on one core, however busy the others are
_LOW, _HIGH = -3.0, 17.0  # bracket of the root; beyond anything that can be poured
_STEP: Final = 1e-4  # a Newton step this small leaves an error of about its square
_STILL: Final = 1e-9  # pH and ionic strength have settled
_LAST: Final = 1e-5  # a step of both this small leaves less than that
_FAR: Final = 2.0  # of a step, pH; beyond it a tangent says little
_STEPS: Final = 20  # then whatever has not settled is bracketed
_FEW: Final = 50  # liquids take as long as one


@dataclass(frozen=True, slots=True, eq=False)
class PhReading:
    """What a pH meter says, shape of the liquid; NaN where there is no solvent.

    `ph` is the reading of a meter calibrated in aqueous buffers, `ph_star` -log10 of the activity
    of H+ in the mix itself; they differ by the glass electrode's offset in ethanol.
    """

    ph: Floats
    ph_star: Floats
    ionic_strength_mol_per_kg: Floats


@dataclass(frozen=True, slots=True)
class ModelLimit:
    """One place where the model's evidence ends. `verdict` is "refuse" (quote no pH) or "warn"."""

    name: str
    verdict: str
    words: str


def measure_ph(
    liquid: Liquid,
    temperature_c: ArrayLike = 25.0,
    constants: Constants = TABLES,
    near: PhReading | None = None,
    within: float = _LAST,
) -> PhReading:
    """The pH of every liquid in the batch, as a meter would read it, at a temperature in °C.

    The temperature and the constants broadcast with the liquid, as does `near`, a reading of one
    close by: it saves steps and changes nothing. Newton's last step is at most `within`, which
    leaves about its square. Against published buffers rms 0.011 where they are simple, 0.043 where
    they are strong or mixed.
    """
    flat, shape = flatten(liquid, temperature_c, constants)
    ph_star, ionic = np.full(flat.size, 4.0), np.maximum(flat.cations, flat.anions) + 1e-3
    if near is not None:
        told, strong = (
            np.broadcast_to(one, shape).ravel()
            for one in (near.ph_star, near.ionic_strength_mol_per_kg)
        )
        known = np.isfinite(told) & (strong > 0.0)
        ph_star, ionic = np.where(known, told, ph_star), np.where(known, strong, ionic)
    chunk = min(_CHUNK, max(_CHUNK // 8, _ALONE // max(flat.layout.moments.size, 1)))
    for start in range(0, flat.size, chunk):
        part = slice(start, start + chunk)
        ph_star[part], ionic[part] = _solve(flat.cut(part), ph_star[part], ionic[part], within)
    ph_star[flat.empty] = ionic[flat.empty] = np.nan
    return PhReading(
        ph=np.reshape(ph_star + flat.electrode, shape),
        ph_star=np.reshape(ph_star, shape),
        ionic_strength_mol_per_kg=np.reshape(ionic, shape),
    )


def infer_strong_ions(
    liquid: Liquid, ph: ArrayLike, temperature_c: ArrayLike = 20.0, constants: Constants = TABLES
) -> Liquid:
    """The liquid with the strong cations (or anions) added that make a meter read `ph`.

    The way a juice's pH becomes conserved amounts: its acids are known, its potassium is not. The
    shapes of `ph` and the liquid broadcast. A liquid without solvent comes back as it was.
    """
    wanted = np.asarray(ph, dtype=np.float64)
    shape = np.broadcast_shapes(liquid.shape, wanted.shape)
    liquid = liquid.having(water_g=np.broadcast_to(liquid["water_g"], shape))
    flat, shape = flatten(liquid, temperature_c, constants)
    p = np.broadcast_to(wanted, shape).ravel() - flat.electrode
    needed = np.zeros(flat.size)
    ionic = np.maximum(flat.cations, flat.anions) + 1e-6
    for _ in range(200):
        state = charges_at(flat, p, flat.slope * activity.screening(ionic))
        needed = state.negative - state.positive
        off = state.ionic + 0.5 * np.abs(needed) - ionic
        if np.max(np.abs(off) / (1e-3 + ionic), initial=0.0) < 1e-13:
            break
        positive, negative, own = state.by_screen
        rise = (own + 0.5 * np.sign(needed) * (negative - positive)) * flat.slope
        slope = rise * activity.screening_slope(ionic) - 1.0
        ionic = np.maximum(ionic + off / np.where(slope < -0.1, -slope, 1.0), 0.1 * ionic)
    added_mmol = np.where(flat.empty, 0.0, needed * flat.solvent_kg * 1000.0).reshape(shape)
    return liquid.having(
        strong_cation_mmol=liquid["strong_cation_mmol"] + np.maximum(added_mmol, 0.0),
        strong_anion_mmol=liquid["strong_anion_mmol"] + np.maximum(-added_mmol, 0.0),
    )


def shares(
    liquid: Liquid,
    reading: PhReading,
    key: str,
    temperature_c: ArrayLike = 25.0,
    constants: Constants = TABLES,
) -> Floats:
    """The share of each form of one acid, shape (…, steps + 1), most protons first; they add to 1.

    The acid need not be in the liquid. Raises KeyError for an unknown acid.
    """
    flat, p, screen, shape = _found_out(liquid, reading, temperature_c, constants, (key,))
    weights = weights_at(flat, p, screen)
    each: Floats = (weights / weights.sum(axis=0)).T
    return each.reshape(*shape, each.shape[1])


def _found_out(
    liquid: Liquid,
    reading: PhReading,
    temperature_c: ArrayLike,
    constants: Constants,
    keys: tuple[str, ...] | None = None,
) -> tuple[MolalBatch, Floats, Floats, tuple[int, ...]]:
    """A batch laid out at a given reading: layout, p, A·screening(I) and the shape of it all."""
    read = (reading.ph_star, reading.ionic_strength_mol_per_kg)
    shape = np.broadcast_shapes(np.shape(temperature_c), *(np.shape(value) for value in read))
    flat, shape = flatten(liquid, np.broadcast_to(temperature_c, shape), constants, keys)
    p, ionic = (np.broadcast_to(value, shape).ravel() for value in read)
    return flat, p, flat.slope * activity.screening(ionic), shape


def limits(
    liquid: Liquid, ionic_strength_mol_per_kg: ArrayLike, temperature_c: ArrayLike = 25.0
) -> tuple[ModelLimit, ...]:
    """Every limit of the model that any liquid of the batch oversteps; often none."""
    rows = read_table("anthocard.facts.chemistry", "activity.yaml")["limits"]
    ionic = np.asarray(ionic_strength_mol_per_kg)
    of_potassium = (liquid["potassium_mmol"] > 0.5 * liquid["strong_cation_mmol"]) & (
        liquid["citric_mmol"] > 0.0
    )
    values = {
        "ethanol": liquid.ethanol_mass_fraction,
        "ionic_strength": ionic,
        "potassium": np.where(of_potassium, ionic, 0.0),
        "strong": ionic,
        "sugar": brix(liquid),
        "cold": np.asarray(temperature_c),
        "hot": np.asarray(temperature_c),
    }
    return tuple(
        ModelLimit(name, row["verdict"], row["words"])
        for name, row in rows.items()
        if _overstepped(row, values[name])
    )


def _overstepped(row: Mapping[str, Any], value: Floats) -> bool:
    if "below" in row:
        return bool(np.any(value < row["below"]))
    return bool(np.any((value > row["above"]) & (value <= row.get("to", np.inf))))


def _solve(flat: MolalBatch, p: Floats, ionic: Floats, within: float) -> tuple[Floats, Floats]:
    """The pH* and ionic strength (> 0) at which charge balances and I agrees with its own species,
    from where they may be, with a last step of at most `within`. What has taken it stands still,
    however far the others are: no liquid's figures hang on those beside it.
    """
    moving = np.ones(len(p), dtype=bool)
    for _ in range(_STEPS):
        state = charges_at(flat, p, flat.slope * activity.screening(ionic))
        by_ionic = state.by_screen * (flat.slope * activity.screening_slope(ionic))
        excess, off = np.log(state.positive / state.negative), state.ionic - ionic
        excess_p, excess_i = (
            slopes[0] / state.positive - slopes[1] / state.negative
            for slopes in (state.by_p, by_ionic)
        )
        off_p, off_i = state.by_p[2], by_ionic[2] - 1.0
        whole = excess_p * off_i - excess_i * off_p
        far = whole < -0.1 * excess_p  # I runs away from its own species: p first
        off_p, off_i = np.where(far, 0.0, off_p), np.where(far, -1.0, off_i)
        excess_i = np.where(far, 0.0, excess_i)
        whole = np.where(far, -excess_p, whole)
        step = (off * excess_i - excess * off_i) / whole
        more = (excess * off_p - off * excess_p) / whole
        settled = (np.abs(step) < within) & (np.abs(more) < within * (1e-3 + ionic))
        p = np.where(moving, p + np.clip(step, -_FAR, _FAR), p)
        ionic = np.where(moving, ionic * np.clip(1.0 + more / ionic, 0.2, 5.0), ionic)
        moving &= ~settled
        left = np.count_nonzero(moving)
        if not left:
            return p, ionic
        if _FEW < left < len(p) // 2:
            rest = flat.cut(moving)
            p[moving], ionic[moving] = _solve(rest, p[moving], ionic[moving], within)
            return p, ionic
    p[moving], ionic[moving] = _bracketed(flat.cut(moving))
    return p, ionic


def _bracketed(flat: MolalBatch) -> tuple[Floats, Floats]:
    """The same wherever it lies, with one round after the other."""
    p = np.full(flat.size, 4.0)
    ionic = np.maximum(flat.cations, flat.anions) + 1e-3
    for _ in range(100):
        before, assumed = p, ionic
        p, ionic = _root(flat, before, flat.slope * activity.screening(assumed))
        moved = np.maximum(np.abs(p - before), np.abs(ionic - assumed) / (1e-3 + ionic))
        if np.max(moved, initial=0.0) < _STILL:
            break
    else:
        raise ArithmeticError("the ionic strength of a liquid would not settle")
    return p, ionic


def _root(flat: MolalBatch, start: Floats, screen: Floats) -> tuple[Floats, Floats]:
    """The root of ln(positive/negative) in p at a fixed screening, and the ionic strength there.

    Newton steps, but the bracket is halved instead where one leaves it or gains too little on the
    last: so no liquid of the batch can go round in circles.
    """
    p, low, high = start, np.full_like(start, _LOW), np.full_like(start, _HIGH)
    last = high - low
    for _ in range(100):
        state = charges_at(flat, p, screen)
        value = np.log(state.positive / state.negative)
        slope = state.by_p[0] / state.positive - state.by_p[1] / state.negative
        low, high = np.where(value > 0, p, low), np.where(value > 0, high, p)
        newton = p - value / slope
        gains = np.abs(newton - p) <= np.maximum(0.5 * last, _STEP)
        keep = gains & (newton >= low) & (newton <= high)
        following = np.where(keep, newton, 0.5 * (low + high))
        last = np.abs(following - p)
        p = following
        if np.max(last, initial=0.0) < _STEP:
            return p, state.ionic
    raise ArithmeticError("the pH of a liquid could not be bracketed")
