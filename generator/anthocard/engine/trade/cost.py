"""What things cost: packs and yields become the cost of a serve, and that becomes a price.

Belongs here: money, for staff papers only. Does not belong here: amounts (pour.py) or what to buy
(demand.py). The sums are common practice, no source; the arithmetic is exact.

Stock prices are without tax, menu prices with the house's `vat_percent` inside.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed, Cost, CostLine, Measure
from anthocard.engine.safety.ingredients import named_in
from anthocard.facts.stock import StockItem
from anthocard.facts.units.measures import pieces, to_g, to_ml
from anthocard.facts.units.units import units
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink, Infusion

LITRE_ML = 1000.0


def cost_of(figures: Computed, collection: Collection, shelf: Shelf) -> Cost | None:
    """One serve of a drink with its garnish and waste, or a litre of anything else.

    None when nothing in it has a price. See Cost for what a missing price does.
    """
    return _summed(figures, tuple(_lines(figures, collection, shelf)), collection)


def _lines(figures: Computed, collection: Collection, shelf: Shelf) -> Iterator[CostLine]:
    recipe = figures.recipe
    if isinstance(recipe, Drink):
        for part, measure in zip(recipe.pours, figures.measures, strict=True):
            yield measure_cost(shelf[part.name], measure, collection)
        for reveal, measure in zip(recipe.revealing, figures.revealed, strict=True):
            yield measure_cost(shelf[reveal.pour], measure, collection)
        for line in (*recipe.garnish, *((recipe.rim,) if recipe.rim else ())):
            yield _line(line, _garnish_cost(line, collection))
    else:
        litres = figures.before.volume_ml / LITRE_ML
        for one in _batch_lines(shelf[recipe.name], collection):
            cost = None if one.cost is None or not litres else one.cost / litres
            yield replace(one, cost=cost)


def measure_cost(bottle: Bottle, measure: Measure, collection: Collection) -> CostLine:
    """What one measure of a bottle costs, and what of it has no price, pack or size.

    A house-made bottle costs what went into its batch over what came out of it, so strain loss is
    paid for; what of it is not priced is named and left out. Water without a price costs nothing.
    """
    if bottle.item is not None:
        cost = _stock_cost(bottle.item, measure, bottle.density_g_per_ml)
        return _line(measure.name, cost)
    if bottle.batch is None or measure.g is None or float(bottle.batch.mass_g) <= 0.0:
        return _line(measure.name, None)
    lines = _batch_lines(bottle, collection)
    unpriced = tuple(f"{name} in {bottle.name}" for line in lines for name in line.unpriced)
    known = sum(line.cost for line in lines if line.cost is not None)
    if unpriced and not known:  # the water alone is no price
        return _line(measure.name, None)
    return CostLine(measure.name, known * measure.g / float(bottle.batch.mass_g), unpriced)


def _line(name: str, cost: float | None) -> CostLine:
    return CostLine(name, cost, () if cost is not None else (name,))


def net_of_tax(price: float, vat_percent: float) -> float:
    """The price without the tax inside it."""
    return price / (1.0 + vat_percent / 100.0)


def pour_cost_percent(cost: float, net_price: float) -> float:
    """Cost over the price without tax, in percent. Raises ValueError for a price of nothing."""
    if net_price <= 0.0:
        raise ValueError("there is no pour cost of a price of nothing")
    return 100.0 * cost / net_price


def price_for(cost: float, target_percent: float, vat_percent: float) -> float:
    """The price with tax at which a serve meets a target pour cost. ValueError at 0 % or less."""
    if target_percent <= 0.0:
        raise ValueError("a target pour cost lies above 0 %")
    return cost / (target_percent / 100.0) * (1.0 + vat_percent / 100.0)


def _summed(figures: Computed, lines: tuple[CostLine, ...], collection: Collection) -> Cost | None:
    if all(line.cost is None for line in lines):
        return None
    house, recipe = collection.house, figures.recipe
    price = recipe.price if isinstance(recipe, Drink) else None
    bare = sum(line.cost for line in lines if line.cost is not None)
    waste = bare * house.waste_percent / 100.0
    total = bare + waste
    net = None if price is None else net_of_tax(price, house.vat_percent)
    target = house.pour_cost_target if figures.is_drink else None  # nobody sells a litre of gin
    return Cost(
        currency=house.currency,
        of="serve" if figures.is_drink else "litre",
        lines=lines,
        waste=waste,
        total=total,
        unpriced=tuple(dict.fromkeys(name for line in lines for name in line.unpriced)),
        price=price,
        net_price=net,
        pour_cost_percent=pour_cost_percent(total, net) if net else None,
        margin=net - total if net else None,
        target_price=price_for(total, target, house.vat_percent) if target else None,
        priced=house.priced,
    )


def _batch_lines(bottle: Bottle, collection: Collection) -> list[CostLine]:
    """What went into the batch of a house-made bottle, line by line, for the whole batch."""
    lines = [measure_cost(part, measure, collection) for part, measure in bottle.parts]
    if isinstance(bottle.recipe, Infusion) and collection.find(bottle.recipe.plant) is None:
        lines.append(_line(bottle.recipe.plant, None))
    return lines


def _stock_cost(item: StockItem, measure: Measure, density: float | None) -> float | None:
    if item.price is None:
        return 0.0 if item.kind == "water" else None
    if item.pack is None:
        return None
    share = pack_share(item, measure, density)
    return None if share is None else item.price * share


def pack_share(item: StockItem, measure: Measure, density: float | None) -> float | None:
    """How many packs of a stock line one measure of it takes, None where sizes do not meet."""
    if item.pack is None:
        return None
    ml, g = measure.ml, measure.g
    if ml is None and g is not None and density is not None:
        ml = g / density
    if g is None and ml is not None and density is not None:
        g = ml * density
    count = pieces_of(item, measure)
    held_ml, held_g, held = to_ml(item.pack), to_g(item.pack), pieces(item.pack)
    for size, amount in ((held_ml, ml), (held_g, g), (held, count)):
        if size is not None:
            return None if amount is None else amount / size
    return None


def pieces_of(item: StockItem, measure: Measure) -> float | None:
    """How many pieces a measure is: as counted, or by the size of one piece."""
    if units()[measure.unit].dimension == "count":
        return measure.count
    if measure.ml is not None and item.unit_ml:
        return measure.ml / item.unit_ml
    return measure.g / item.unit_g if measure.g is not None and item.unit_g else None


def _garnish_cost(line: str, collection: Collection) -> float | None:
    """The house's own figure for a garnish as written, else one piece of the stock it names."""
    own = {fold(name): cost for name, cost in collection.house.garnish_costs.items()}
    if fold(line) in own:
        return own[fold(line)]
    thing = named_in(line, collection)
    if not isinstance(thing, StockItem):
        return None
    return _stock_cost(thing, Measure(thing.name, None, None, 1.0, "piece", line), None)
