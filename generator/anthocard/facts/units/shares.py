"""Pours that are told by a whole: parts, ratios, percentages, “top up with soda water”.

Belongs here: the grammar of such lines, and of where a pour lies in the glass. Does not belong
here: plain amounts (measures.py), what the whole is (house/serving) or what a share comes to (the
engine).

    2 parts gin                     a share of what nothing else takes of the whole
    2:1:1 gin, lemon juice, syrup   the same for several: three lines in one
    5 % saline                      of the whole
    top up with soda water          whatever still goes into the glass
    float 15 ml red wine            lies on top; “sink 15 ml grenadine” lies below
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from anthocard.facts.units.measures import Amount, parse_amount, parse_portion
from anthocard.facts.units.units import POURABLE, Dimension, folded, spellings, unit_pattern
from anthocard.facts.units.written_numbers import MeasureError, positive

#: Where a pour lies: mixed with the others, or by itself over or under them.
Lies: TypeAlias = Literal["in", "on top", "below"]

TOP: Final = "top"
SHARES: Final = ("part", "percent")  # the units that are shares of a whole
_SHARED: Final[frozenset[Dimension]] = POURABLE | {"share"}
_PLACED: Final = re.compile(
    r"\s*(?P<word>float|layer|sink|lay)\s+(?:of\s+)?(?=[\d½¼¾⅓⅔⅛]|an?\s|top\b)", re.IGNORECASE
)
_LIES: Final[dict[str, Lies]] = {
    "float": "on top", "layer": "on top", "lay": "on top", "sink": "below",
}  # fmt: skip
_TOPPED: Final = re.compile(
    r"\s*(?:top(?:ped)?\s+(?:it\s+)?(?:up|off)?(?:\s+to\s+the\s+(?:top|glass|brim))?(?:\s*with)?"
    r"|fill(?:ed)?(?:\s+it)?\s+(?:up\s+)?with|auffüllen\s+mit)[\s:]+(?P<name>[^\W\d].*?)\s*",
    re.IGNORECASE,
)
_TO_TOP: Final = re.compile(
    r"\s*(?P<name>[^\W\d].*?),?\s+(?:to\s+(?:the\s+)?(?:top|top\s+up|fill)|zum\s+auffüllen)\s*",
    re.IGNORECASE,
)
_TOP_WORDS: Final = re.compile(
    r"\s*(?:top(?:\s+up)?|to\s+the\s+(?:top|glass)|top\s+up\s+to\s+the\s+glass|auffüllen)\s*",
    re.IGNORECASE,
)
_ONE: Final = re.compile(r"\s*(?=(?:rinse|spray|mist)\b)", re.IGNORECASE)
_RATIO: Final = re.compile(
    r"\s*(?P<numbers>\d+(?:[.,]\d+)?(?:\s*:\s*\d+(?:[.,]\d+)?)+)\s+(?:of\s+)?(?P<names>[^\W\d].*)"
)
_BETWEEN: Final = (re.compile(r"\s*[,:;]\s*"), re.compile(r"\s+(?:to|zu|and|und)\s+|\s*[,:;]\s*"))


@dataclass(frozen=True, slots=True)
class PourLine:
    """One line of a drink's pours: how much, of what, and where it lies."""

    amount: Amount
    name: str
    lies: Lies = "in"


def parse_line(text: str) -> PourLine:
    """Read one pour of a drink; an amount it shares of a whole keeps its unit. MeasureError."""
    placed = _PLACED.match(text)
    start = 0 if placed is None else placed.end()
    lies: Lies = "in" if placed is None else _LIES[placed["word"].casefold()]
    rest = text[start:]
    if ratio_lines(rest) is not None:  # one that nothing was written out of
        raise MeasureError("bad-ratio", "a ratio stands by itself", "write each pour in parts")
    topped = _TOPPED.fullmatch(rest) or _TO_TOP.fullmatch(rest)
    if topped is not None:
        return PourLine(Amount(0.0, TOP, "top up"), " ".join(topped["name"].split()), lies)
    if _ONE.match(rest):
        rest = f"1 {rest.lstrip()}"
    try:
        shared = _shared(rest)
        amount, name = shared if shared is not None else parse_portion(rest)
    except MeasureError as error:
        raise MeasureError(
            error.kind, error.message, error.mend, error.offset + start, error.length
        ) from None
    return PourLine(amount, name, lies)


def parse_poured(text: str) -> Amount:
    """An amount of a pour: one of measures.py, a share, or “top up”. Raises MeasureError."""
    if _TOP_WORDS.fullmatch(text):
        return Amount(0.0, TOP, "top up")
    return parse_amount(text, _SHARED)


def ratio_lines(text: str) -> tuple[str, ...] | None:
    """“2:1 gin, vermouth” as “2 parts gin” and “1 part vermouth”; None for any other line.

    Raises MeasureError where figures and names are not as many.
    """
    found = _RATIO.fullmatch(text)
    if found is None:
        return None
    numbers = [one.strip() for one in found["numbers"].split(":")]
    for between in _BETWEEN:
        names = [name for name in between.split(found["names"].strip()) if name]
        if len(names) == len(numbers):
            return tuple(
                f"{number} {'part' if number == '1' else 'parts'} {name}"
                for number, name in zip(numbers, names, strict=True)
            )
    raise MeasureError(
        "bad-ratio",
        f"“{found['numbers']}” has {len(numbers)} figures for {len(names)} names",
        "write one name for each figure, with commas between: “2:1 gin, dry vermouth”",
        0,
        len(text.rstrip()),
    )


def _shared(text: str) -> tuple[Amount, str] | None:
    """A share and its name; None where the line begins otherwise."""
    try:
        value, end = positive(text, 0)
    except MeasureError:
        return None
    found = unit_pattern(frozenset({"share"})).match(text, end)
    if found is None:
        return None
    name = re.sub(r"^of\s+", "", text[found.end() :].strip(" \t,"), flags=re.IGNORECASE)
    if not name:
        raise MeasureError(
            "missing-name",
            f"“{text.strip()}” says how much, but not of what",
            f"write what is poured after it, such as “{text.strip()} gin”",
            0,
            len(text),
        )
    amount = Amount(value, spellings()[folded(found["unit"])], text[: found.end()].strip())
    if amount.unit == "percent" and amount.value > 100.0:
        raise MeasureError(
            "impossible-amount",
            f"“{amount.text}” is more than the whole",
            "write a percentage of the drink, less than 100 %",
            0,
            found.end(),
        )
    return amount, " ".join(name.split())
