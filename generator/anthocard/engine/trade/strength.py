"""How strong a serve is, counted in the drinks of the house's own place.

Belongs here: strength and energy of a computed state. Does not belong here: the factors
(facts.energy) and the countries' drinks (facts.alcohol, facts.places).
"""

from __future__ import annotations

from anthocard.engine.results import Computed, State
from anthocard.facts.chemistry.alcohol import drink_label, standard_drinks
from anthocard.facts.chemistry.energy import ServeStrength, energy
from anthocard.facts.law.places import Jurisdiction


def strengths(figures: Computed, where: Jurisdiction) -> tuple[ServeStrength, ...]:
    """Of a drink before, and with a reveal also after; of anything else its whole batch."""
    states = (figures.before, figures.after)
    return tuple(strength(one, where) for one in states if one is not None)


def strength(state: State, where: Jurisdiction) -> ServeStrength:
    """% vol, grams of ethanol, drinks of the named kind, kJ and kcal of one liquid."""
    ethanol_g = float(state.liquid["ethanol_g"])
    used = energy(state.liquid)
    return ServeStrength(
        abv_percent=state.abv_percent,
        ethanol_g=ethanol_g,
        drinks=float(standard_drinks(ethanol_g, where.drinks)),
        drink_label=drink_label(where.drinks),
        kj=float(used.kj),
        kcal=float(used.kcal),
    )
