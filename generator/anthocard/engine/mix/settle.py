"""Settling a drink's wishes: each becomes an amount before anything else is worked out.

Belongs here: which line a wish is dialled along, in which order, and telling an author what cannot
be had. Does not belong here: the search (search.py).

A wish of a pour speaks of the drink before the reveal and one of the reveal of the drink after it:
so the buffer is settled first and the acid on top of it, and two wishes are granted at once.
"""

from __future__ import annotations

from dataclasses import replace

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.engine.findings import Dialled
from anthocard.engine.mix.assemble import Poured, line_of, on_ice, pk_shift_of, room_ml, with_reveal
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.line import Line
from anthocard.engine.mix.pour import pour
from anthocard.engine.mix.reach import Unreachable
from anthocard.engine.mix.search import dial, most_of_a_pour_ml
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.together import Work
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.units.measures import Amount
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.serving.pours import UNDIALLED
from anthocard.house.wish import Wish

ROUNDS = 4  # more of a pour melts a little more ice: each round brings a digit or two
_STANDS_IN = Amount(1.0, "ml", "1 ml")  # poured while looking, where no dose grants a wish


def settle(
    recipe: Drink, collection: Collection, shelf: Shelf, log: MistakeLog
) -> Work[tuple[Drink, tuple[Dialled, ...]]]:
    """The drink with an amount for every wish, and how each was granted.

    What cannot be granted is a mistake in `log`, and stands at 1 ml so that the rest is read.
    """
    dialled: list[Dialled] = []
    wished = [n for n, part in enumerate(recipe.pours) if part.until is not None]
    for n in wished[1:]:
        log.add(
            "two-wishes",
            "only one pour can be worked out from the drink before its reveal",
            collection.at(recipe, ("pours", n)),
            "write an amount for one of them",
        )
    for n in wished:
        recipe = yield from _settled_pour(recipe, n, collection, shelf, log, dialled)
    for n, reveal in enumerate(recipe.revealing):
        if reveal.until is not None:
            recipe = yield from _settled_reveal(
                recipe, n, reveal.until, collection, shelf, log, dialled
            )
    for one in dialled:
        if one.gave_way is not None:
            log.add(
                "trade-off",
                one.gave_way.words,
                collection.at(recipe, ()),
                "widen a bound, or accept it",
                "warning",
            )
    return recipe, tuple(dialled)


def pours_of(recipe: Drink, collection: Collection, shelf: Shelf, log: MistakeLog) -> list[Poured]:
    """Every pour of a drink with its bottle; a wish not yet granted is nothing yet."""
    house = collection.house
    found = []
    for n, part in enumerate(recipe.pours):
        bottle, place = shelf[part.name], collection.at(recipe, ("pours", n))
        measure = pour(bottle, part.amount, house, log, place)
        found.append((bottle, measure if part.lies == "in" else replace(measure, lies=part.lies)))
    return found


def reveals_of(
    recipe: Drink, collection: Collection, shelf: Shelf, log: MistakeLog
) -> list[Poured]:
    """Every reveal of a drink with its bottle, in order; a wish not yet granted is nothing yet."""
    found = []
    for n, reveal in enumerate(recipe.revealing):
        bottle, place = shelf[reveal.pour], collection.at(recipe, (*recipe.at_reveal(n), "pour"))
        amount = reveal.amount or UNDIALLED
        dissolved = collection.dissolves(bottle.name)
        found.append((bottle, pour(bottle, amount, collection.house, log, place, dissolved)))
    return found


def reveal_line(
    recipe: Drink, collection: Collection, shelf: Shelf, log: MistakeLog, number: int = -1
) -> Line:
    """The line along which a reveal (the last one) is poured into a settled drink.

    All reveals before it are stirred in. Raises ValueError for dry goods.
    """
    poured = pours_of(recipe, collection, shelf, log)
    chilled, _ = on_ice(poured, recipe, collection.house)
    reveals = recipe.revealing
    last = number % len(reveals)
    liquid, at_c = chilled.liquid, chilled.temperature_c
    for reveal, (bottle, measure) in zip(
        reveals[:last], reveals_of(recipe, collection, shelf, log)[:last], strict=True
    ):
        liquid, at_c = with_reveal(liquid, at_c, bottle, measure, reveal.how, collection.house)
    bottle = shelf[reveals[last].pour]
    return line_of(liquid, at_c, bottle, recipe, collection.house, pk_shift_of(poured))


