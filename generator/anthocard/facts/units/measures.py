"""Measures as bartenders write them, and what they come to in millilitres, grams and pieces.

Belongs here: the grammar of one amount, and its conversion to a base unit. Does not belong here:
the units themselves (units.py), other written values such as times and strengths (quantities.py),
nor how an amount is printed (rounding.py).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from anthocard.diagnostics.diagnostic import nearest
from anthocard.facts.units.rarer_units import RarerUnit, find_rarer_unit
from anthocard.facts.units.units import (
    POURABLE,
    Dimension,
    Unit,
    any_unit_pattern,
    counted,
    folded,
    limit,
    printed,
    spellings,
    unit_pattern,
    units,
    vague_pattern,
)
from anthocard.facts.units.written_numbers import MeasureError, positive

NO_OWN: Final[Mapping[str, float]] = MappingProxyType({})
WANTED: Final[Mapping[Dimension, str]] = {
    "volume": "a volume, such as “50 ml”",
    "mass": "a weight, such as “12 g”",
    "time": "a time, such as “12 h”",
    "length": "a length, such as “60 mm”",
}
USUAL: Final[Mapping[Dimension, str]] = {"volume": "ml", "mass": "g", "time": "h", "length": "mm"}


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of units, and the author's own words for it (“¾ oz”)."""

    value: float
    unit: str
    text: str

    @property
    def dimension(self) -> Dimension:
        """What kind of thing the unit measures."""
        return units()[self.unit].dimension


@dataclass(frozen=True, slots=True)
class ParsedMeasure:
    """A number and a unit found in a text, and where each of them ends."""

    value: float
    unit: Unit
    number_end: int
    end: int


def parse_amount(
    text: str, dimensions: frozenset[Dimension] = POURABLE, most: str = "portion"
) -> Amount:
    """Read “50 ml”, “1 1/2 oz”, “2.5 cl”, “12,5 ml”, “2 dashes”, “a pinch”.

    The value is finite, above zero and within the limit named `most`. Raises MeasureError.
    """
    found = read_measure(text, dimensions)
    rest = text[found.end :].strip()
    if rest:
        raise MeasureError(
            "bad-amount",
            f"“{rest}” does not belong to an amount",
            f"write only “{text[: found.end].strip()}”",
            0,
            len(text.rstrip()),
        )
    return checked(Amount(found.value, found.unit.key, text.strip()), most, text)


@lru_cache(4096)  # it is asked for when a line is read and again when its name is looked for
def parse_portion(text: str) -> tuple[Amount, str]:
    """Read an amount and what it is of: “50 ml gin”, “3 leaves mint”, “3 mint leaves”, “1 egg”.

    Raises MeasureError.
    """
    value, end = positive(text, 0)
    itself = counted().get(folded(text[end:]))
    if itself is not None:
        amount = Amount(value, "piece", text[:end].strip())
        return checked(amount, "portion", text), itself
    head, _, last = text.rstrip().rpartition(" ")
    unit = spellings().get(folded(last))
    counts = unit is not None and units()[unit].dimension == "count" and head[end:].strip()
    if unit and counts and unit_pattern(POURABLE).match(text, end) is None:
        amount = Amount(value, unit, f"{text[:end].strip()} {last}")
        return checked(amount, "portion", text), " ".join(head[end:].split())
    found = read_measure(text, POURABLE)
    name = re.sub(r"^of\s+", "", text[found.end :].strip(" \t,"), flags=re.IGNORECASE)
    if not name:
        raise MeasureError(
            "missing-name",
            f"“{text.strip()}” says how much, but not of what",
            f"write what is poured after it, such as “{text.strip()} gin”",
            0,
            len(text),
        )
    amount = Amount(found.value, found.unit.key, text[: found.end].strip())
    return checked(amount, "portion", text), " ".join(name.split())


def to_ml(amount: Amount, own: Mapping[str, float] = NO_OWN) -> float | None:
    """Millilitres, or None for what is weighed, counted, not measured or a share of a whole.

    `own` gives the house's own ml for a dash, drop or barspoon; only the drop has a published
    size to fall back on (USP <1101>).
    """
    unit = units()[amount.unit]
    if unit.dimension not in ("volume", "own", "share"):
        return None
    factor = own.get(unit.key, unit.factor)
    return None if factor is None else amount.value * factor


@dataclass(frozen=True, slots=True)
class Loose:
    """What a loose measure comes to where nobody has weighed it: the middle of its usual range.

    `size` is in ml, or in g of what is pinched; `share` is one standard deviation over it, the
    range being taken as four of them.
    """

    size: float
    low: float
    high: float
    unit: str
    share: float


def loose(amount: Amount, own: Mapping[str, float] = NO_OWN) -> Loose | None:
    """What a dash, barspoon, drop or pinch may come to; None for all else and what is measured."""
    unit = units()[amount.unit]
    if not unit.high or unit.key in own:
        return None
    middle = unit.factor or (unit.low + unit.high) / 2.0
    return Loose(
        amount.value * middle,
        amount.value * unit.low,
        amount.value * unit.high,
        "g" if unit.dimension == "unmeasured" else "ml",
        (unit.high - unit.low) / 4.0 / middle,
    )


def to_g(amount: Amount) -> float | None:
    """Grams, or None for what is not weighed."""
    unit = units()[amount.unit]
    return amount.value * unit.factor if unit.dimension == "mass" and unit.factor else None


def pieces(amount: Amount) -> float | None:
    """How many, or None for what is not counted."""
    return amount.value if units()[amount.unit].dimension == "count" else None


