"""How a drink stands in its glass: foam, ice, garnish, and whether it all fits.

Belongs here: those figures for whoever draws or checks a glass. Does not belong here: layers
(layering.py), how deep pieces lie (under_level.py), what ice melts (mix/chill.py), drawings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, get_args

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.tables import read_table
from anthocard.engine.glassful import (
    Foam,
    FrozenInGlass,
    GarnishSort,
    Glassful,
    IceInGlass,
    Layer,
    ServedGarnish,
)
from anthocard.engine.mix import chill
from anthocard.engine.mix.appearance import sight_of
from anthocard.engine.mix.assemble import Poured
from anthocard.engine.results import Computed
from anthocard.engine.served.layering import check_order, lying, seen_apart, whipped
from anthocard.engine.served.under_level import frozen_in_glass, ice_lot, under_level
from anthocard.engine.trust.withholding import hides_colour
from anthocard.facts.chemistry.carbonation import tap_water
from anthocard.facts.colour.colours import untold
from anthocard.facts.ice_pieces import ice_density_g_per_ml
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.settings import House


def in_its_glass(
    figures: Computed,
    recipe: Drink,
    collection: Collection,
    poured: Sequence[Poured],
    revealed: Sequence[Poured],
    chilled: chill.Chilled,
    pk_shift: float,
    log: MistakeLog,
) -> Computed:
    """The figures of a drink as it stands: in layers where it is poured so, with foam and ice, and
    with what is frozen not yet melted.

    One in layers looks like its layers, its pH runs from the lowest to the highest of them, and
    what it is once it is stirred is told apart.
    """
    house, before = collection.house, figures.before
    places = [collection.at(recipe, ("pours", n)) for n in range(len(poured))]
    tell_flat(poured, places, recipe, log)
    melt = tap_water(chilled.melt_g, house.water.alkalinity_mg_caco3_per_l)
    lain = lying(poured, melt, recipe, house)
    layers: tuple[Layer, ...] = ()
    if lain:
        check_order(lain, [places[one.numbers[0]] for one in lain], log)
        sight = sight_of(recipe, house)
        layers, seen = seen_apart(lain, before.temperature_c, sight, pk_shift)
        if hides_colour(figures.withheld):
            layers = tuple(replace(one, colour=untold()) for one in layers)
            seen = before.seen
        phs = [one.ph for one in layers if one.ph is not None]
        between = (min(phs), max(phs)) if phs else None
        figures = replace(
            figures,
            before=replace(before, seen=seen, between=between),
            uncertainty_before=None,
            ours_before=None,
            stirred=before,
        )
    frozen = frozen_in_glass(revealed, recipe, house, before.volume_ml, pk_shift)
    in_glass = glassful(poured, layers, frozen, before.volume_ml, recipe, house)
    last_ml = max(state.volume_ml for state in figures.states)
    check_fit(in_glass, last_ml, recipe, collection.at(recipe, ("glass",)), log)
    return replace(figures, glassful=in_glass)


def glassful(
    poured: Sequence[Poured],
    layers: tuple[Layer, ...],
    frozen: tuple[FrozenInGlass, ...],
    liquid_ml: float,
    recipe: Drink,
    house: House,
) -> Glassful:
    """Everything that stands in the glass as it leaves the bar."""
    ice = ice_in_glass(recipe, house, liquid_ml)
    under_ml = sum(one.displaces_ml for one in frozen) + (0.0 if ice is None else ice.displaces_ml)
    return Glassful(
        layers=layers,
        foam=tuple(_foam(poured, bool(layers), liquid_ml, recipe)),
        ice=ice,
        garnish=tuple(_garnish(recipe)),
        liquid_ml=liquid_ml,
        level_ml=liquid_ml + under_ml,
        brim_ml=house.glasses[recipe.glass].holds,
        frozen=frozen,
    )


def ice_in_glass(recipe: Drink, house: House, liquid_ml: float) -> IceInGlass | None:
    """The ice in the glass of so much drink; None where there is none."""
    ice = recipe.ice
    if ice.kind == "none":
        return None
    if not ice.sized:
        share = chill.ice_share(recipe, house)
        heap_ml = house.glasses[recipe.glass].holds * share
        under_ml = min(heap_ml, liquid_ml * share / (1.0 - share))
        grams = heap_ml * ice_density_g_per_ml()
        return IceInGlass(ice.kind, 0, 0.0, grams, grams, under_ml, share)
    lot = ice_lot(recipe)
    (under_ml,) = under_level(house.glasses[recipe.glass], liquid_ml, [lot])
    share = under_ml / (under_ml + liquid_ml) if liquid_ml else 0.0
    return IceInGlass(ice.kind, ice.pieces, ice.mm, ice.grams, lot.floats_ml, under_ml, share)


def _foam(
    poured: Sequence[Poured], layered: bool, liquid_ml: float, recipe: Drink
) -> Iterator[Foam]:
    head = _rows("heads").get(recipe.method)
    for bottle, measure in poured:
        ml = measure.ml or 0.0
        for row in _rows("foams").values():
            if head is not None and ml and bottle.name in row["of"]:
                of = liquid_ml * min(1.0, ml / float(row["full_ml"]))
                yield Foam(bottle.name, of * head["typical"], of * head["low"], of * head["high"])
    top, measure = poured[-1]
    if layered and whipped(top) and measure.ml:
        row = _rows("cream")["float"]
        more = (measure.ml * (float(row[key]) - 1.0) for key in ("grows", "low", "high"))
        yield Foam(top.name, *more)


def tell_flat(
    poured: Sequence[Poured], places: Sequence[Place], recipe: Drink, log: MistakeLog
) -> None:
    """Warn of what would foam and is not shaken."""
    if recipe.method in _rows("heads"):
        return
    foaming = {name for row in _rows("foams").values() if row["told"] for name in row["of"]}
    for (bottle, measure), place in zip(poured, places, strict=True):
        if bottle.name in foaming and measure.ml:
            log.add(
                "no-foam",
                f"{bottle.name} foams only when it is shaken, and this is {recipe.method}",
                place,
                "write “method: dry-shaken then shaken”, or leave it out",
                "warning",
            )


def _garnish(recipe: Drink) -> Iterator[ServedGarnish]:
    for words in recipe.garnish:
        yield _garnish_of(words)
    if recipe.rim is not None:
        yield ServedGarnish(recipe.rim, "dust", "on the rim")


def _garnish_of(words: str) -> ServedGarnish:
    """What a garnish is: the first sort of which a whole word stands in it."""
    said = words.casefold()
    on_rim = any(_says(said, word) for word in _rows("rims")["rim"]["words"])
    sorts: tuple[GarnishSort, ...] = get_args(GarnishSort)
    for sort in sorts[:-1]:
        row = _rows("garnish")[sort]
        if any(_says(said, word) for word in row["words"]):
            return ServedGarnish(words, sort, "on the rim" if on_rim else row["place"])
    return ServedGarnish(words, "other", "on the rim" if on_rim else "in")


def _says(said: str, word: str) -> bool:
    return re.search(rf"\b{re.escape(word)}\b", said) is not None


def check_fit(
    in_glass: Glassful, last_ml: float, recipe: Drink, place: Place, log: MistakeLog
) -> None:
    """Warn when drink, ice and foam together would run over the brim; `last_ml` is all poured."""
    if not in_glass.runs_over(last_ml):
        return
    foam_ml = sum(one.ml for one in in_glass.foam)
    over = f"over {_ice_words(recipe)} needs" if not foam_ml else (
        f"over {_ice_words(recipe)}, under {foam_ml:.0f} ml of foam, needs"
    )  # fmt: skip
    log.add(
        "overflow",
        f"{last_ml:.0f} ml {over} about {in_glass.needs_ml(last_ml):.0f} ml, and a "
        f"{recipe.glass} holds {in_glass.brim_ml:.0f} ml; it is pictured brimful in a plain glass",
        place,
        "pour less, choose a larger glass, or use less ice",
        "warning",
    )


def _ice_words(recipe: Drink) -> str:
    ice = recipe.ice
    if not ice.sized:
        return f"{ice.kind} ice"
    kind = "cube" if ice.kind == "cubed" else ice.kind
    many = f"{ice.pieces} {kind}s" if ice.pieces > 1 else f"a {kind}"
    return f"{many} of {ice.mm:g} mm"


def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.served", "served.yaml")[section]
    return rows
