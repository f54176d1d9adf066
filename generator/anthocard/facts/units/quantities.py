"""The other values an author writes with a unit: times, temperatures, strengths, doses, lengths.

Belongs here: reading one such value into a float whose unit is in the function's name. Does not
belong here: amounts of an ingredient (measures.py).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from anthocard.facts.units.measures import read_measure
from anthocard.facts.units.slipped_point import set_right
from anthocard.facts.units.units import (
    folded,
    limit,
    spellings,
    times_in_words,
    unit_pattern,
    units,
)
from anthocard.facts.units.written_numbers import MeasureError, middle, number

_CELSIUS: Final = re.compile(
    r"\s*(?:°\s*|deg(?:rees)?\s+)?(?P<scale>c(?:elsius)?|f(?:ahrenheit)?)\s*", re.I
)
_PERCENT: Final = re.compile(r"\s*(?:%|per ?cent)\s*(?:vol\.?|abv)?\s*", re.I)
_OF: Final = re.compile(
    r"\s*(?:%|per ?cent)\s*of\s+(?:the\s+)?(?P<what>start|end)(?:\s+volume)?\s*", re.I
)
_PER: Final = re.compile(r"\s*(?:/|per\b|in\b|to\b)\s*(?:an?\s+)?", re.I)


@dataclass(frozen=True, slots=True)
class Ratio:
    """Grams of plant for each litre of liquid, and the author's own words for it."""

    g_per_l: float
    text: str


def parse_ml(text: str) -> float:
    """“700 ml”, “70 cl”, “8 US fl oz”: a volume in ml. Raises MeasureError."""
    return _whole(text, "volume", "pack", "ml")


def parse_mm(text: str) -> float:
    """“60 mm”, “6 cm”, “2.5 in”: a length in mm. Raises MeasureError."""
    return _whole(text, "length", "length", "mm")


def parse_hours(text: str) -> float:
    """“12 h”, “90 min”, “1 h 30 min”, “overnight”; of “2-3 h” the middle: a time in hours.

    Raises MeasureError.
    """
    named = times_in_words().get(folded(text))
    if named is not None:
        return named
    text, hours, end = middle(text), 0.0, 0
    while end == 0 or text[end:].strip():
        found = read_measure(text, frozenset({"time"}), end)
        hours += found.value * (found.unit.factor or 0.0)
        end = found.end
    return _within(text, hours, 0.0, limit("hours")["h"], "h")


def parse_seconds(text: str) -> float:
    """“12 s”, “2 min”: a time in seconds. Raises MeasureError."""
    return 3600.0 * parse_hours(text)


def parse_grams(text: str) -> float:
    """“150 g”, “1 kg”: a weight in grams. Raises MeasureError."""
    return _whole(text, "mass", "pack", "g")


def parse_celsius(text: str) -> float:
    """“4 °C”, “40 F”, “−2 °C”; of “55-60 °C” the middle: a temperature. Raises MeasureError."""
    text = middle(text)
    value, end = number(text)
    found = _CELSIUS.fullmatch(text, end)
    if found is None:
        raise _ending(
            text, end, "missing-unit", f"write °C or °F, such as “{text[:end].strip()} °C”"
        )
    if found["scale"][0] in "fF":
        value = (value - 32.0) / 1.8
    row = limit("celsius")
    return _within(text, value, row["low"], row["high"], "°C")


def parse_percent(text: str) -> float:
    """“41.2 %”, “41.2 % vol”, “92”: a percentage, 0-100. Raises MeasureError."""
    value, end = number(text)
    if text[end:].strip() and _PERCENT.fullmatch(text, end) is None:
        raise _ending(
            text, end, "wrong-unit", f"write a percentage, such as “{text[:end].strip()} %”"
        )
    return _within(text, value, 0.0, 100.0, "%")


def parse_dilution(text: str) -> float:
    """“44 % of the start”, “31 % of the end”: water added, in % of the volume before the ice.

    A percentage of nothing is asked back: 30 % of the end is 43 % of the start. Raises
    MeasureError.
    """
    value, end = number(text)
    found = _OF.fullmatch(text, end)
    if found is None:
        if text[end:].strip() and _PERCENT.fullmatch(text, end) is None:
            raise _ending(text, end, "wrong-unit", "write “% of the start”, or “% of the end”")
        raise MeasureError(
            "dilution-of-what",
            f"“{text.strip()}” of what? Water added is a share of what was there or came out",
            f"write “{value:g} % of the start” or “{value:g} % of the end”",
            0,
            len(text),
        )
    if found["what"].casefold() == "end":
        value = 100.0 * value / (100.0 - value) if 0.0 <= value < 100.0 else -1.0
    return _within(text, value, 0.0, limit("dilution")["percent"], "% of the start")


def parse_dose(text: str) -> Ratio:
    """“8 g per litre”, “8 g/l”, “2 g in 250 ml”: grams of plant per litre. Raises MeasureError."""
    grams = read_measure(text, frozenset({"mass"}))
    per = _PER.match(text, grams.end)
    if per is None:
        raise _ending(text, grams.end, "missing-unit", _per_litre(text, grams.end))
    start = per.end()
    right = text[start:]
    if right[:1].isdigit() or right[:1] in "½¼¾":
        volume = read_measure(text, frozenset({"volume"}), start)
        litres, end = volume.value * (volume.unit.factor or 0.0) / 1000.0, volume.end
    else:
        named = unit_pattern(frozenset({"volume"})).match(text, start)
        if named is None:
            raise _ending(text, per.start(), "missing-unit", _per_litre(text, grams.end))
        unit = units()[spellings()[folded(named["unit"])]]
        litres, end = (unit.factor or 0.0) / 1000.0, named.end()
    if text[end:].strip():
        raise _ending(text, end, "bad-amount", f"write only “{text[:end].strip()}”")
    dose = grams.value * (grams.unit.factor or 0.0) / litres
    return Ratio(_within(text, dose, 0.0, limit("dose")["g_per_l"], "g per litre"), text.strip())


def _per_litre(text: str, end: int) -> str:
    return f"say in how much: “{text[:end].strip()} per litre”"


def _whole(
    text: str, dimension: Literal["volume", "length", "mass"], most: str, unit: str
) -> float:
    """One measure and nothing after it, in the dimension's base unit."""
    found = read_measure(text, frozenset({dimension}))
    if text[found.end :].strip():
        raise _ending(text, found.end, "bad-amount", f"write only “{text[: found.end].strip()}”")
    return _within(text, found.value * (found.unit.factor or 0.0), 0.0, limit(most)[unit], unit)


def _ending(text: str, end: int, kind: str, mend: str) -> MeasureError:
    """A mistake in what follows the number, or in nothing following it."""
    rest = text[end:].strip()
    if not rest:
        return MeasureError(kind, f"“{text.strip()}” is not complete", mend, 0, len(text))
    return MeasureError(
        kind, f"“{rest}” does not belong here", mend, text.index(rest, end), len(rest)
    )


def _within(text: str, value: float, low: float, high: float, unit: str) -> float:
    if low <= value <= high:
        return value
    meant = set_right(text.strip(), lambda factor: low <= value * factor <= high)
    offer = "" if meant is None else f"did you mean “{meant}”? "
    raise MeasureError(
        "impossible-amount",
        f"“{text.strip()}” is more or less than anyone can mean here",
        f"{offer}{'t' if not offer else 'T'}he range that is read here is {low:g} to {high:g} "
        f"{unit}",
        0,
        len(text.rstrip()),
    )
