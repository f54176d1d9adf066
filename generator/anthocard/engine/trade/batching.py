"""Batches: n serves in bottles at drinking strength, or so many litres of something made.

Belongs here: scaling, the water that stands in for melt, bottles and labels, weights, the freezer.
Does not belong here: buying (demand.py), a batch's log (records.py), proofing (dilution.py).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Any

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity, appearance as look
from anthocard.engine.mix.assemble import pk_shift_of
from anthocard.engine.mix.pour import poured_liquid
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Caution, Computed, StatedPh
from anthocard.engine.safety.cautions import cautions_of
from anthocard.engine.safety.profile import profile
from anthocard.engine.safety.use_by import shelf_life_as
from anthocard.engine.trade.dilution import Proofed
from anthocard.engine.trade.held_back import SHAKEN, BatchLine, Held, held_for, scaled
from anthocard.engine.trade.vessels import Vessels, filled, goes_solid, usual
from anthocard.facts.chemistry import heat
from anthocard.facts.chemistry.alcohol import water_density_g_per_ml
from anthocard.facts.chemistry.carbonation import tap_water
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import abv_percent, density_g_per_ml, volume_ml
from anthocard.facts.law.shelf_life import Keeping, last_day
from anthocard.house.collection import Collection
from anthocard.house.model import Drink


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch, worked out: what goes in, what comes out, how it is kept.

    For a drink `water_ml` (and g) takes the place of the melt, so that a cold bottle pours at
    drinking strength without ice; `at_service` names what is added to the glass (anything fizzy,
    the reveal). `ph` (at room temperature) and `colour` (through the sample bottle) are what it
    should show. `freezing_c` is where ice begins to form and `freezer_safe` whether that is below
    the house's freezer. `labels` counts one a bottle; `vessel` is the kind that is filled.
    """

    name: str
    serves: float | None
    lines: tuple[BatchLine, ...]
    water_ml: float
    water_g: float
    total_ml: float
    total_g: float
    density_g_per_ml: float
    abv_percent: float
    vessel: str
    bottle_ml: float
    bottles: int
    labels: int
    freezing_c: float
    freezer_safe: bool
    ph: StatedPh
    colour: str
    at_service: tuple[str, ...]
    keeping: Keeping
    cautions: tuple[Caution, ...]
    held_back: tuple[Held, ...] = ()
    still_shaken: bool = False  # each serve is shaken on ice, so no water stands in for melt

    def last_day(self, made: date) -> date | None:
        """The last day of use of what is made on a day; None where nothing sets a date."""
        return None if self.keeping.days is None else last_day(made, self.keeping.days)


def batch(
    figures: Computed,
    serves: float,
    collection: Collection,
    shelf: Shelf,
    vessels: Vessels | None = None,
) -> Batch:
    """A drink for so many guests, bottled at the strength it has when it leaves the bar.

    What waits (`held_for`) and the reveal stay out and are added at service. A shaken drink is
    shaken all the same, so its batch has no water in place of melt. Half a serve is half of all.
    `vessels` default to those that suit it. Raises ValueError for no serve, no bottle, what
    is not a drink and a drink of which nothing can be bottled.
    """
    recipe = figures.recipe
    if not isinstance(recipe, Drink) or serves <= 0.0:
        raise ValueError("a batch of a drink has more than no serve")
    bottles = [shelf[part.name] for part in recipe.pours]
    pours = tuple(zip(bottles, figures.measures, strict=True))
    poured = [poured_liquid(bottle, measure, collection.house) for bottle, measure in pours]
    melt_g = float((figures.before.liquid + Liquid.mix(poured) * -1.0)["water_g"])
    whys = [held_for(bottle, measure) for bottle, measure in pours]
    still = [pour for pour, why in zip(pours, whys, strict=True) if why is None]
    if all(why == "fizz" for why in whys):
        raise ValueError(f"everything in {figures.name} is fizzy: pour each when it is served")
    if not still:
        raise ValueError(f"nothing in {figures.name} can wait in a bottle: pour each when served")
    shaken = recipe.method in SHAKEN
    if shaken:
        melt_g = 0.0
    mixed = Liquid.mix(
        poured_liquid(bottle, measure, collection.house) for bottle, measure in still
    )
    one = mixed + _water(max(0.0, melt_g), collection)
    at_service = [bottle.name for (bottle, _), why in zip(pours, whys, strict=True) if why]
    at_service += [measure.name for measure in figures.revealed]
    made = _bottled(
        figures, collection, one, float(serves),
        tuple(scaled(measure, float(serves)) for _, measure in still),
        max(0.0, melt_g) * serves, vessels, serves, tuple(at_service),
        shelf_life_as("batch", one, recipe, tuple(still), collection), "batch",
        _shown(one, collection, pk_shift_of(still)),
    )  # fmt: skip
    waiting = tuple(
        Held(bottle.name, scaled(measure, 1.0), scaled(measure, float(serves)), why)
        for (bottle, measure), why in zip(pours, whys, strict=True)
        if why is not None
    )
    return replace(made, held_back=waiting, still_shaken=shaken)


