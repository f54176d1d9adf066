"""The batch sheet: what to weigh into one batch, what it should show, how it is bottled and kept.

Belongs here: wording a batch and a strength brought down. Does not belong here: the sums
(batching.py, dilution.py), logs of many batches (records.py), a whole service (prep_sheet.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from anthocard.engine.results import Computed
from anthocard.engine.trade.batching import Batch
from anthocard.engine.trade.dilution import Proofed
from anthocard.engine.trade.held_back import BatchLine
from anthocard.engine.trade.records import lot
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import fixed, millilitres, percent_vol, ph_text, tidy, weight
from anthocard.press.words.amounts import batch_columns
from anthocard.press.words.bottle_label import bottling, service_lines, written
from anthocard.press.words.caution_words import in_language, on_batch, spoken
from anthocard.press.words.prep_sheet import method_lines
from anthocard.press.words.spec import Figure, shelf_life_reasons, shelf_life_text

LEAST_WATER_G = 0.5  # chosen: less is not worth a line


@dataclass(frozen=True, slots=True)
class SheetLine:
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
    lines: tuple[SheetLine, ...]
    makes: str
    notes: tuple[str, ...]
    points: tuple[Figure, ...]
    bottling: tuple[str, ...]
    service: tuple[str, ...]
    keeping: tuple[str, ...]
    cautions: tuple[str, ...]
    brought_down: tuple[SheetLine, ...] = ()
    brought_to: str = ""
    because: tuple[str, ...] = ()
    defer: str = ""
    steps: tuple[str, ...] = ()
    written: str = ""


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
    tongue = language(house.language)
    cautions = spoken(batch.cautions, in_language(figures, tongue).allergens, tongue)
    lines = [_line(line, tongue) for line in batch.lines]
    notes = []
    if batch.water_g > LEAST_WATER_G:
        lines.append(_water(batch.water_ml, batch.water_g, tongue))
        mark_ml = batch.total_ml if down is None else down.strong_ml
        notes.append(
            to_the_mark(millilitres(mark_ml, tongue), tongue)
            if batch.serves is None
            else melt(tongue)
        )
    last = None if made is None else batch.last_day(made)
    steps, about = _steps(figures, batch, down, tongue)
    return Sheet(
        title=batch.name,
        house=house.name,
        language=house.language,
        edition=figures.edition,
        wanted=_wanted(batch, tongue),
        made="" if made is None else tongue.day(made),
        lot="" if made is None else lot(made, letter),
        discard="" if last is None else tongue.day(last),
        lines=tuple(lines),
        makes=_made(batch, down, tongue),
        notes=tuple(notes),
        points=tuple(_points(batch, tongue)),
        bottling=(
            *bottling(batch, house, figures, tongue),
            *written(cautions, batch, figures, tongue),
        ),
        service=tuple(service_lines(figures, batch, tongue)),
        keeping=(shelf_life_text(batch.keeping, tongue),),
        because=shelf_life_reasons(batch.keeping, tongue),
        cautions=on_batch(cautions),
        brought_down=() if down is None else _brought_down(down, tongue),
        brought_to="" if down is None else _brought_to(down, tongue),
        defer=_defer(tongue),
        steps=steps,
        written=about,
    )


def _steps(
    figures: Computed, batch: Batch, down: Proofed | None, tongue: Language
) -> tuple[tuple[str, ...], str]:
    """How the batch is made, and what is to be known of the amounts in it."""
    if batch.serves is None:
        made_ml = batch.total_ml if down is None else down.strong_ml
        return method_lines(figures, tongue, made_ml / figures.before.volume_ml)
    return (
        tongue.gettext("Into one clean vessel with room to stir, and stir until it is even."),
        tongue.gettext("Take a sample, write down what it shows, and throw the sample away."),
        tongue.gettext("Fill the bottles, label them, put them where it is cold."),
    ), ""


def proof_sheet(down: Proofed, house: House, made: date | None = None, letter: str = "A") -> Sheet:
    """The sheet of something that is there already and is only brought down."""
    tongue = language(house.language)
    strength = percent_vol(down.abv_percent, tongue)
    return Sheet(
        title=tongue.gettext("%(name)s, to %(strength)s", name=down.name, strength=strength),
        house=house.name,
        language=house.language,
        edition="",
        wanted=millilitres(down.total_ml, tongue),
        made="" if made is None else tongue.day(made),
        lot="" if made is None else lot(made, letter),
        discard="",
        lines=_brought_down(down, tongue),
        makes=_makes(down.total_ml, down.total_g, down.density_g_per_ml, tongue),
        notes=(_less(down, tongue),),
        points=(
            Figure(tongue.gettext("strength before"), percent_vol(down.strong_abv, tongue)),
            Figure(tongue.gettext("strength"), strength),
            _density(down.density_g_per_ml, tongue),
        ),
        bottling=(),
        service=(),
        keeping=(),
        cautions=(),
        defer=_defer(tongue),
    )


def melt(tongue: Language) -> str:
    """What the water of a batched drink is for."""
    return tongue.gettext(
        "The water stands in for the melt of the ice: pour cold from the bottle, and do not stir "
        "or shake it on ice again."
    )


def to_the_mark(mark: str, tongue: Language) -> str:
    """How the water of a solution is added."""
    return tongue.gettext(
        "Water to the mark of %(mark)s: weigh it, then look at the mark.", mark=mark
    )


def makes_words(volume: str, mass: str, density: float, tongue: Language) -> str:
    """What comes out of it, by volume and by mass."""
    return f"{volume} · {mass} · {fixed(density, 3, tongue)} g/ml, 20 °C"


def _wanted(batch: Batch, tongue: Language) -> str:
    if not batch.serves:
        return millilitres(batch.total_ml, tongue)
    serves = tidy(batch.serves, 2, tongue)
    many = 1 if batch.serves == 1 else 2
    return tongue.npgettext("batch", "%(serves)s serve", "%(serves)s serves", many, serves=serves)


def _defer(tongue: Language) -> str:
    return tongue.gettext("Local codes and licensed practice come first.")


def _line(line: BatchLine, tongue: Language) -> SheetLine:
    """By weight where the batch asks for it, else by volume, the other beside it."""
    measured, weighed = batch_columns(line, tongue)
    by_mass = line.by_mass or not measured
    large, small = (weighed, measured) if by_mass else (measured, weighed)
    return SheetLine(line.name, large, small)


def _water(ml: float, grams: float, tongue: Language) -> SheetLine:
    return SheetLine(tongue.gettext("still water"), weight(grams, tongue), millilitres(ml, tongue))


def _made(batch: Batch, down: Proofed | None, tongue: Language) -> str:
    """What the making gives, before it is brought down."""
    if down is None:
        return _makes(batch.total_ml, batch.total_g, batch.density_g_per_ml, tongue)
    return _makes(down.strong_ml, down.strong_g, down.strong_g_per_ml, tongue)


def _makes(ml: float, grams: float, density: float, tongue: Language) -> str:
    return makes_words(millilitres(ml, tongue), weight(grams, tongue), density, tongue)


def _density(g_per_ml: float, tongue: Language) -> Figure:
    return Figure(tongue.gettext("density at 20 °C"), f"{fixed(g_per_ml, 3, tongue)} g/ml")


def _points(batch: Batch, tongue: Language) -> Iterator[Figure]:
    yield Figure("pH", ph_text(batch.ph, 1, tongue))
    if batch.abv_percent >= 0.5:
        yield Figure(tongue.gettext("strength"), percent_vol(batch.abv_percent, tongue))
    yield _density(batch.density_g_per_ml, tongue)
    yield Figure(tongue.gettext("colour, sample bottle"), tongue.word("colour", batch.colour))
    yield Figure(tongue.gettext("yield"), millilitres(batch.total_ml, tongue))


def _brought_down(down: Proofed, tongue: Language) -> tuple[SheetLine, ...]:
    strong = SheetLine(
        f"{down.name}, {percent_vol(down.strong_abv, tongue)}",
        weight(down.strong_g, tongue), millilitres(down.strong_ml, tongue),
    )  # fmt: skip
    return strong, _water(down.water_ml, down.water_g, tongue)


def _brought_to(down: Proofed, tongue: Language) -> str:
    makes = _makes(down.total_ml, down.total_g, down.density_g_per_ml, tongue)
    return f"{percent_vol(down.abv_percent, tongue)}: {makes}. {_less(down, tongue)}"


def _less(down: Proofed, tongue: Language) -> str:
    return tongue.gettext(
        "Weighed, because mixing shrinks: the sum of volumes would say only %(volume)s of water, "
        "and leave it stronger.",
        volume=millilitres(down.mixed_as_volumes_ml, tongue),
    )
