"""Figures that are not told: no colour is invented where something in the glass has none.

Belongs here: taking an untold colour, and all that rests on it, out of a computed recipe. Does not
belong here: which step or plant leaves a figure unknown (engine/steps), how that is worded (press).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from anthocard.engine.findings import Withheld
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.results import Computed, State
from anthocard.facts.colour.colours import untold


def withheld_by(bottles: Iterable[Bottle]) -> tuple[Withheld, ...]:
    """What is not told of anything made of these, each reason once."""
    return tuple(dict.fromkeys(one for bottle in bottles for one in bottle.withheld))


def hides_colour(withheld: Iterable[Withheld]) -> bool:
    """Whether a colour is among what is not told."""
    return any(one.what == "colour" for one in withheld)


def without_colour(figures: Computed) -> Computed:
    """The figures without a colour that nobody can tell, and without all that rests on it."""
    return replace(
        figures,
        before=_plain(figures.before),
        after=None if figures.after is None else _plain(figures.after),
        stages=tuple(replace(stage, state=_plain(stage.state)) for stage in figures.stages),
        turn=None,
        delta_e00=None,
        window=None,
        uncertainty_before=None,
        uncertainty_after=None,
        ours_before=None,
        ours_after=None,
        eyes=None,
    )


def _plain(state: State) -> State:
    return replace(state, seen=replace(state.seen, side=untold(), above=untold()))
