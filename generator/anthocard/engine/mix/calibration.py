"""What the house measured goes before what the tables say: pH, strength, pK and yield.

Belongs here: turning dated readings into a bottle's liquid and saying what changed. Does not belong
here: the type of a reading (recipe.calibration), the percentages around figures (uncertainty.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any, Final

import numpy as np

from anthocard.diagnostics.diagnostic import MistakeLog, Place
from anthocard.diagnostics.plain_scalars import latest
from anthocard.diagnostics.tables import read_table
from anthocard.engine.findings import Fit, FitKind
from anthocard.engine.mix import acidity, composition
from anthocard.engine.mix.bottle import Bottle, from_stock
from anthocard.engine.mix.fitting import ROOM_C, SAME_PH, distances, fit, stronger
from anthocard.facts.chemistry.equilibrium import infer_strong_ions
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.stock import StockItem
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Infusion
from anthocard.house.readings import SORTS, Calibration, Sort

#: Which withheld figure a reading of the house tells after all.
_TELLS: Final = {"ph": "acidity", "strength": "colour"}


def written_of(collection: Collection, name: str) -> list[Calibration]:
    """Every reading the house wrote of one thing, in file order."""
    thing = collection.find(name)
    called = fold(name if thing is None else thing.name)
    found = []
    for row in collection.house.calibrations:
        of = collection.find(row.of)
        if fold(row.of if of is None else of.name) == called:
            found.append(row)
    return found


def readings_of(collection: Collection, name: str) -> list[Calibration]:
    """The readings of one thing that count, in file order: later ones replace earlier ones.

    What was read of the lot in use goes before what was read of any other, sort by sort.
    """
    rows = written_of(collection, name)
    thing = collection.find(name)
    lot = None if thing is None else collection.lot_in_use(thing.name)
    own = [] if lot is None else [*lot.current_readings]
    counted = [row for sort in SORTS for row in counting(own, sort) or counting(rows, sort)]
    return [row for row in (*rows, *own) if any(row is one for one in counted)]


def counting(rows: Sequence[Calibration], sort: Sort) -> list[Calibration]:
    """The readings of one sort that count, of all those of one thing in file order.

    A later day replaces an earlier one, and on one day a later line: of pH one for each state of a
    drink, of colour one for each pH it was read at, so that a series of one day stays whole.
    """
    rows = [row for row in rows if sort in row.sorts]
    if not rows:
        return []
    if sort != "colour":
        when = {row.when: row for row in sorted(rows, key=lambda row: row.measured)}
        return list(when.values())
    day = max(row.measured for row in rows)
    counted: list[Calibration] = []
    for row in reversed([row for row in rows if row.measured == day]):
        if not any(row.when == later.when and _same_ph(row, later) for later in counted):
            counted.append(row)
    return counted[::-1]


def _same_ph(one: Calibration, other: Calibration) -> bool:
    if one.ph is None or other.ph is None:
        return one.ph is other.ph
    return abs(one.ph - other.ph) <= SAME_PH


def bought(item: StockItem, rows: Sequence[Calibration]) -> Bottle:
    """The bottle of a stock line, at the pH the house read of it last.

    Raises ValueError where density and composition disagree.
    """
    sour = counting(rows, "ph")
    if not sour:
        return from_stock(item)
    row = sour[-1]
    assert row.ph is not None
    source = f"{item.source or 'house stock list'}; pH measured in the house, {row.measured}"
    bottle = from_stock(
        item.model_copy(update={"ph": row.ph, "strong_ions": None, "source": source})
    )
    table = row.ph if item.ph is None else item.ph
    return replace(
        bottle,
        measured=frozenset({"ph"}),
        fits=(Fit("ph-of", "pH", table, row.ph, row.ph, row.measured, item.name),),
    )


def strained(recipe: Infusion, collection: Collection) -> float | None:
    """The share that comes through the strainer, %: as measured last, or as the recipe says."""
    rows = counting(readings_of(collection, recipe.name), "strained")
    return rows[-1].strained if rows else recipe.strained


def as_measured(
    bottle: Bottle,
    rows: Sequence[Calibration],
    log: MistakeLog,
    place: Place,
    usual: Sequence[Calibration] = (),
) -> Bottle:
    """A bottle the house makes, with its readings heeded; what cannot be true is a mistake.

    `usual` are the readings that stand for every lot of it: they tell how its pigment turns where
    those of one lot, at a single pH, do not.
    """
    for sort in ("strength", "brix"):
        for row in counting(rows, sort)[-1:]:
            bottle = _held(bottle, row, sort, log, place)
    colour = counting(rows, "colour")
    if colour:
        bottle = _coloured(bottle, colour, counting(usual, "colour"), log, place)
    sour = counting(rows, "ph")
    if sour:
        bottle = _soured(bottle, sour[-1], log, place)
    known = {_TELLS[what] for what in bottle.measured if what in _TELLS}
    withheld = tuple(one for one in bottle.withheld if one.what not in known)
    return replace(bottle, withheld=withheld)


def check_ages(collection: Collection, today: date, log: MistakeLog) -> None:
    """Warn of every reading and measure of the house that is past its time or not yet come."""
    house = collection.house
    rows: list[tuple[str, str, date, tuple[str | int, ...]]] = []
    for n, row in enumerate(house.calibrations):
        rows.append((row.sorts[0], row.of, row.measured, ("calibrations", n)))
    for name, own in house.measures.items():
        rows.append(("measure", f"the {name}", own.measured, ("measures", name)))
    for method, own_method in house.methods.items():
        if own_method.measured is not None:
            rows.append(("method", f"“{method}”", own_method.measured, ("methods", method)))
    if house.water.measured is not None:
        rows.append(("water", "the water", house.water.measured, ("water",)))
    old = []
    for sort, what, day, loc in rows:
        age, most = (today - day).days, int(_table("ages")[sort]["days"])
        if age < 0:
            log.add(
                "future-calibration",
                f"{what} was measured on {day}, which has not come yet",
                collection.at(house, (*loc, "measured")),
                f"did you mean “{latest(day, today)}”? Else check the year",
                "warning",
            )
        elif age > most:
            old.append((loc, f"{what} ({age} days ago, stands for {most})"))
    if old:
        log.add(
            "old-calibration",
            f"measured too long ago: {', '.join(dict.fromkeys(words for _, words in old))}",
            collection.at(house, old[0][0]),
            "measure again (anthocard calibrate says how)",
            "warning",
        )


def _coloured(
    bottle: Bottle, rows: list[Calibration], usual: list[Calibration], log: MistakeLog, place: Place
) -> Bottle:
    """The bottle with its pigment as its colour readings say, and how far each was from them."""
    if not bottle.per_g.amounts[PLANT_COLUMNS].any() or bottle.density_g_per_ml is None:
        log.add(
            "bad-calibration", f"{bottle.name} holds no colour that could be fitted", place,
            "take the reading away, or write the infusion's plant", "warning",
        )  # fmt: skip
        return bottle
    known = fit(bottle.per_ml, usual) if usual else None
    found = fit(bottle.per_ml, rows, known.pk_shift if known is not None else 0.0)
    low, high = (_table("physical")["strength"][end] for end in ("low", "high"))
    if not low < found.strength < high or abs(found.pk_shift) > _table("physical")["pk"]["most"]:
        log.add(
            "bad-calibration",
            f"these readings would make {bottle.name} {found.strength:.2g} times as strong as its "
            f"recipe, with pK moved by {found.pk_shift:+.1f}: that is another liquid",
            place,
            "check the path, the dilution and the name",
        )
        return bottle
    knows_pk = found.knows_pk or (known is not None and known.knows_pk)
    guess = distances(bottle.per_ml, rows, np.zeros(3))
    left = distances(bottle.per_ml, rows, found.theta)
    last = max(row.measured for row in rows)
    fits = [Fit("infused", "times", 1.0, found.strength, found.strength, last)]
    if knows_pk:
        fits.append(Fit("pk", "shift", 0.0, found.pk_shift, found.pk_shift, last))
    fits += [
        Fit(
            "absorbances" if row.absorbances else "colour",
            unit, before, after, 0.0, row.measured, at_ph=row.ph,
        )
        for row, (unit, before), (_, after) in zip(rows, guess, left, strict=True)
    ]  # fmt: skip
    batch = bottle.batch
    return replace(
        bottle,
        per_g=stronger(bottle.per_g, found.strength, found.yellow),
        batch=None if batch is None else stronger(batch, found.strength, found.yellow),
        pk_shift=found.pk_shift,
        strength_sd=found.strength_sd if any(row.within for row in rows) else 0.0,
        measured=bottle.measured | {"strength"} | ({"pk"} if knows_pk else set()),
        fits=(*bottle.fits, *fits),
        defaults=frozenset(one for one in bottle.defaults if one.of != bottle.name),
    )


def _soured(bottle: Bottle, row: Calibration, log: MistakeLog, place: Place) -> Bottle:
    """The bottle with the strong ions that make a meter read what it read."""
    assert row.ph is not None
    table = float(acidity.read(bottle.per_g, ROOM_C).ph)
    turned = infer_strong_ions(bottle.per_g, row.ph, ROOM_C)
    moved = float(turned["strong_cation_mmol"] - turned["strong_anion_mmol"]) - float(
        bottle.per_g["strong_cation_mmol"] - bottle.per_g["strong_anion_mmol"]
    )
    if abs(moved) * 1000.0 > _table("physical")["ions"]["meq_per_l"]:
        log.add(
            "bad-calibration",
            f"pH {row.ph:g} cannot be {bottle.name}, which is worked out at pH {table:.2f}: it "
            f"would need {abs(moved) * 1000:.0f} meq/kg more of strong ions",
            place,
            "calibrate the meter, and check what was in the glass",
        )
        return bottle
    scale = 1.0 if bottle.batch is None else float(bottle.batch.mass_g)
    return replace(
        bottle,
        per_g=turned,
        batch=None if bottle.batch is None else turned * scale,
        measured=bottle.measured | {"ph"},
        fits=(*bottle.fits, Fit("ph", "pH", table, row.ph, row.ph, row.measured)),
    )


def _held(bottle: Bottle, row: Calibration, sort: Sort, log: MistakeLog, place: Place) -> Bottle:
    """The bottle with the alcohol, or the sugar, that was read in it, in place of as much water."""
    table = composition.abv_or_brix(bottle.per_g, sort)
    read = row.strength if sort == "strength" else row.brix
    assert read is not None
    held = composition.with_reading(bottle.per_g, sort, read)
    if held is None:
        log.add(
            "bad-calibration",
            f"{composition.WORDS[sort].format(read)} cannot be {bottle.name}, which is worked out "
            f"at {composition.WORDS[sort].format(table)}",
            place,
            "check the reading: a refractometer says nothing of a liquid with alcohol in it, and a "
            "hydrometer nothing of one with sugar",
            "warning",
        )
        return bottle
    scale = 1.0 if bottle.batch is None else float(bottle.batch.mass_g)
    kind: FitKind = "strength" if sort == "strength" else "brix"
    return replace(
        bottle,
        per_g=held,
        density_g_per_ml=float(held.mass_g / volume_ml(held)),
        batch=None if bottle.batch is None else held * scale,
        fits=(*bottle.fits, Fit(kind, "", table, read, read, row.measured)),
    )


@cache
def _table(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.engine.mix", "calibration.yaml")[section]
    return rows