def pour_line(recipe: Drink, n: int, collection: Collection, shelf: Shelf, log: MistakeLog) -> Line:
    """The line of the n-th pour: all else on as much ice as the drink takes as it is written."""
    poured = pours_of(recipe, collection, shelf, log)
    chilled, _ = on_ice(poured, recipe, collection.house)
    bottle, measure = poured[n]
    without = Liquid(chilled.liquid.amounts - (bottle.per_g * (measure.g or 0.0)).amounts)
    line = line_of(
        without, chilled.temperature_c, bottle, recipe, collection.house, pk_shift_of(poured),
        chilled.temperature_c,
    )  # fmt: skip
    return line


def _settled_pour(
    recipe: Drink,
    n: int,
    collection: Collection,
    shelf: Shelf,
    log: MistakeLog,
    dialled: list[Dialled],
) -> Work[Drink]:
    part, place = recipe.pours[n], collection.at(recipe, ("pours", n))
    bottle, wish = shelf[part.name], part.until
    assert wish is not None
    found: Dialled | None = None
    dry = bottle.density_g_per_ml is None
    if dry:
        recipe = _with_pour(recipe, n, Amount(0.0, "g", part.amount.text))
    for _ in range(ROUNDS):
        if dry and not float(bottle.per_g.mass_g):  # a leaf: nothing of it dissolves
            _pourable(bottle, place, log)
            break
        line = pour_line(recipe, n, collection, shelf, log)
        most_ml = min(
            room_ml(line.before, recipe, collection.house),
            most_of_a_pour_ml(float(volume_ml(line.before))),
        )
        found = yield from _dialled(line, wish, bottle.name, most_ml, place, log)
        settled = _amount(found)
        if found is None or settled == recipe.pours[n].amount:
            break
        recipe = _with_pour(recipe, n, settled)
    if found is None:
        stands_in = Amount(1.0, "g", "1 g") if dry else _STANDS_IN
        return _with_pour(recipe, n, stands_in)
    dialled.append(found)
    return recipe


def _settled_reveal(
    recipe: Drink,
    n: int,
    wish: Wish,
    collection: Collection,
    shelf: Shelf,
    log: MistakeLog,
    dialled: list[Dialled],
) -> Work[Drink]:
    reveal = recipe.revealing[n]
    bottle, place = shelf[reveal.pour], collection.at(recipe, (*recipe.at_reveal(n), "until"))
    found: Dialled | None = None
    if _pourable(bottle, place, log):
        line = reveal_line(recipe, collection, shelf, log, n)
        most_ml = room_ml(line.before, recipe, collection.house)
        found = yield from _dialled(line, wish, bottle.name, most_ml, place, log)
    if found is not None:
        dialled.append(found)
    return recipe.with_reveal(n, reveal.model_copy(update={"amount": _amount(found)}))


def _dialled(
    line: Line, wish: Wish, name: str, most_ml: float, place: Place, log: MistakeLog
) -> Work[Dialled | None]:
    try:
        return (yield from dial(line, wish, name, most_ml))
    except Unreachable as no:
        log.add("unreachable", no.message, place, no.mend)
        return None


def _pourable(bottle: Bottle, place: Place, log: MistakeLog) -> bool:
    if bottle.density_g_per_ml is None:
        log.add(
            "dry-wish",
            f"{bottle.name} is weighed, and only what is poured can be worked out",
            place,
            "dissolve it: write a solution of it, and wish for that",
        )
    return bottle.density_g_per_ml is not None


def _amount(found: Dialled | None) -> Amount:
    return (
        _STANDS_IN if found is None else Amount(found.ml, found.unit, f"{found.ml:g} {found.unit}")
    )


def _with_pour(recipe: Drink, n: int, amount: Amount) -> Drink:
    part = recipe.pours[n].model_copy(update={"amount": amount})
    return recipe.model_copy(update={"pours": (*recipe.pours[:n], part, *recipe.pours[n + 1 :])})