def make(
    figures: Computed,
    net_ml: float,
    collection: Collection,
    shelf: Shelf,
    vessels: Vessels | None = None,
    down: Proofed | None = None,
) -> Batch:
    """So many millilitres of an infusion, solution or syrup, after straining.

    With `down` (of `net_ml`) it is then brought down: totals, bottles, freezer and keeping are
    those of the weaker liquid, while `lines` and `water_g` stay those of the making.
    Raises ValueError where nothing is wanted, nothing comes out, or it is a drink.
    """
    made_ml = figures.before.volume_ml
    if isinstance(figures.recipe, Drink) or net_ml <= 0.0 or made_ml <= 0.0:
        raise ValueError("more than nothing of something the house makes")
    return _made(figures, net_ml / made_ml, collection, shelf, vessels, down)


def times(
    figures: Computed,
    count: float,
    collection: Collection,
    shelf: Shelf,
    vessels: Vessels | None = None,
) -> Batch:
    """So many serves of a drink, or so many times any other recipe as it is written.

    Every amount and total is exactly `count` times that of one. Raises ValueError as `batch` and
    `make` do.
    """
    if isinstance(figures.recipe, Drink):
        return batch(figures, count, collection, shelf, vessels)
    if count <= 0.0 or figures.before.volume_ml <= 0.0:
        raise ValueError("more than nothing of something the house makes")
    return _made(figures, float(count), collection, shelf, vessels, None)


def _made(
    figures: Computed,
    factor: float,
    collection: Collection,
    shelf: Shelf,
    vessels: Vessels | None,
    down: Proofed | None,
) -> Batch:
    recipe, one = figures.recipe, figures.before.liquid
    lines = tuple(scaled(measure, factor) for measure in figures.measures)
    topped_g = 0.0
    if getattr(recipe, "made_up_to", None) is not None:
        weighed_g = sum(measure.g for measure in figures.measures if measure.g is not None)
        topped_g = max(0.0, float(one.mass_g) - weighed_g) * factor
    shows: tuple[StatedPh, str] = (figures.before.stated_ph, figures.before.colour.name)
    if down is not None:
        one, factor = one * factor + _water(down.water_g, collection), 1.0
        shows = _shown(one, collection, shelf[recipe.name].pk_shift)
    kind = recipe.kind if down is None else "batch"
    shelf_life = shelf_life_as(kind, one, recipe, shelf[recipe.name].parts, collection)
    return _bottled(
        figures,
        collection,
        one,
        factor,
        lines,
        topped_g,
        vessels,
        None,
        (),
        shelf_life,
        recipe.kind,
        shows,
    )


def times_limits() -> tuple[float, float]:
    """The least and the most that may be made at a time: serves, or times a recipe as written."""
    row = _rows()["times"]
    return float(row["least"]), float(row["most"])


def _bottled(
    figures: Computed,
    collection: Collection,
    one: Liquid,
    factor: float,
    lines: tuple[BatchLine, ...],
    water_g: float,
    vessels: Vessels | None,
    serves: float | None,
    at_service: tuple[str, ...],
    shelf_life: Keeping,
    kind: str,
    shows: tuple[StatedPh, str],
) -> Batch:
    total_ml = float(volume_ml(one)) * factor
    freezing_c = float(heat.freezing_point_c(one))
    freezer_safe = freezing_c < collection.house.freezer_temperature
    if vessels is None:
        frozen = goes_solid(shelf_life.store, freezer_safe)
        vessels = usual(figures.recipe, collection.house, frozen)
    vessel, count = filled(total_ml, vessels)
    return Batch(
        name=figures.name,
        serves=serves,
        lines=lines,
        water_ml=water_g / water_density_g_per_ml(),
        water_g=water_g,
        total_ml=total_ml,
        total_g=float(one.mass_g) * factor,
        density_g_per_ml=float(density_g_per_ml(one)),
        abv_percent=float(abv_percent(one)),
        vessel=vessel.kind,
        bottle_ml=vessel.ml,
        bottles=count,
        labels=count,
        freezing_c=freezing_c,
        freezer_safe=freezer_safe,
        ph=shows[0],
        colour=shows[1],
        at_service=at_service,
        keeping=shelf_life,
        cautions=tuple(
            cautions_of(replace(profile(figures, collection), kind=kind), collection, figures.name)
        ),
    )


def _water(grams: float, collection: Collection) -> Liquid:
    """The house's own water, with the alkalinity that its ice would have brought."""
    return tap_water(grams, collection.house.water.alkalinity_mg_caco3_per_l)


def _shown(liquid: Liquid, collection: Collection, pk_shift: float) -> tuple[StatedPh, str]:
    """PH at room temperature as it may be told, and the colour's name through the sample bottle."""
    at_c = collection.house.room_temperature
    reading = acidity.read(liquid, at_c)
    ph = float(reading.ph)
    shown = None if acidity.beyond(liquid, reading, at_c) else ph
    return shown, look.seen(liquid, ph, look.sample(), pk_shift).side.name


@cache
def _rows() -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.trade", "batching.yaml")["batch"]
    return rows
