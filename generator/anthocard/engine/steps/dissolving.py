"""Steps that bring something up or down to a figure: sugar, acid, salt, strength, a mark.

Belongs here: how much of a powder or of water it takes. Does not belong here: heat (heating.py),
what is poured as written (drawing.py). A wish that nothing reaches says what is reached.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from anthocard.engine.steps.pot import Done, Given, Pot, StepError, joined, need_liquid
from anthocard.facts.chemistry.acids import acid_keys
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.carbonation import open_water
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Floats, Liquid
from anthocard.facts.chemistry.titration import titratable_acidity_g_per_l
from anthocard.facts.chemistry.volume import abv_percent, volume_ml
from anthocard.facts.units.step_amounts import Aim
from anthocard.house.steps import AcidAdjust, Dilute, Salt, Sweeten, TopUp

_MOST_G_PER_L: Final = 400.0  # chosen: more powder than that is no longer a drink
_ROUNDS, _PARTS = 9, 64  # of a bracket: 2 to the power of 54 parts of it


def sweeten(step: Sweeten, pot: Pot, sugar: Given) -> tuple[Pot, Done]:
    """Dissolve sugar, honey or syrup: so much, by weight to the liquid, or to so many °Brix.

    `sugar.g` is nought where the step says ratio or °Brix.
    """
    asked = [one for one in (step.ratio, step.to) if one is not None]
    if len(asked) + bool(sugar.g) != 1:
        raise StepError(
            "sweeten-dose",
            f"how much {sugar.name} is said {'twice' if asked else 'nowhere'}",
            "write one: “sweeten: 500 g sugar”, or “ratio: 2 to 1”, or “to: 60 °Bx”",
            "sweeten",
        )
    whole_g = float(pot.liquid.mass_g)
    if asked and whole_g <= 0.0:
        raise StepError(
            "ratio-without-whole",
            "a ratio is to something, and there is no liquid yet",
            "put the step that adds the liquid before it: “- add: 500 g still water”",
            "ratio" if step.ratio is not None else "to",
        )
    grams = sugar.g
    if step.ratio is not None:
        grams = whole_g * step.ratio
    elif step.to is not None:
        grams = _to_brix(step.to, pot, sugar)
    return _with(pot, ((sugar, grams),), "sweeten", named=bool(asked))


def salt(step: Salt, pot: Pot, jar: Given) -> tuple[Pot, Done]:
    """Salt by weight, or as a share of all that is in the pot."""
    if step.salt.unit == "ml":
        raise StepError("dry-by-volume", "salt is weighed", "write “salt: 2 %” or “20 g”", "salt")
    if pot.g <= 0.0 and step.salt.unit == "%":
        raise StepError(
            "ratio-without-whole", "a share is of something, and the pot is empty",
            "put the step that fills it before it", "salt",
        )  # fmt: skip
    grams = step.salt.value if step.salt.unit == "g" else pot.g * step.salt.value / 100.0
    return _with(pot, ((jar, grams),), "salt", named=step.salt.unit == "%")


def acid_adjust(
    step: AcidAdjust, pot: Pot, jars: Sequence[Given], model: Liquid | None
) -> tuple[Pot, Done]:
    """Bring acidity, pH or the acids themselves to the aim; `model` is a gram of what is aimed at.

    Raises StepError where powders cannot get there, with what they reach.
    """
    need_liquid(pot, "ratio-without-whole", "sour", "acid_adjust")
    aim = step.acid_adjust
    if aim.sort == "acids":
        assert model is not None
        return _as_acids(aim, pot, jars, model)
    parts = [powder.parts for powder in step.powders]
    per_g = Liquid.mix(
        jar.per_g * (part / sum(parts)) for jar, part in zip(jars, parts, strict=True)
    )
    if aim.sort == "ph":
        wanted = aim.value if aim.value is not None else float(_ph(model))
        grams = _searched(pot, per_g, lambda one: -_ph(one), -wanted, aim, "pH {:.2f}", -1.0)
    else:
        wanted = aim.value if aim.value is not None else float(_acidity(model))
        grams = _searched(pot, per_g, _acidity, wanted, aim, "{:.1f} g/l", 1.0)
    used = tuple((jar, grams * part / sum(parts)) for jar, part in zip(jars, parts, strict=True))
    return _with(pot, used, "acid_adjust", named=True)


def dilute(step: Dilute, pot: Pot, water: Given) -> tuple[Pot, Done]:
    """Water, by weight, until the strength is down to what is asked for."""
    strong = float(abv_percent(pot.liquid))
    if not 0.0 < step.dilute < strong:
        raise StepError(
            "unreachable",
            f"water only lowers a strength: this has {strong:.1f} % vol, and {step.dilute:g} % is "
            "asked for",
            f"ask for less than {strong:.1f} %, or start from something stronger",
            "dilute",
        )
    most = float(pot.liquid["ethanol_g"]) * 200.0 / step.dilute
    grams = _bisected(lambda g: abv_percent(pot.liquid + water.per_g * g) <= step.dilute, most)
    return _with(pot, ((water, grams),), "dilute", named=True)


def top_up(step: TopUp, pot: Pot, water: Given) -> tuple[Pot, Done]:
    """Water that stood in the air to the mark: a short search, since mixing contracts."""
    short_ml = step.top_up - pot.ml
    if short_ml < 0.0:
        raise StepError(
            "over-full",
            f"it already fills {pot.ml:.0f} ml, more than the {step.top_up:g} ml it is made up to",
            "weigh less, or make it up to more",
            "top_up",
        )
    mixed = pot.liquid
    for _ in range(8):
        short_ml = step.top_up - float(volume_ml(mixed))
        mixed = mixed + open_water(short_ml * water_density_g_per_ml())
    added = float(mixed.mass_g) - float(pot.liquid.mass_g)
    pot = replace(pot, liquid=mixed)
    return pot, Done("top_up", added, pot.ml, pot.g, 0.0, used=((water.name, added),))


def _as_acids(aim: Aim, pot: Pot, jars: Sequence[Given], model: Liquid) -> tuple[Pot, Done]:
    """Of each acid as much in a litre as the other juice holds, each from its own jar."""
    goal = model * (1.0 / float(volume_ml(model)))
    grams = np.zeros(len(jars))
    for _ in range(30):  # powder takes up room: each round brings a digit
        mixed = pot.liquid + Liquid.mix(j.per_g * g for j, g in zip(jars, grams, strict=True))
        volume = float(volume_ml(mixed))
        for key in acid_keys():
            lacks = float(goal[f"{key}_mmol"]) * volume - float(mixed[f"{key}_mmol"])
            own = [n for n, jar in enumerate(jars) if float(jar.per_g[f"{key}_mmol"]) > 0.0]
            if own:
                grams[own[0]] += lacks / float(jars[own[0]].per_g[f"{key}_mmol"])
    over = [jar.name for jar, g in zip(jars, grams, strict=True) if g < -1e-6]
    if over:
        raise StepError(
            "unreachable",
            f"there is more {over[0]} in it already than in {aim.of}",
            f"leave {over[0]} out of “with”, or ask for the acidity of {aim.of}",
            "acid_adjust",
        )
    used = tuple((jar, float(g)) for jar, g in zip(jars, grams, strict=True))
    return _with(pot, used, "acid_adjust", named=True)


def _searched(
    pot: Pot,
    per_g: Liquid,
    reads: Callable[[Liquid], Floats],
    wanted: float,
    aim: Aim,
    words: str,
    sign: float,
) -> float:
    most = pot.ml / 1000.0 * _MOST_G_PER_L
    now, end = float(reads(pot.liquid)), float(reads(pot.liquid + per_g * most))
    if not now <= wanted <= end:
        reach = words.format(sign * (now if wanted < now else end))
        what = "has already" if wanted < now else "reaches at most"
        raise StepError(
            "unreachable",
            f"“{aim.text}” cannot be had with powders: it {what} {reach}",
            f"ask for {reach}, or thin it first" if wanted < now else "use a sharper acid",
            "acid_adjust",
        )
    return _bisected(lambda g: reads(pot.liquid + per_g * g) >= wanted, most)


def _to_brix(brix: float, pot: Pot, sugar: Given) -> float:
    """Grams that bring sugar by weight to `brix`."""
    own = 100.0 * float(sugar.per_g["sugar_g"]) / max(1e-9, float(sugar.per_g.mass_g))
    whole, there = float(pot.liquid.mass_g), float(pot.liquid["sugar_g"])
    now = 100.0 * there / whole
    if not now <= brix < own:
        raise StepError(
            "unreachable",
            f"{sugar.name} brings this from {now:.1f} to less than {own:.0f} °Bx, and {brix:g} is "
            "asked for",
            "ask for a figure between them, or use another sugar",
            "to",
        )
    return (brix * whole - 100.0 * there) / (own - brix)


def _with(
    pot: Pot, used: Sequence[tuple[Given, float]], word: str, *, named: bool
) -> tuple[Pot, Done]:
    mixed = Liquid.mix((pot.liquid, *(one.per_g * g for one, g in used)))
    total = sum(g for _, g in used)
    withheld = joined((*pot.withheld, *(w for one, _ in used for w in one.withheld)))
    pot = replace(pot, liquid=mixed, withheld=withheld)
    names = tuple((one.name, g) for one, g in used) if named else ()
    return pot, Done(word, total, pot.ml, pot.g, 0.0, used=names)


def _bisected(reached: Callable[[Floats], NDArray[np.bool_]], most: float) -> float:
    """The least amount that reaches what only ever grows; `reached` takes many at once."""
    low, high = 0.0, most
    for _ in range(_ROUNDS):
        tries = np.linspace(low, high, _PARTS + 1)
        first = int(np.argmax(np.append(reached(tries[1:-1]), True)))
        low, high = float(tries[first]), float(tries[first + 1])
    return 0.5 * (low + high)


def _ph(liquid: Liquid | None) -> Floats:
    assert liquid is not None
    return measure_ph(liquid, 20.0).ph


def _acidity(liquid: Liquid | None) -> Floats:
    assert liquid is not None
    return titratable_acidity_g_per_l(liquid)
