"""One list of steps, run from an empty pot: which module does which, and the account of them all.

Belongs here: the table of steps, and what the whole list comes to. Does not belong here: any step
(the modules beside this one), names and stock (engine/mix).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from anthocard.engine.steps import dissolving, drawing, gassing, growing, heating, parting
from anthocard.engine.steps.pot import Done, Given, Pot
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.house import steps as written
from anthocard.house.steps import Step


@dataclass(frozen=True, slots=True)
class Ready:
    """One step with what is put into it found and weighed: `lots` in the order written.

    `more` is what a step reaches for itself: sugar, salt, water. `model` is one gram of the juice
    that an acid is adjusted to.
    """

    step: Step
    lots: tuple[Given, ...] = ()
    more: Given | None = None
    model: Liquid | None = None


@dataclass(frozen=True, slots=True)
class Making:
    """A list of steps done: each step's account, and what all of them come to.

    `yields` are the least and the most that comes through all steps, as shares of what went in;
    `strengths` the % vol where fresh things may give more or less of their water.
    """

    done: tuple[Done, ...]
    yields: tuple[float, float]
    strengths: tuple[float, float]
    pressure_bar: float | None
    portions: int | None
    left_in: tuple[str, ...] = ()  # what is never taken out

    @property
    def weighed(self) -> bool:
        """Whether the house weighed the yield of every step that keeps something back."""
        return self.yields[0] == self.yields[1]


def do(ready: Ready, pot: Pot) -> tuple[Pot, Done]:
    """One step. Raises StepError."""
    step, lots = ready.step, ready.lots
    match step:
        case written.Add() | written.Zest():
            return drawing.add(step, pot, lots)
        case written.Juice():
            return drawing.juice(step, pot, lots)
        case written.Oleo():
            return drawing.oleo(step, pot, lots, _more(ready))
        case written.Steep():
            return drawing.steep(step, pot, lots)
        case written.Rest() | written.Age():
            return drawing.wait(step, pot)
        case written.Strain() | written.Press():
            return parting.strain(step, pot)
        case written.Wash():
            return parting.wash(step, pot, lots)
        case written.Clarify():
            return parting.clarify(step, pot, lots)
        case written.Thaw():
            return parting.thaw(step, pot)
        case written.Ferment():
            return growing.ferment(step, pot)
        case _:
            return _brought_or_filled(ready, pot)


def _brought_or_filled(ready: Ready, pot: Pot) -> tuple[Pot, Done]:
    step = ready.step
    match step:
        case written.Sweeten():
            return dissolving.sweeten(step, pot, _more(ready))
        case written.Salt():
            return dissolving.salt(step, pot, _more(ready))
        case written.AcidAdjust():
            return dissolving.acid_adjust(step, pot, ready.lots, ready.model)
        case written.Dilute():
            return dissolving.dilute(step, pot, _more(ready))
        case written.TopUp():
            return dissolving.top_up(step, pot, _more(ready))
        case written.Reduce():
            return heating.reduce(step, pot)
        case written.Chill():
            return heating.chill(step, pot)
        case written.Freeze():
            return heating.freeze(step, pot)
        case written.Blend():
            return heating.blend(step, pot)
        case written.Carbonate():
            return gassing.carbonate(step, pot)
        case written.Vent():
            return gassing.vent(step, pot)
        case written.Keg():
            return gassing.keg(step, pot)
        case written.Bottled():
            return gassing.bottle(step, pot)
        case written.Portioned():
            return gassing.portion(step, pot)
    raise TypeError(f"nothing does {type(step).__name__}")


def account(pot: Pot, done: Sequence[Done], strengths: tuple[float, float]) -> Making:
    """What a list of steps done comes to."""
    low = high = 1.0
    for one in done:
        low, high = low * one.gives[0], high * one.gives[2]
    pressures = [one.pressure_bar for one in done if one.pressure_bar is not None]
    portions = [one.portions for one in done if one.portions is not None]
    return Making(
        tuple(done),
        (low, high),
        strengths,
        pressures[-1] if pressures else None,
        portions[-1] if portions else None,
        tuple(one.name for one in pot.solids),
    )


def _more(ready: Ready) -> Given:
    assert ready.more is not None
    return ready.more
