"""The batch sheet: what to weigh into one batch, what it should show, how it is bottled and kept.

Belongs here: wording a batch and a strength brought down. Does not belong here: the sums
(batching.py, dilution.py), logs of many batches (records.py), a whole service (prep_sheet.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from anthocard.engine.results import Computed, Measure
from anthocard.engine.trade.batching import Batch, keg_row
from anthocard.engine.trade.dilution import Proofed
from anthocard.engine.trade.held_back import BatchLine
from anthocard.engine.trade.records import lot
from anthocard.house.settings import House
from anthocard.press.base.number_text import (
    EN,
    millilitres,
    percent_vol,
    tidy,
    told_ph,
    volume,
    weight,
)
from anthocard.press.words.allergens import line
from anthocard.press.words.amounts import batch_columns
from anthocard.press.words.cautions import on_batch, on_bottles
from anthocard.press.words.spec import Figure, kept_because, kept_for

WATER = "still water"
MELT = (
    "The water stands in for the melt of the ice: pour cold from the bottle, and do not stir or "
    "shake it on ice again."
)
SHAKE = "Shake each serve on ice as it is always shaken: the batch holds no water in place of melt."
#: Why a pour waits for service.
WHY = {
    "fizz": "it goes flat", "foam": "foam is made glass by glass", "dairy": "it curdles",
    "citrus": "pressed on the day, and only for it", "drops": "set on each glass",
    "glass": "it belongs to each glass",
}  # fmt: skip
LEAST_WATER_G = 0.5  # chosen: less is not worth a line


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that goes in: how it is measured, large, and the same the other way, small."""

    name: str
    large: str
    small: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sheet in words; `made`, `lot` and `discard` are empty where they are to be written in.

    `strong` stands where a strength is brought down: the lines are then that, and its water.
    """

    title: str
    house: str
    language: str
    edition: str
    wanted: str
    made: str
    lot: str
    discard: str
    lines: tuple[Line, ...]
    makes: str
    notes: tuple[str, ...]
    points: tuple[Figure, ...]
    bottling: tuple[str, ...]
    service: tuple[str, ...]
    keeping: tuple[str, ...]
    cautions: tuple[str, ...]
    brought_down: tuple[Line, ...] = ()
    brought_to: str = ""
    defer: str = "Local codes and licensed practice come first."


def make_sheet(
    figures: Computed,
    batch: Batch,
    house: House,
    made: date | None = None,
    letter: str = "A",
    down: Proofed | None = None,
) -> Sheet:
    """Word one batch; `down` is what it is brought down to once it is made.

    Raises ValueError for a letter that no lot has.
    """
    lines = [_line(line) for line in batch.lines]
    notes = []
    if batch.water_g > LEAST_WATER_G:
        lines.append(_water(batch.water_ml, batch.water_g))
        if batch.serves is not None:
            notes.append(MELT)
        else:
            notes.append(
                to_the_mark(millilitres(batch.total_ml if down is None else down.strong_ml))
            )
    last = None if made is None else batch.last_day(made)
    return Sheet(
        title=batch.name,
        house=house.name,
        language=house.language,
        edition=figures.edition,
        wanted=f"{tidy(batch.serves, 2)} serves" if batch.serves else millilitres(batch.total_ml),
        made="" if made is None else _day(made),
        lot="" if made is None else lot(made, letter),
        discard="" if last is None else _day(last),
        lines=tuple(lines),
        makes=_made(batch, down),
        notes=tuple(notes),
        points=tuple(_points(batch)),
        bottling=(*_bottling(batch, house, figures), *_written(figures, batch)),
        service=tuple(service_lines(figures, batch)),
        keeping=(kept_for(batch.keeping, EN), *kept_because(batch.keeping)),
        cautions=on_batch(batch.cautions),
        brought_down=() if down is None else _brought_down(down),
        brought_to="" if down is None else _brought_to(down),
    )


def proof_sheet(down: Proofed, house: House, made: date | None = None, letter: str = "A") -> Sheet:
    """The sheet of something that is there already and is only brought down."""
    return Sheet(
        title=f"{down.name}, to {percent_vol(down.abv_percent)}",
        house=house.name,
        language=house.language,
        edition="",
        wanted=millilitres(down.total_ml),
        made="" if made is None else _day(made),
        lot="" if made is None else lot(made, letter),
        discard="",
        lines=_brought_down(down),
        makes=_makes(down.total_ml, down.total_g, down.density_g_per_ml),
        notes=(_less(down),),
        points=(
            Figure("strength before", percent_vol(down.strong_abv)),
            Figure("strength", percent_vol(down.abv_percent)),
            Figure("density at 20 °C", f"{down.density_g_per_ml:.3f} g/ml"),
        ),
        bottling=(),
        service=(),
        keeping=(),
        cautions=(),
    )


def _line(line: BatchLine) -> Line:
    """By weight where the batch asks for it, else by volume, the other beside it."""
    measured, weighed = batch_columns(line, EN)
    by_mass = line.by_mass or not measured
    large, small = (weighed, measured) if by_mass else (measured, weighed)
    return Line(line.name, large, small)


def _water(ml: float, grams: float) -> Line:
    return Line(WATER, weight(grams), millilitres(ml))


def _made(batch: Batch, down: Proofed | None) -> str:
    """What the making gives, before it is brought down."""
    if down is None:
        return _makes(batch.total_ml, batch.total_g, batch.density_g_per_ml)
    return _makes(down.strong_ml, down.strong_g, down.strong_g_per_ml)


def _makes(ml: float, grams: float, density: float) -> str:
    return makes_words(millilitres(ml), weight(grams), density)


def makes_words(volume: str, mass: str, density: float) -> str:
    """What comes out of it, by volume and by mass."""
    return f"{volume} · {mass} · {density:.3f} g/ml at 20 °C"


def to_the_mark(mark: str) -> str:
    """How the water of a solution is added."""
    return f"Water to the mark of {mark}: weigh it, then look at the mark."


def bottles_words(count: str, ml: float) -> str:
    """How many bottles, each with its label."""
    s = "" if count == "1" else "s"
    return f"{count} bottle{s} of {tidy(ml, 0)} ml, clean and unbranded; {count} label{s}."


def _points(batch: Batch) -> Iterator[Figure]:
    yield Figure("pH", told_ph(batch.ph))
    if batch.abv_percent >= 0.5:
        yield Figure("strength", percent_vol(batch.abv_percent))
    yield Figure("density at 20 °C", f"{batch.density_g_per_ml:.3f} g/ml")
    yield Figure("colour, sample bottle", batch.colour)
    yield Figure("yield", millilitres(batch.total_ml))


def _kegs(batch: Batch, keg: Mapping[str, Any], figures: Computed) -> Iterator[str]:
    """Kegs, their head space and gas, how cold they stand, and how their lines are kept."""
    s = "" if batch.bottles == 1 else "s"
    size, air = millilitres(batch.bottle_ml), tidy(100.0 * float(keg["air_share"]), 0)
    yield f"{batch.bottles} keg{s} of {size}, {air} % head space; {batch.bottles} label{s}."
    making = figures.making
    if making is not None and making.pressure_bar is not None:
        yield f"CO2 at {making.pressure_bar:.1f} bar over the air, at the step's own temperature."
    else:
        yield "Push it with nitrogen: no acid, no fizz; just enough to pour."
    yield (
        f"Chill to {keg['chill_c']:g} °C before any gas goes on. Clean keg, lid and line before it "
        f"is filled, and the line at least every {keg['clean_days']} days. Vent before opening."
    )


def _bottling(batch: Batch, house: House, figures: Computed) -> Iterator[str]:
    keg = keg_row()
    if batch.bottle_ml >= float(keg["from_ml"]):
        yield from _kegs(batch, keg, figures)
        return
    yield bottles_words(str(batch.bottles), batch.bottle_ml)
    freezer = f"{tidy(house.freezer_temperature, 0)} °C"
    ice = f"{tidy(batch.freezing_c, 0)} °C"
    if batch.freezer_safe:
        yield f"Freezer at {freezer}: stays liquid, ice begins to form at {ice}."
    else:
        yield f"Freezer at {freezer}: NO. Ice begins to form at {ice}, and glass bursts. Fridge."


def _written(figures: Computed, batch: Batch) -> Iterator[str]:
    """What goes on the bottles of a drink, of which no label is printed."""
    if batch.serves:
        words = " ".join((line(figures.allergens), *on_bottles(batch.cautions)))
        yield f"Write on each bottle: name, lot, discard-by. {words}"


def service_lines(figures: Computed, batch: Batch, held_back: str | None = None) -> Iterator[str]:
    """What one serve is made of once the batch is cold.

    `held_back` stands for how much of a thing is held back in all, where a page works that out.
    """
    if not batch.serves:
        return
    yield f"{millilitres(batch.total_ml / batch.serves)} of the batch a serve."
    for held in batch.held_back:
        one, everything = _told_line(held.one), held_back or _told_line(held.all)
        where = (
            "Into each tin"
            if batch.still_shaken and held.why not in ("fizz", "glass")
            else "Into each glass, last"
        )
        yield f"{where}: {one} {held.name}; hold back {everything} in all ({WHY[held.why]})."
    if batch.still_shaken:
        yield SHAKE
    if len(figures.stages) == 1 and figures.stages[0].how == "poured":
        yield f"The guest pours {_told(figures.revealed[0])} {figures.revealed[0].name}."
        return
    for number, stage in enumerate(figures.stages, start=1):
        then = "stir it and it is" if stage.how == "layered" else "then it is"
        looks = f"{then} {stage.state.colour.name}, pH {told_ph(stage.state.ph_told, 1)}"
        yield f"{number}. {stage.how}: {_told(stage.measure)} {stage.measure.name}; {looks}."


def _told_line(line: BatchLine) -> str:
    return next(part for part in batch_columns(line, EN) if part)


def _told(one: Measure) -> str:
    return one.text if one.ml is None else volume(one.ml, one.role)


def _brought_down(down: Proofed) -> tuple[Line, ...]:
    strong = Line(
        f"{down.name}, {percent_vol(down.strong_abv)}",
        weight(down.strong_g), millilitres(down.strong_ml),
    )  # fmt: skip
    return strong, _water(down.water_ml, down.water_g)


def _brought_to(down: Proofed) -> str:
    makes = _makes(down.total_ml, down.total_g, down.density_g_per_ml)
    return f"{percent_vol(down.abv_percent)}: {makes}. {_less(down)}"


def _less(down: Proofed) -> str:
    return (
        f"Weighed, because mixing shrinks: the sum of volumes would say only "
        f"{millilitres(down.mixed_as_volumes_ml)} of water, and leave it stronger."
    )


def _day(when: date) -> str:
    return f"{when.day} {when:%b %Y}"