def checked(amount: Amount, most: str, text: str) -> Amount:
    """The amount itself, unless it is more than the named limit. Raises MeasureError."""
    row = limit(most)
    sizes = {"ml": to_ml(amount), "g": to_g(amount), "pieces": pieces(amount)}
    for unit, size in sizes.items():
        if size is not None and size > row[unit]:
            raise MeasureError(
                "impossible-amount",
                f"“{amount.text}” is more than anyone can mean here",
                f"the most that is read here is {row[unit]:,.0f} {unit}".replace(",", " "),
                0,
                len(text.rstrip()),
            )
    return amount


def read_measure(text: str, dimensions: frozenset[Dimension], start: int = 0) -> ParsedMeasure:
    """Find a number and a unit of one of `dimensions` at `start` of `text`; raises MeasureError."""
    value, number_end = positive(text, start)
    found = unit_pattern(dimensions).match(text, number_end)
    if found is not None:
        key = spellings()[folded(found.group("unit"))]
        return ParsedMeasure(value, units()[key], number_end, found.end())
    rarer = find_rarer_unit(text, number_end, dimensions)
    if rarer is not None:
        return _in_our_units(text, value, number_end, rarer)
    raise _no_unit(text, start, number_end, dimensions)


def _in_our_units(text: str, value: float, number_end: int, rarer: RarerUnit) -> ParsedMeasure:
    """So many millilitres or grams; raises MeasureError for a unit of two sizes."""
    if rarer.readings:
        figure = text[:number_end].strip()
        raise MeasureError(
            "two-sizes",
            f"“{rarer.written}” is of two sizes",
            f"write {' or '.join(f'“{figure} {unit}”' for unit in rarer.readings)}",
            text.index(figure),
            rarer.end - text.index(figure),
        )
    return ParsedMeasure(value * rarer.size, units()[rarer.base], number_end, rarer.end)


def _alike(word: str, unit: str) -> bool:
    """Whether a word is a slip of a unit rather than a name that has letters of one."""
    return len(word) < 5 or (word[:1].lower() == unit[:1] and len(set(word) - set(unit)) <= 1)


def _usual(dimensions: frozenset[Dimension]) -> str:
    return next((unit for one, unit in USUAL.items() if one in dimensions), "ml")


def _vague(text: str, end: int, word: str, dimensions: frozenset[Dimension]) -> MeasureError:
    """“a splash of soda”: no amount; what is usually meant by the word is offered."""
    row = limit("splash")
    name = re.sub(r"^of\s+", "", text[end:].strip(), flags=re.IGNORECASE)
    usual = f"{row['ml']:g} ml {name}".strip()
    asked = name and "volume" in dimensions and word.lower() in row["words"]
    offer = f"write “{usual}”, or measure" if asked else "measure"
    return MeasureError(
        "missing-amount",
        f"“{word}” does not say how much",
        f"{offer} it once and write it with a unit, such as “50 ml”",
        0,
        len(text.rstrip()),
    )


def _no_unit(
    text: str, number_start: int, at: int, dimensions: frozenset[Dimension]
) -> MeasureError:
    """Say whether the unit is left out, misspelt, too vague, or of the wrong kind."""
    start = at + len(text[at:]) - len(text[at:].lstrip())
    rest = text[start:]
    word = re.split(r"[\s,;/()]", rest, maxsplit=1)[0]
    figure = text[number_start:at].strip()
    other = any_unit_pattern().match(text, at)
    if other is not None and units()[spellings()[folded(other["unit"])]].dimension == "share":
        return MeasureError(
            "no-whole",
            f"“{text[number_start : other.end()].strip()}” is a share, and here is no whole",
            f"write an amount, such as “{figure} {_usual(dimensions)}”",
            number_start,
            other.end() - number_start,
        )
    if other is not None:
        wanted = " or ".join(WANTED[d] for d in WANTED if d in dimensions)
        usual = _usual(dimensions)
        usual = {"kg": "l", "l": "kg"}.get(spellings()[folded(other["unit"])], usual)
        return MeasureError(
            "wrong-unit",
            f"“{other['unit']}” is the wrong kind of unit here",
            f"did you mean “{figure} {usual}”? Write {wanted}",
            number_start,
            other.end() - number_start,
        )
    vague = vague_pattern().match(text, at)
    if vague is not None:
        return _vague(text, vague.end("unit"), word, dimensions)
    if re.fullmatch(r"bottles?|cans?|packs?|flaschen?|dosen?", word, re.IGNORECASE):
        name = re.sub(r"^of\s+", "", rest[len(word) :].strip(), flags=re.IGNORECASE)
        return MeasureError(
            "no-pack",
            f"nobody wrote how much a {word} of {name or 'it'} holds",
            f"write it in ml, or beside it in stock.yaml: {name or 'NAME'}: {{pack: 700 ml}}",
            number_start,
            len(text.rstrip()) - number_start,
        )
    known = [s for s, key in printed().items() if units()[key].dimension in dimensions]
    close = nearest(word, known) if word else None
    # “10 plain syrup”: a name that is as long as no slip of a unit has no unit before it
    if close is not None and abs(len(close) - len(word)) < 2 + (len(rest) == len(word)):
        close = close if _alike(word, close) else None
    if close is not None:
        return MeasureError(
            "unknown-unit", f"“{word}” is not a unit", f"did you mean “{close}”?", start, len(word)
        )
    example = _usual(dimensions)
    # “1//2 oz gin”, “1e9 ml gin”: what follows is no name, and only its author knows the number
    garbled = rest and (not rest[0].isalpha() or re.search(r"\d", rest) is not None)
    return MeasureError(
        "missing-unit",
        f"“{text.strip()}” has no unit after the number",
        "write one plain number, then its unit"
        if garbled
        else f"write the unit, such as “{f'{figure} {example} {rest}'.strip()}”",
        0,
        len(text.rstrip()),
    )
