"""Numbers as they are written by hand: “12,5”, “1 1/2”, “¾”, “a”; and what is wrong with one.

Belongs here: the grammar of a number, and the one error of whatever is written with a unit. Does
not belong here: units and amounts (measures.py).
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from anthocard.facts.units.units import vague_pattern


class MeasureError(ValueError):
    """A written measure that cannot be read.

    `kind` is a stable word for machines, `mend` says how to put it right, and `offset` and
    `length` underline the faulty characters of the text that was given.
    """

    def __init__(
        self, kind: str, message: str, mend: str = "", offset: int = 0, length: int = 1
    ) -> None:
        """Keep the parts; the message alone is what prints."""
        super().__init__(message)
        self.kind, self.message, self.mend = kind, message, mend
        self.offset, self.length = offset, max(1, length)


def number(text: str, start: int = 0) -> tuple[float, int]:
    """A plain number above or below zero, and where it ends. Raises MeasureError."""
    sign = re.compile(r"\s*([-−–+])\s*(?=[0-9.,½¼¾⅓⅔⅛⅜⅝⅞])").match(text, start)
    value, end = _unsigned(text, sign.end() if sign else start)
    return (-value if sign and sign.group(1) != "+" else value), end


_NUMBER: Final = re.compile(
    r"\s*(?:(?:(?P<whole>[0-9]{1,6})(?:\s+|(?=[^\s0-9])))?"
    r"(?:(?P<glyph>[½¼¾⅓⅔⅛⅜⅝⅞])|(?P<top>[0-9]{1,6})\s?[/⁄]\s?(?P<bottom>[0-9]{1,6}))"
    r"|(?P<decimal>[0-9]{1,9}(?:[.,][0-9]{1,9})?|[.,][0-9]{1,9})"
    r"|(?P<one>an?|one)(?=\s))",
    re.IGNORECASE,
)
_RANGE: Final = re.compile(r"\s*(?:[-–—]|to\b|or\b)\s*[0-9½¼¾⅓⅔⅛⅜⅝⅞]", re.IGNORECASE)


_BETWEEN: Final = re.compile(
    r"\s*(?P<low>[0-9]+(?:[.,][0-9]+)?)\s*(?:[-–—]|to\b|bis\b)\s*"
    r"(?P<high>[0-9]+(?:[.,][0-9]+)?)(?P<rest>.*)",
    re.IGNORECASE | re.DOTALL,
)


def middle(text: str) -> str:
    """“45-50 ml gin” as “47.5 ml gin”: a range by its middle; any other text as it is."""
    found = _BETWEEN.fullmatch(text)
    if found is None:
        return text
    low, high = (float(found[end].replace(",", ".")) for end in ("low", "high"))
    return f"{(low + high) / 2.0:g}{found['rest']}" if low < high else text


def positive(text: str, start: int) -> tuple[float, int]:
    """A number above zero."""
    value, end = number(text, start)
    if not value > 0:
        raise MeasureError(
            "impossible-amount",
            f"“{text[start:end].strip()}” is not above zero",
            "write how much is used, or take the line away",
            start,
            end - start,
        )
    return value, end


def _unsigned(text: str, start: int) -> tuple[float, int]:
    found = _NUMBER.match(text, start)
    if found is None:
        raise _no_number(text, start)
    end = found.end()
    if found["one"]:
        return 1.0, end
    shown = found.group().strip()
    if _RANGE.match(text, end):
        raise MeasureError(
            "bad-amount",
            f"“{text.strip()}” is a range, and a drink needs one amount",
            f"{_offered(text[start:])}choose one figure; say how to adjust it in the method",
            start,
            len(text) - start,
        )
    if re.match(r"[.,]?[0-9½¼¾⅓⅔⅛⅜⅝⅞]", text[end:]) or re.fullmatch(r"[0-9]+,[0-9]{3}", shown):
        raise MeasureError(
            "bad-amount",
            f"“{text.strip()}” holds a number that can be read in two ways",
            "write it with one decimal point and nothing between thousands: 12.5 or 1000",
            start,
            end - start + 1,
        )
    if found["decimal"]:
        return float(found["decimal"].replace(",", ".")), end
    bottom = float(found["bottom"] or 1)
    if bottom == 0:
        raise MeasureError(
            "bad-amount", f"“{shown}” divides by nothing", "write ½, 1/2 or 0.5", start, len(shown)
        )
    part = unicodedata.numeric(found["glyph"]) if found["glyph"] else float(found["top"]) / bottom
    return float(found["whole"] or 0) + part, end


def _offered(text: str) -> str:
    meant = middle(text)
    return "" if meant == text else f"did you mean “{meant.strip()}”? Else "


def _no_number(text: str, start: int) -> MeasureError:
    shown = text[start:].strip()
    word = vague_pattern().match(text, start)
    what = f"“{word['unit']}” does not say how much" if word else f"“{shown}” starts with no number"
    return MeasureError(
        "missing-amount",
        what if shown else "nothing is written here",
        "say how much, with a unit, such as “50 ml”",
        start,
        len(word.group()) if word else len(shown),
    )
