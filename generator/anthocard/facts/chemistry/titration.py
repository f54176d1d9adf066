"""Acidity as the trade weighs it: titration, swaps of one acid for another, buffers.

Belongs here: what a burette or a pair of scales answers. Does not belong here: the pH itself
(equilibrium.py), finding the dose of a reveal in a drink (the engine).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.equilibrium import infer_strong_ions
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.substances import substance
from anthocard.facts.chemistry.volume import volume_ml

END_PH: Final = 8.2  # end point of AOAC 942.15 (8.1-8.2) and of OIV for juices other than wine


def base_to_reach_mmol(liquid: Liquid, ph: ArrayLike, temperature_c: ArrayLike = 20.0) -> Floats:
    """Strong base (mmol; negative = strong acid) that brings a meter to `ph`, its water neglected.

    Shapes broadcast.
    """
    turned = infer_strong_ions(liquid, ph, temperature_c)
    difference: Floats = (turned["strong_cation_mmol"] - turned["strong_anion_mmol"]) - (
        liquid["strong_cation_mmol"] - liquid["strong_anion_mmol"]
    )
    return difference


def titratable_acidity_g_per_l(
    liquid: Liquid,
    as_acid: str = "citric",
    end_ph: ArrayLike = END_PH,
    temperature_c: ArrayLike = 20.0,
) -> Floats:
    """Acidity titrated to `end_ph`, g/l of `as_acid` (anhydrous); 0 for an empty glass.

    Degassed first, as a laboratory would: carbonic acid is left out. Titrated undiluted. A liquid
    already above the end point takes no base: its acidity is 0, never less.
    """
    still = liquid.having(carbonic_mmol=0.0)
    mmol = np.maximum(base_to_reach_mmol(still, end_ph, temperature_c), 0.0)
    volume = volume_ml(liquid)
    per_ml = np.divide(mmol, volume, out=np.zeros(np.shape(mmol)), where=volume > 0)
    return per_ml * equivalent_mass_g_per_mol(as_acid)


def equivalent_mass_g_per_mol(as_acid: str) -> float:
    """Grams of an acid (a key of acids.yaml) that give one mole of titratable protons.

    64.04 for citric. Raises KeyError for an unknown acid, ValueError for one that has none.
    """
    one = acid(as_acid)
    if one.equivalents == 0:
        raise ValueError(f"{one.label} is not titrated to pH 8.2")
    return one.molar_mass_g_per_mol / one.equivalents


def swap_acid_g(grams: ArrayLike, from_substance: str, to_substance: str) -> Floats:
    """Grams of one acid out of a jar that carry the same titratable acid as `grams` of another.

    Names as in substances.yaml ("citric", "malic", "citric acid monohydrate", "lactic acid 80 %").
    Equal acidity is not equal pH nor equal taste. Raises KeyError for an unknown name, ValueError
    for something that carries no acid.
    """
    given, wanted = substance(from_substance), substance(to_substance)
    for one in (given, wanted):
        if one.acid_equivalents_per_g <= 0:
            raise ValueError(f"{one.label} is no acid to swap")
    ratio = given.acid_equivalents_per_g / wanted.acid_equivalents_per_g
    swapped: Floats = np.asarray(grams, dtype=np.float64) * ratio
    return swapped


def replace_juice_ml(
    juice_ml: ArrayLike, juice_acid_g_per_l: ArrayLike, solution_acid_g_per_l: ArrayLike
) -> tuple[Floats, Floats]:
    """Pair (ml of acid solution, ml of water) that stands in for a juice at equal acid and volume.

    Water is negative when the solution is the weaker of the two. Volumes taken as additive.
    """
    juice = np.asarray(juice_ml, dtype=np.float64)
    solution: Floats = juice * np.asarray(juice_acid_g_per_l) / np.asarray(solution_acid_g_per_l)
    return solution, juice - solution
