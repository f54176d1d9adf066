"""What stands in a glass for its picture: drink, ice, frozen reveals, foam, bubbles, garnish.

Belongs here: reading a computed drink for what a picture of it must show, and words that say so.
Does not belong here: drawing it (traced.py, garnish.py), working anything out (the engine).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.floating import FrozenLot
from anthocard.engine.optics.outline import glass_profile, near_level_ml, plain
from anthocard.engine.optics.scene import Filling
from anthocard.engine.optics.walls import drawable
from anthocard.engine.results import Computed, State
from anthocard.house.model import Drink
from anthocard.house.settings import Glass, House
from anthocard.press.draw.garnish import Garnish, garnish_of

LEVEL_MM = 0.5  # drinks whose levels differ by less share a picture's maps: a pixel is no finer


@dataclass(frozen=True, slots=True)
class ShownGlass:
    """A drink in its glass at one moment, as far as a picture shows it."""

    glass: Glass
    filling: Filling
    garnishes: tuple[Garnish, ...]
    rim: Garnish | None


def shown_glass(one: Computed, house: House, state: State) -> ShownGlass:
    """A drink's glass with what is in it, on it and at its rim in a state of it; the plain glass of
    its kind where that would ever run over, or where nobody can draw what is put on it.
    """
    recipe, stands = one.recipe, one.glassful
    assert isinstance(recipe, Drink)
    found = [garnish_of(words) for words in recipe.garnish]
    ice = stands.ice if stands else None
    layers = stands.layers if stands and state is one.before else ()
    foam_ml = sum(foam.ml for foam in stands.foam) if stands else 0.0
    foam_ml += sum(layer.ml for layer in layers if not layer.absorbs)
    clear_ml = tuple(layer.ml for layer in layers if layer.absorbs) or (state.volume_ml,)
    glass, share = house.glasses[recipe.glass], ice.share if ice else 0.0
    over = stands and stands.runs_over(max(other.volume_ml for other in one.states))
    if over or None in found:
        glass = plain(glass)
    frozen = tuple(
        FrozenLot(lot.kind, lot.pieces, lot.mm, lot.displaces_ml)
        for lot in (stands.frozen if stands and state is one.before else ())
    )
    frozen_ml, drink_ml = sum(lot.under_ml for lot in frozen), sum(clear_ml)
    room_ml = (drink_ml + frozen_ml) / (1.0 - share)
    level = near_level_ml(glass_profile(drawable(glass)), room_ml, LEVEL_MM)
    stretch = max(level * (1.0 - share) - frozen_ml, 0.1) / drink_ml
    filling = Filling(
        tuple(ml * stretch for ml in clear_ml),
        ice.kind if ice else "none",
        share,
        foam_ml,
        _sparkles(state),
        pieces=True,
        frozen=frozen,
    )
    return ShownGlass(
        glass,
        filling,
        tuple(dict.fromkeys(shape for shape in found if shape is not None)),
        None if recipe.rim is None else Garnish("crust", "salt"),
    )


def _sparkles(state: State) -> bool:
    least = float(_table()["bubbles"]["carbonic_mmol_per_l"])
    return float(state.liquid["carbonic_mmol"]) > least * state.volume_ml / 1000.0


def _table() -> dict[str, dict[str, Any]]:
    rows: dict[str, dict[str, Any]] = read_table("anthocard.engine.optics", "optics.yaml")["heads"]
    return rows
