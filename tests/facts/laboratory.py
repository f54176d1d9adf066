"""Formulas of a laboratory that only the checks need: a flask, a burette, a peak, a charge balance.

Belongs here: what published checks are told in. Does not belong here: what the engine works with.
"""

from __future__ import annotations

import numpy as np
from anthocard.facts.chemistry import activity, equilibrium
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.equilibrium import TABLES, Constants, PhReading, measure_ph
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.speciation import charges_at
from anthocard.facts.chemistry.substances import substance
from anthocard.facts.chemistry.titration import base_to_reach_mmol, equivalent_mass_g_per_mol
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour.spectra import NM
from numpy.typing import ArrayLike


def top_up(liquid: Liquid, volume: ArrayLike) -> Liquid:
    """The liquid made up with water to a volume in ml at 20 °C, as in a flask; shapes broadcast.

    Raises ValueError when it fills the volume already.
    """
    wanted_ml = np.asarray(volume, dtype=np.float64)
    if np.any(volume_ml(liquid) > wanted_ml):
        raise ValueError("there is no room left for water")
    full = liquid + Liquid.of(water_g=np.zeros(wanted_ml.shape))
    for _ in range(40):  # each turn leaves at most a tenth of the error of the last
        missing_ml = wanted_ml - volume_ml(full)
        full = full + Liquid.of(water_g=missing_ml * water_density_g_per_ml())
        if np.max(np.abs(missing_ml), initial=0.0) < 1e-9:
            break
    return full


def charge_imbalance(
    liquid: Liquid,
    reading: PhReading,
    temperature_c: ArrayLike = 25.0,
    constants: Constants = TABLES,
) -> Floats:
    """Net charge left over at a reading, mol of charge per kg solvent: 0 where it was solved."""
    flat, p, screen, shape = equilibrium._found_out(liquid, reading, temperature_c, constants)
    state = charges_at(flat, p, screen)
    return np.reshape(state.positive - state.negative, shape)


def acidity_from_titre_g_per_l(
    base_ml: ArrayLike, base_mol_per_l: ArrayLike, sample_ml: ArrayLike, as_acid: str = "citric"
) -> Floats:
    """Titratable acidity from a burette: ml of base of that molarity that a sample took."""
    mmol = np.asarray(base_ml, dtype=np.float64) * np.asarray(base_mol_per_l)
    grams: Floats = mmol / np.asarray(sample_ml) * equivalent_mass_g_per_mol(as_acid)
    return grams


def buffer_value_mol_per_kg(liquid: Liquid, temperature_c: ArrayLike = 25.0) -> Floats:
    """Strong base per unit of pH, mol per kg solvent, at the liquid's own pH (Van Slyke's beta).

    A central difference over ±0.01 pH. NaN where there is no solvent.
    """
    ph = measure_ph(liquid, temperature_c).ph
    reach = np.nan_to_num(ph, nan=7.0)
    rise_mmol = base_to_reach_mmol(liquid, reach + 0.01, temperature_c) - base_to_reach_mmol(
        liquid, reach - 0.01, temperature_c
    )
    solvent = np.broadcast_to(liquid.solvent_kg, np.shape(ph))
    out = np.full(np.shape(ph), np.nan)
    per_kg: Floats = np.divide(rise_mmol / 1000.0 / 0.02, solvent, out=out, where=solvent > 0)
    return per_kg


def bicarbonate_to_reach_g(
    liquid: Liquid, ph: ArrayLike, temperature_c: ArrayLike = 20.0
) -> Floats:
    """Grams of sodium bicarbonate that raise a meter to `ph` once its CO2 has fizzed away.

    Negative where the liquid is above that pH already. CO2 that the liquid held stays counted.
    """
    per_mol = substance("sodium_bicarbonate").molar_mass_g_per_mol
    grams: Floats = base_to_reach_mmol(liquid, ph, temperature_c) * per_mol / 1000.0
    return grams


def peak_nm(spectrum: Floats, from_nm: float = 450.0, to_nm: float = 700.0) -> Floats:
    """Wavelength of the highest point in a range, by a parabola through it and its neighbours.

    `spectrum` has shape (…, 81); the result has shape (…).
    """
    inside = (from_nm <= NM) & (to_nm >= NM)
    top = np.argmax(np.where(inside, spectrum, -np.inf), axis=-1)[..., np.newaxis]
    top = np.clip(top, 1, NM.size - 2)
    left, middle, right = (
        np.take_along_axis(spectrum, top + i, axis=-1)[..., 0] for i in (-1, 0, 1)
    )
    bend = left - 2 * middle + right
    shift = np.divide(
        0.5 * (left - right), bend, out=np.zeros_like(bend), where=np.abs(bend) > 1e-300
    )
    peak: Floats = NM[top[..., 0]] + 5.0 * np.clip(shift, -0.5, 0.5)
    return peak


def ethanol_shift_pk(
    step: str, ethanol_mass_fraction: ArrayLike, temperature_c: ArrayLike = 25.0
) -> Floats:
    """How much ethanol raises the pK of a step of that kind (KeyError for an unknown one)."""
    gain = activity.of_solvent(ethanol_mass_fraction, temperature_c)[1]
    return activity.ethanol_coefficient(step) * gain
