"""How much of each thing, in words: a drink's own lines, and the lines of a batch on any paper.

Belongs here: which of volume, weight and count is told, and which beside it. Does not belong here:
rounding (facts/units/rounding.py), spelling a number (number_text.py).
"""

from __future__ import annotations

from dataclasses import dataclass

from anthocard.engine.results import Measure
from anthocard.engine.trade.held_back import BatchLine
from anthocard.facts.units.rounding import Rounded, mass, metric, ounces
from anthocard.facts.units.units import Dimension, spelt, units
from anthocard.house.settings import House
from anthocard.press.base import number_text as text
from anthocard.press.base.languages import Language, language


@dataclass(frozen=True, slots=True)
class Pour:
    """One line of amounts: big number, its unit, what it is, the same in ounces."""

    number: str
    unit: str
    name: str
    ounces: str
    slug: str


def pour_line(measure: Measure, house: House) -> Pour:
    """Volumes in millilitres and ounces, weights in grams, the rest as its author counts it."""
    name, slug, poured = measure.name, measure.slug or "", poured_volume(measure)
    tongue = language(house.language)
    if poured is not None and measure.ml is not None:
        small = ounces(measure.ml, measure.role, house.ounces, house.rounding)
        # By scale, the millilitres stand in the big column already.
        by_scale = small.how == text.BY_SCALE
        beside = text.by_scale(tongue) if by_scale else text.amount(small, tongue)
        return Pour(text.figure(poured, tongue), text.unit(poured, tongue), name, beside, slug)
    volume = "" if measure.ml is None else text.volume(measure.ml, measure.role, tongue)
    if dimension(measure) == "mass" and measure.g is not None:
        weighed = mass(measure.g)
        return Pour(text.figure(weighed, tongue), text.unit(weighed, tongue), name, volume, slug)
    beside = volume or ("" if measure.g is None else text.weight(measure.g, tongue))
    beside = "" if measure.unsure_share else beside  # nobody weighed it: the word stands alone
    return Pour(
        text.tidy(measure.count, 2, tongue),
        unit_of(measure, measure.count > 1.0, tongue),
        name,
        beside,
        slug,
    )


def poured_volume(measure: Measure) -> Rounded | None:
    """The printed volume of what is written as one; None of what is weighed or counted."""
    if dimension(measure) != "volume" or measure.ml is None:
        return None
    return metric(measure.ml, measure.role)


def dimension(measure: Measure) -> Dimension:
    """What its author's unit measures."""
    return units()[measure.unit].dimension


def batch_columns(line: BatchLine, tongue: Language) -> tuple[str, str]:
    """The volume (or how many) and the weight of a line of a batch; either may be empty."""
    volume = "" if line.ml is None else text.volume(line.ml, line.role, tongue)
    weight = "" if line.g is None else text.weight(line.g, tongue)
    if line.weighed and (volume or weight):
        return volume, weight
    return (
        f"{text.tidy(line.count, 2, tongue)} {unit_of(line, line.count > 1.0, tongue)}".strip(),
        "",
    )


def unit_of(of: Measure | BatchLine, many: bool, tongue: Language) -> str:
    """The author's own word for one or for many, in another language where it is known there.

    A piece needs none, it is what it is called.
    """
    return "" if of.unit == "piece" else tongue.word("unit", spelt(of.unit, of.text, many))
