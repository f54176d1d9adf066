"""What an author may wish for instead of an amount: “until pH 3.1”, “until rose with acidity 6-8”.

Belongs here: the grammar of a wish and its frozen value. Does not belong here: finding the dose
that grants it (search.py).

    pH 3.1                    a meter reading
    rose, deep blue           a colour by any word of the vocabulary
    hue 350                   a CIELAB hue in degrees
    acidity 7 g/l             titratable acidity, as citric acid
    as blue as can be         nearest to the middle of that colour
    … while before-pH stays ≥ 5, acidity 6-8 g/l and at most 20 ml      bounds, for any of them
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import inf
from typing import Annotated, Final, Literal, TypeAlias

from pydantic import PlainValidator, WithJsonSchema

from anthocard.diagnostics.diagnostic import did_you_mean
from anthocard.facts.colour.names import known_words, wanted
from anthocard.facts.units.fields import refusal
from anthocard.facts.units.written_numbers import MeasureError

Quantity: TypeAlias = Literal["ph", "acidity", "sugar", "strength", "dose"]
Sort: TypeAlias = Literal["ph", "acidity", "hue", "word", "most"]

#: What can be bounded: its spellings, unit as printed, and the range that makes sense.
_QUANTITIES: Final[dict[Quantity, tuple[str, str, float, float]]] = {
    "ph": (r"pH", "", 1.0, 11.0),
    "acidity": (r"acidity|acid", " g/l", 0.0, 100.0),
    "sugar": (r"sugar", " g/l", 0.0, 600.0),
    "strength": (r"strength", " % vol", 0.0, 80.0),
    "dose": (r"dose|amount", " ml", 0.0, 500.0),
}
_NUMBER: Final = r"(\d+(?:[.,]\d+)?)"
_UNIT: Final = r"\s*(?:g/l|g per litre|% vol|%|ml)?"
_WHEN: Final = r"(?:(before|after)[- ])?"
_STAYS: Final = r"\s*(?:stays|is|of)?\s*"
_AT_LEAST: Final = r"(?:≥|>=|at least|not below|above)"
_AT_MOST: Final = r"(?:≤|<=|at most|not above|below)"


@dataclass(frozen=True, slots=True)
class Bound:
    """A range one quantity must stay in, ends included."""

    quantity: Quantity
    low: float
    high: float

    def __str__(self) -> str:
        """The bound as a bartender says it."""
        name = "pH" if self.quantity == "ph" else self.quantity
        unit = _QUANTITIES[self.quantity][1]
        if self.low == -inf:
            return f"{name} at most {self.high:g}{unit}"
        if self.high == inf:
            return f"{name} at least {self.low:g}{unit}"
        return f"{name} {self.low:g}-{self.high:g}{unit}"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted. `value` is the pH, g/l or degrees aimed at; `word` the colour aimed at."""

    text: str
    sort: Sort
    value: float = 0.0
    word: str = ""
    bounds: tuple[Bound, ...] = ()


def parse_wish(text: str, stage: Literal["before", "after"]) -> Wish:
    """Read a wish for a pour (`before`) or a reveal (`after`). Raises MeasureError."""
    aim_text, *rest = re.split(r"\s+(?:while|with)\s+", text.strip(), maxsplit=1, flags=re.I)
    aim = _aim(aim_text.strip(), text)
    parts = re.split(r"\s*,\s*|\s+and\s+", rest[0]) if rest else []
    bounds = tuple(_bound(part.strip(), text, stage) for part in parts)
    for bound in bounds:
        if bound.quantity == aim.sort and not bound.low <= aim.value <= bound.high:
            raise _contradiction(text, f"“{aim_text}” lies outside its own bound, {bound}")
    for i, one in enumerate(bounds):
        for other in bounds[:i]:
            if one.quantity == other.quantity and max(one.low, other.low) > min(
                one.high, other.high
            ):
                raise _contradiction(text, f"nothing has both {other} and {one}")
    return Wish(text.strip(), aim.sort, aim.value, aim.word, bounds)


def split_until(line: str) -> tuple[str, str] | None:
    """Name and wish of a pour written “citrate buffer until pH 5.2”; None for any other line."""
    found = re.fullmatch(r"\s*(\S.*?)\s+until\s+(\S.*?)\s*", line, re.IGNORECASE)
    return None if found is None else (found[1], found[2])


