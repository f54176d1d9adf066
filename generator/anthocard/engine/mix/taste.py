"""Taste beside colour: sweet against sharp, and what else would be as sharp.

Belongs here: the balance of a state, acids swapped by equivalents, juice replaced by an acid
solution. Does not belong here: titration itself (facts.titration), finding doses (search.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.results import State
from anthocard.facts.chemistry import titration
from anthocard.facts.chemistry.substances import substance

LEAST_ACID_G_PER_L = 0.5  # under this nothing tastes sharp, and a ratio to it says nothing


@dataclass(frozen=True, slots=True)
class AcidReplacement:
    """An acid solution and the water that stand in for a pour at equal acid and volume, ml.

    Water below nought says that the solution is the weaker, and the drink grows by that much.
    """

    name: str
    solution_ml: float
    water_ml: float


def sugar_to_acid(state: State) -> float | None:
    """Grams of sugar to one of acid (as citric), or None where there is hardly any acid."""
    acid = state.titratable_acidity_g_per_l
    return state.sugar_g_per_l / acid if acid >= LEAST_ACID_G_PER_L else None


def replaced(poured: Bottle, ml: float, solution: Bottle) -> AcidReplacement | None:
    """`ml` of a sour bottle as another one of equal acidity; None where either is not sour."""
    given = float(titration.titratable_acidity_g_per_l(poured.per_ml))
    wanted = float(titration.titratable_acidity_g_per_l(solution.per_ml))
    if given < LEAST_ACID_G_PER_L or wanted < LEAST_ACID_G_PER_L:
        return None
    solution_ml, water_ml = titration.replace_juice_ml(ml, given, wanted)
    return AcidReplacement(solution.name, float(solution_ml), float(water_ml))


def swapped(solution: Bottle, to: str) -> tuple[tuple[str, float, float], ...]:
    """Each weighed acid of a house's solution, its grams, and the grams of another as sharp.

    Equal acidity is not equal pH nor equal taste. Raises KeyError for an acid not known here.
    """
    found = []
    for part, measure in solution.parts:
        key = part.item.substance if part.item is not None else None
        if key is not None and measure.g and substance(key).acid_equivalents_per_g > 0:
            grams = float(titration.swap_acid_g(measure.g, key, to))
            found.append((part.name, measure.g, grams))
    return tuple(found)
