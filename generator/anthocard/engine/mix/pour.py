"""Amounts meet bottles: how much of what liquid one pour or part comes to.

Belongs here: reading an author's amount against a bottle and the house's own measures. Does not
belong here: what the bottle holds (bottle.py, shelf.py) or what happens next (chill.py).
"""

from __future__ import annotations

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.results import Measure
from anthocard.facts.chemistry.carbonation import pour as lose_fizz
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.units import measures
from anthocard.facts.units.measures import Amount
from anthocard.house.settings import House


def role_of(bottle: Bottle) -> str:
    """How finely a pour of this must be measured: spirit, acid, buffer, pigment or other."""
    if bottle.kind == "infusion":
        return "pigment"
    if bottle.kind == "solution":
        return "acid"
    return "spirit" if bottle.kind in {"spirit", "liqueur", "wine"} else "other"


def pour(bottle: Bottle, amount: Amount, house: House, log: MistakeLog, place: Place) -> Measure:
    """Work out one amount of one bottle in millilitres and grams.

    An amount that has no volume here (an unmeasured dash, a leaf) gives None for both and a
    warning, and stays out of every sum. Dry goods poured by volume are a mistake.
    """
    own: dict[str, float] = {name: measure.ml for name, measure in house.measures.items()}
    ml, g = measures.to_ml(amount, own), measures.to_g(amount)
    item = bottle.item
    density = bottle.density_g_per_ml
    count = measures.pieces(amount)
    if count is not None and item is not None:
        g = None if item.unit_g is None else item.unit_g * count
        ml = None if item.unit_ml is None else item.unit_ml * count
    if g is not None and density is not None and ml is None:
        ml = g / density
    elif ml is not None and density is not None and g is None:
        g = ml * density
    elif ml is not None and density is None and item is not None and item.substance:
        log.add(
            "dry-by-volume",
            f"{bottle.name} is a powder and “{amount.text}” is a volume",
            place,
            f"weigh it: write grams, such as 2 g {bottle.name}",
        )
        ml = None
    elif ml is None and g is None and amount.unit in {"dash", "barspoon", "drop", "splash"}:
        log.add(
            "unmeasured",
            f"no volume is known for a {amount.unit} in this house, so it is left out of every sum",
            place,
            f"weigh twenty and add to house.yaml: measures: {{{amount.unit}: {{ml: 0.8, "
            "measured: YYYY-MM-DD}}",
            "warning",
        )
    return Measure(
        bottle.name, ml, g, amount.value, amount.unit, amount.text, role_of(bottle), bottle.slug
    )


def poured_liquid(bottle: Bottle, measure: Measure, house: House) -> Liquid:
    """The liquid one measured pour adds; a fizzy one loses the house's share of its CO2 on the way.

    Nothing for what could not be measured, or is not eaten with the drink (a dry plant).
    """
    if measure.g is None:
        return Liquid.mix(())
    liquid = bottle.per_g * measure.g
    return lose_fizz(liquid, house.pour_loss / 100.0) if bottle.fizzy else liquid