def _aim(aim: str, text: str) -> Wish:
    for quantity in ("ph", "acidity"):
        names, _, low, high = _QUANTITIES[quantity]
        if found := re.fullmatch(rf"(?:{names})\s+{_NUMBER}{_UNIT}", aim, re.I):
            value = _float(found[1])
            if not low <= value <= high:
                raise _unreadable(
                    text, f"no drink has {aim}", f"write a figure from {low:g} to {high:g}"
                )
            return Wish(text, quantity, value)
        # “acidity 6-8 g/l” on its own aims at the middle
        if found := re.fullmatch(rf"(?:{names})\s+{_NUMBER}\s*[-–]\s*{_NUMBER}{_UNIT}", aim, re.I):
            return Wish(text, quantity, (_float(found[1]) + _float(found[2])) / 2.0)
    if found := re.fullmatch(rf"hue\s+{_NUMBER}\s*(?:°|degrees)?", aim, re.I):
        if _float(found[1]) > 360.0:
            raise _unreadable(text, "a hue lies between 0 and 360 degrees", "write it as “hue 350”")
        return Wish(text, "hue", _float(found[1]) % 360.0)
    if found := re.fullmatch(r"as\s+(.+?)\s+as\s+(?:can be|possible)", aim, re.I):
        return Wish(text, "most", word=_colour(found[1], text))
    return Wish(text, "word", word=_colour(aim, text))


def _colour(word: str, text: str) -> str:
    try:
        return wanted(word).word
    except KeyError:
        raise _unreadable(
            text,
            f"“{word}” is neither a pH, a hue, an acidity nor a colour known here",
            f"aim at “pH 3.1”, “hue 350”, “rose” or “as blue as can be”; "
            f"{did_you_mean(word, known_words())}",
        ) from None


def _bound(part: str, text: str, stage: str) -> Bound:
    if found := re.fullmatch(rf"({_AT_LEAST}|{_AT_MOST})\s*{_NUMBER}\s*ml", part, re.I):
        value = _float(found[2])
        least = re.fullmatch(_AT_LEAST, found[1], re.I)
        return Bound("dose", value, inf) if least else Bound("dose", -inf, value)
    for quantity, (names, _, _, _) in _QUANTITIES.items():
        head = rf"{_WHEN}(?:{names}){_STAYS}"
        for tail, ends in (
            (rf"(?:between\s+)?{_NUMBER}\s*(?:[-–]|to|and)\s*{_NUMBER}{_UNIT}", "both"),
            (rf"{_AT_LEAST}\s*{_NUMBER}{_UNIT}", "low"),
            (rf"{_AT_MOST}\s*{_NUMBER}{_UNIT}", "high"),
        ):
            found = re.fullmatch(head + tail, part, re.I)
            if found is None:
                continue
            when, *numbers = found.groups()
            if when and when.lower() != stage:
                other = "a reveal" if stage == "after" else "a pour"
                raise _contradiction(
                    text, f"{other} cannot be worked out from what the drink is {when.lower()} it"
                )
            values = [_float(number) for number in numbers]
            low, high = {
                "both": (values[0], values[-1]), "low": (values[0], inf), "high": (-inf, values[0])
            }[ends]  # fmt: skip
            if low > high:
                raise _contradiction(text, f"“{part}” ends before it starts")
            return Bound(quantity, low, high)
    raise _unreadable(
        text,
        f"“{part}” is no bound that can be read",
        "write “acidity 6-8 g/l”, “pH at least 5”, “sugar at most 80 g/l” or “at most 15 ml”",
    )


def _float(number: str) -> float:
    return float(number.replace(",", "."))


def _unreadable(text: str, message: str, mend: str) -> MeasureError:
    return MeasureError("bad-wish", message, mend, 0, len(text))


def _contradiction(text: str, message: str) -> MeasureError:
    return MeasureError(
        "contradiction", message, "take one of the two away, or widen it", 0, len(text)
    )


def _field(stage: Literal["before", "after"]) -> PlainValidator:
    def read(value: object) -> Wish:
        if isinstance(value, Wish):
            return value
        try:
            if isinstance(value, str):
                return parse_wish(value, stage)
            raise MeasureError("wrong-type", "this is not a wish", "write it as “pH 3.1”")
        except MeasureError as error:
            raise refusal(error) from None

    return PlainValidator(read)


_SCHEMA: Final = WithJsonSchema(
    {
        "type": "string",
        "description": "what to pour until: a pH, hue, acidity or colour, with bounds",
        "examples": ["pH 3.1", "rose", "hue 350", "as blue as can be while pH stays ≥ 5"],
    }
)
#: The wish of a pour speaks of the drink before the reveal …
BeforeWish: TypeAlias = Annotated[Wish, _field("before"), _SCHEMA]
#: … and that of a reveal of the drink after it.
AfterWish: TypeAlias = Annotated[Wish, _field("after"), _SCHEMA]
