"""Gas and vessels: charge, vent, fill a keg or bottles, part into portions.

Belongs here: which pressure keeps which fizz, and which vessel bears it. Does not belong here: the
solubility itself (facts/chemistry/carbonation.py).
"""

from __future__ import annotations

import math
from dataclasses import replace

from anthocard.engine.steps.pot import Done, Pot, StepError, came_out, need_liquid
from anthocard.facts.chemistry import carbonation, yields
from anthocard.facts.chemistry.volume import abv_percent
from anthocard.house.steps import Bottled, Carbonate, Keg, Portioned, Vent


def carbonate(step: Carbonate, pot: Pot) -> tuple[Pot, Done]:
    """Charge to so many volumes, with the pressure that keeps them at the step's temperature.

    Raises StepError for what foams over, for what no table goes to, and for a pressure the vessel
    was not made for.
    """
    if pot.foams:
        raise StepError(
            "foams-over",
            f"{pot.foams[0]} foams over under gas, and clogs the valve",
            "carbonate the rest, and add it when it is served; or wash it out and strain it first",
            "carbonate",
        )
    if pot.ml <= 0.0 or pot.solids:
        raise StepError(
            "not-clear",
            "there is no liquid yet to charge"
            if pot.ml <= 0.0
            else "what lies in it tears the gas out",
            "put the step that adds or strains it before it",
            "carbonate",
        )  # fmt: skip
    cold = pot.temperature_c if step.temperature is None else step.temperature
    try:
        bar = float(carbonation.gauge_pressure_bar(pot.liquid, step.carbonate, cold))
        warm = float(
            carbonation.gauge_pressure_bar(pot.liquid, step.carbonate, carbonation.warm_c())
        )
    except ValueError:
        raise StepError(
            "too-strong-for-gas",
            f"nobody published how gas dissolves at {float(abv_percent(pot.liquid)):.0f} % vol",
            "bring it down to 18 % vol or less, and charge it then",
            "carbonate",
        ) from None
    held = carbonation.vessel(step.vessel)
    stored = warm if "bottle" in step.vessel else bar
    if max(bar, stored) > float(held["bar"]):
        raise StepError(
            "bursts",
            f"{step.carbonate:g} volumes come to {max(bar, stored):.1f} bar"
            f"{' when it gets warm' if stored > bar else ''}, and a {step.vessel} bears "
            f"{held['bar']:g}",
            "charge it less, or use a keg kept cold",
            "carbonate",
        )
    before = float(carbonation.co2_volumes(pot.liquid))
    pot = replace(pot, liquid=carbonation.carbonate(pot.liquid, step.carbonate), temperature_c=cold)
    gas_g = float(carbonation.co2_g_per_l(max(0.0, step.carbonate - before))) * pot.ml / 1000.0
    done = Done("carbonate", 0.0, pot.ml, pot.g, 0.0)
    return pot, replace(done, pressure_bar=max(0.0, bar), warm_bar=warm, co2_g=gas_g)


def vent(_: Vent, pot: Pot) -> tuple[Pot, Done]:
    """Let the gas out: none is left, and no acid of it."""
    pot = replace(pot, liquid=pot.liquid.having(carbonic_mmol=0.0))
    return pot, Done("vent", 0.0, pot.ml, pot.g, 0.0)


def keg(step: Keg, pot: Pot) -> tuple[Pot, Done]:
    """Fill a keg; nitrogen is no acid and hardly dissolves. Line and dip tube keep a little."""
    _ready(pot, "keg")
    low, share, high = yields.given("keg")
    if step.gives is not None:
        low = share = high = came_out(step.gives, pot)
    left = float(pot.liquid.mass_g) * (1.0 - share)
    pot = replace(pot, liquid=pot.liquid * share)
    done = Done("keg", 0.0, pot.ml, pot.g, left, (low, share, high), step.gives is not None)
    return pot, replace(done, portions=1, portion=step.keg)


def bottle(step: Bottled, pot: Pot) -> tuple[Pot, Done]:
    """Bottles of one size, the head space left empty: 5 % of what holds gas."""
    _ready(pot, "bottle")
    air = float(carbonation.vessel("bottle")["air_share"])
    count = math.ceil(pot.ml / (step.bottle * (1.0 - air)) - 1e-9)
    return pot, Done(
        "bottle", 0.0, pot.ml, pot.g, 0.0, portions=count, portion=f"{step.bottle:g} ml"
    )


def portion(step: Portioned, pot: Pot) -> tuple[Pot, Done]:
    """Equal shares, as many as come out whole; what is cut off stays behind."""
    if pot.g <= 0.0:
        raise StepError(
            "nothing-to-portion",
            "there is nothing in the pot yet",
            "add something before",
            "portion",
        )
    share = 1.0 if step.gives is None else came_out(step.gives, pot)
    left = float(pot.liquid.mass_g) * (1.0 - share)
    pot = replace(pot, liquid=pot.liquid * share)
    size, unit = step.portion.value, step.portion.unit
    whole = {"%": 100.0, "ml": pot.ml, "g": pot.g}[unit]
    count = math.floor(whole / size + 1e-9)
    if count < 1:
        raise StepError(
            "no-portion", f"{step.portion.text} is more than all there is", "cut smaller", "portion"
        )
    done = Done("portion", 0.0, pot.ml, pot.g, left, weighed=step.gives is not None)
    return pot, replace(done, portions=count, portion=step.portion.text)


def _ready(pot: Pot, word: str) -> None:
    need_liquid(pot, "nothing-to-fill", "fill in", word)
    if pot.solids:
        raise StepError(
            "not-strained",
            f"{pot.solids[0].name} still lies in it",
            "strain it before: “- strain: fine”",
            word,
        )
