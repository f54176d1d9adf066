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
from anthocard.facts.units.measures import Amount, Loose
from anthocard.facts.units.units import units
from anthocard.house.settings import House


def role_of(bottle: Bottle) -> str:
    """How finely a pour of this must be measured: spirit, acid, buffer, pigment or other."""
    if bottle.kind == "infusion":
        return "pigment"
    if bottle.kind == "solution":
        return "acid"
    return "spirit" if bottle.kind in {"spirit", "liqueur", "wine"} else "other"


def pour(
    bottle: Bottle, amount: Amount, house: House, log: MistakeLog, place: Place, dissolved: str = ""
) -> Measure:
    """Work out one amount of one bottle in millilitres and grams.

    A dash, barspoon or pinch that nobody has weighed counts as the middle of its usual range, with
    that range as its doubt and a warning. What has neither volume nor weight (a leaf) gives None
    for both, with a warning where it would change the drink. Dry goods poured by volume are a
    mistake; `dissolved` names what the house makes of them that could be poured instead.
    """
    own: dict[str, float] = {name: measure.ml for name, measure in house.measures.items()}
    ml, g = measures.to_ml(amount, own), measures.to_g(amount)
    item = bottle.item
    density = bottle.density_g_per_ml
    count = measures.pieces(amount)
    loose = measures.loose(amount, own)
    if loose is not None:
        ml, g = (loose.size, None) if loose.unit == "ml" else (None, loose.size)
    if count is not None and item is not None:
        g = None if item.unit_g is None else item.unit_g * count
        ml = None if item.unit_ml is None else item.unit_ml * count
    if g is not None and density is not None and ml is None:
        ml = g / density
    elif ml is not None and density is not None and g is None:
        g = ml * density
    elif ml is not None and density is None and float(bottle.per_g.mass_g) > 0.0:
        log.add(
            "dry-by-volume",
            f"{bottle.name} is a powder and “{amount.text}” is a volume",
            place,
            f"did you mean “{dissolved}”? A powder is dissolved before it is poured"
            if dissolved
            else f"did you mean “{amount.value:g} g {bottle.name}”? A powder is weighed",
        )
        ml = None
    elif ml is None and g is None and float(bottle.per_g.mass_g) > 0.0:
        log.add(
            "uncounted",
            f"nobody knows how much {bottle.name} “{amount.text}” is, so it is left out of every "
            "sum",
            place,
            "measure it once, and write the line in ml or g",
            "warning",
        )
    if loose is not None and (ml is not None or g is not None):
        _tell_loose(amount, loose, log, place)
    return Measure(
        bottle.name, ml, g, amount.value, amount.unit, amount.text, role_of(bottle), bottle.slug,
        0.0 if loose is None else loose.share,
    )  # fmt: skip


def _tell_loose(amount: Amount, loose: Loose, log: MistakeLog, place: Place) -> None:
    """Warn of a measure that was never weighed; a drop has a published size and is left alone."""
    unit = amount.unit
    if units()[unit].factor is not None:
        return
    log.add(
        "unmeasured",
        f"no {unit} was ever weighed in this house: “{amount.text}” counts as {loose.size:.3g} "
        f"{loose.unit}, and may be {loose.low:.3g} to {loose.high:.3g} {loose.unit}",
        place,
        "weigh it, and write grams"
        if loose.unit == "g"
        else f"weigh twenty: anthocard calibrate {unit} --weigh GRAMS --count 20",
        "warning",
    )


def poured_liquid(bottle: Bottle, measure: Measure, house: House) -> Liquid:
    """The liquid one measured pour adds; a fizzy one loses the house's share of its CO2 on the way.

    Nothing for what could not be measured, or is not eaten with the drink (a dry plant).
    """
    if measure.g is None:
        return Liquid.mix(())
    liquid = bottle.per_g * measure.g
    return lose_fizz(liquid, house.pour_loss / 100.0) if bottle.fizzy else liquid
