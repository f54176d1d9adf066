"""Pieces of ice in a drink: what of them is under its level, and frozen reveals as they lie in it.

Belongs here: how deep pieces float or rest. Does not belong here: how cold they leave a drink
(mix/chill.py), where each lies in a picture (engine/optics).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from anthocard.engine.glassful import FrozenInGlass
from anthocard.engine.mix import acidity, chill
from anthocard.engine.mix.assemble import Poured
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.optics.outline import brim_ml, fill_height_mm, glass_profile
from anthocard.engine.optics.walls import drawable
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour import pigments
from anthocard.facts.ice_pieces import Piece, ice_density_g_per_ml, pieces
from anthocard.house.ice import FrozenPieces
from anthocard.house.model import Drink
from anthocard.house.settings import Glass, House

_HALVINGS = 40  # of a depth: far finer than a drop


@dataclass(frozen=True, slots=True)
class Submerged:
    """So many pieces of one kind and size, and what all of them displace afloat, ml."""

    piece: Piece
    count: int
    mm: float
    floats_ml: float

    def under_ml(self, deep_mm: float) -> float:
        """What of them is under the level of a drink so deep: no more than floats."""
        return min(self.floats_ml, self.count * self.piece.under_ml(self.mm, deep_mm))


def under_level(glass: Glass, liquid_ml: float, lots: Sequence[Submerged]) -> tuple[float, ...]:
    """What of each lot is under the level of so much drink around them, ml.

    The level at which drink and what is under it fill the glass together.
    """
    profile = glass_profile(drawable(glass))
    low_ml = 0.0
    high_ml = min(brim_ml(profile), liquid_ml + sum(lot.floats_ml for lot in lots))
    for _ in range(_HALVINGS):
        room_ml = (low_ml + high_ml) / 2.0
        deep_mm = fill_height_mm(profile, room_ml)
        if room_ml - sum(lot.under_ml(deep_mm) for lot in lots) < liquid_ml:
            low_ml = room_ml
        else:
            high_ml = room_ml
    deep_mm = fill_height_mm(profile, high_ml)
    return tuple(lot.under_ml(deep_mm) for lot in lots)


def ice_lot(recipe: Drink) -> Submerged:
    """The counted ice of a drink."""
    ice = recipe.ice
    return Submerged(pieces()[ice.kind], ice.pieces, ice.mm, chill.floats_ml(recipe))


def frozen_in_glass(
    revealed: Sequence[Poured], recipe: Drink, house: House, liquid_ml: float, pk_shift: float
) -> tuple[FrozenInGlass, ...]:
    """The frozen reveals of a drink before any has melted, beside its counted ice.

    A piece takes as much more room than its liquid as ice does than water.
    """
    swells = water_density_g_per_ml() / ice_density_g_per_ml()
    found, lots = [], []
    for reveal, (bottle, measure) in zip(recipe.revealing, revealed, strict=True):
        liquid = poured_liquid(bottle, measure, house)
        ml, grams = float(volume_ml(liquid)), float(liquid.mass_g)
        if reveal.how != "frozen" or ml <= 0.0:
            continue
        read = acidity.read(liquid, 0.0)
        absorbs = pigments.absorbance_per_cm(liquid, ml, float(read.ph), pk_shift)
        told = reveal.pieces or FrozenPieces()
        piece, room_ml = pieces()[told.kind], swells * ml
        mm = piece.mm_of(room_ml / told.count)
        lots.append(Submerged(piece, told.count, mm, chill.afloat_ml(grams)))
        found.append((measure.name, told.kind, told.count, mm, room_ml, grams, absorbs))
    if not found:
        return ()
    ice = [ice_lot(recipe)] if recipe.ice.sized else []
    under = under_level(house.glasses[recipe.glass], liquid_ml, [*lots, *ice])
    return tuple(
        FrozenInGlass(*one[:6], displaces_ml, tuple(one[6].tolist()))
        for one, displaces_ml in zip(found, under, strict=False)
    )
