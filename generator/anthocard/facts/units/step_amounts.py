"""What the steps of a kitchen are told in: yields, shares, ratios, °Brix, volumes of gas, aims.

Belongs here: reading one such text into a plain value. Does not belong here: amounts of an
ingredient (measures.py), times and temperatures (quantities.py), the rows that use these values.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from anthocard.facts.units.measures import Amount, checked, read_measure
from anthocard.facts.units.units import counted, folded
from anthocard.facts.units.written_numbers import MeasureError, number, positive

_PERCENT: Final = re.compile(r"\s*(?:%|per ?cent)\s*(?:vol\.?|abv|by weight)?\s*", re.I)
_OF: Final = re.compile(r"\s*(?P<what>acidity|acids|ph)\s+of\s+(?P<name>\S.*)", re.I)
_RATIO: Final = re.compile(
    r"\s*(?P<one>[0-9.,]+)\s*(?::|to)\s*(?P<other>[0-9.,]+)\s*(?:by weight)?", re.I
)

Sort: TypeAlias = Literal["acidity", "acids", "ph"]


@dataclass(frozen=True, slots=True)
class Share:
    """What comes out of a step: a share of what went in (unit “%”), or so many ml or g."""

    value: float
    unit: Literal["%", "ml", "g"]
    text: str


@dataclass(frozen=True, slots=True)
class Aim:
    """What a liquid is soured to: a figure (g/l as citric, or a pH), or that `of` another."""

    sort: Sort
    value: float | None
    of: str
    text: str


def parse_share(text: str) -> Share:
    """“75 %”, “660 ml”, “950 g”: what comes out. Raises MeasureError; over 100 % its own kind."""
    value, end = positive(text, 0)
    if _PERCENT.fullmatch(text, end):
        if value > 100.0:
            raise MeasureError(
                "yield-over-whole",
                f"“{text.strip()}” is more than went in",
                "write what came out over what went in: 100 % at most",
                0,
                len(text.rstrip()),
            )
        return Share(value, "%", text.strip())
    return _sized(text)


def _sized(text: str) -> Share:
    found = read_measure(text, frozenset({"volume", "mass"}))
    if text[found.end :].strip():
        raise _odd(text, 0, f"write only “{text[: found.end].strip()}”")
    unit: Literal["ml", "g"] = "ml" if found.unit.dimension == "volume" else "g"
    return Share(found.value * (found.unit.factor or 0.0), unit, text.strip())


def parse_thawed(text: str) -> Share:
    """“500 ml”, or “whole” where nothing is kept back. Raises MeasureError."""
    return Share(100.0, "%", "whole") if text.strip().lower() == "whole" else parse_share(text)


def parse_left(text: str) -> Share:
    """“to 300 ml”, “to 40 %”, “by 60 %”: what is left of a liquid. Raises MeasureError."""
    found = re.match(r"\s*(to|by)\s+", text, re.I)
    share = parse_share(text[found.end() :] if found else text)
    if found is None or found[1].lower() == "to":
        return Share(share.value, share.unit, text.strip())
    if share.unit != "%":
        raise _odd(text, 0, f"write what is left: “to {share.text}”")
    return Share(100.0 - share.value, "%", text.strip())


def parse_ratio(text: str) -> float:
    """“2:1”: how much of the one to one of the other, by weight. Raises MeasureError."""
    found = _RATIO.fullmatch(text)
    if found is None:
        raise _odd(text, 0, "write it as “2 to 1”")
    one, other = (number(part)[0] for part in (found["one"], found["other"]))
    if one <= 0.0 or other <= 0.0:
        raise _odd(text, 0, "neither side of a ratio is nothing")
    return one / other


def parse_brix(text: str) -> float:
    """“60 °Bx”, “60 Brix”, “60 % by weight”: sugar in 100 g, below 80. Raises MeasureError."""
    ends = r"°?\s*(bx|brix)|%( by weight)?"
    return _figure(text, ends, "°Bx", 80.0, "no syrup holds more than about 80 °Bx")


def parse_volumes(text: str) -> float:
    """“3.5 volumes”: CO2, litres of gas in a litre, up to 6. Raises MeasureError."""
    ends = r"(vol|vols|volume|volumes)( of co2)?\.?"
    return _figure(text, ends, "volumes", 6.0, "no bottle is charged to more than 6 volumes")


def parse_g_per_l(text: str) -> float:
    """“8 g/l”, “8 g per litre”: grams in a litre, up to 400. Raises MeasureError."""
    ends = r"g\s*(/|per)\s*(l|litre|liter)\.?"
    return _figure(text, ends, "g/l", 400.0, "no drink holds more than 400 g/l of acid")


def parse_aim(text: str) -> Aim:
    """“46 g/l”, “pH 2.6”, “acidity of lime juice”, “acids of …”, “pH of …”. Raises MeasureError."""
    other = _OF.fullmatch(text)
    if other is not None:
        sort: Sort = "acids" if other["what"].lower() == "acids" else "acidity"
        if other["what"].lower() == "ph":
            sort = "ph"
        return Aim(sort, None, " ".join(other["name"].split()), text.strip())
    if re.match(r"\s*ph\b", text, re.I):
        value, end = number(text, re.match(r"\s*ph\s*", text, re.I).end())  # type: ignore[union-attr]
        if text[end:].strip() or not 0.0 < value < 14.0:
            raise _odd(text, 0, "write it as “pH 2.6”")
        return Aim("ph", value, "", text.strip())
    return Aim("acidity", parse_g_per_l(text), "", text.strip())


def parse_lot(text: str) -> tuple[Amount, str]:
    """“2 kg lemons”, “12 lemons”, “30 g fresh mint”: an amount of a kitchen, and of what.

    A number alone counts pieces of what follows it. Up to a whole pack. Raises MeasureError.
    """
    value, end = positive(text, 0)
    rest = text[end:].strip()
    itself = counted().get(folded(rest))
    if itself is not None:
        return checked(Amount(value, "piece", text[:end].strip()), "pack", text), itself
    try:
        found = read_measure(text, frozenset({"volume", "own", "mass", "count", "unmeasured"}))
    except MeasureError as error:
        if error.kind not in ("missing-unit", "unknown-unit") or not re.match(r"[^\W\d_]", rest):
            raise
        amount = Amount(value, "piece", text[:end].strip())
        return checked(amount, "pack", text), " ".join(rest.split())
    name = re.sub(r"^of\s+", "", text[found.end :].strip(" \t,"), flags=re.IGNORECASE)
    if not name:
        raise MeasureError(
            "missing-name", f"“{text.strip()}” says how much, but not of what",
            f"write what it is, such as “{text.strip()} lemons”", 0, len(text),
        )  # fmt: skip
    amount = Amount(found.value, found.unit.key, text[: found.end].strip())
    return checked(amount, "pack", text), " ".join(name.split())


def name_of(text: str) -> str:
    """What a line is of, where it may be a name alone: “500 g sugar”, “sugar”."""
    try:
        return parse_lot(text)[1]
    except MeasureError:
        return text


def parse_powder(text: str) -> tuple[float, str]:
    """“2 parts citric acid”, or the name alone: parts and what of. Raises MeasureError."""
    if not re.match(r"\s*[0-9½¼¾]", text):
        return 1.0, " ".join(text.split())
    value, end = positive(text, 0)
    found = re.match(r"\s*parts?\s+(of\s+)?(?=\S)", text[end:], re.I)
    if found is None:
        raise _odd(text, end, "write “2 parts citric acid”, or the name alone")
    return value, " ".join(text[end + found.end() :].split())


def _figure(text: str, ends: str, unit: str, most: float, mend: str) -> float:
    """A figure above nothing that `ends` in its unit, or in another word for it."""
    value, end = positive(text, 0)
    if re.fullmatch(rf"\s*({ends})\s*", text[end:], re.I) is None:
        raise _odd(text, 0, f"write “{text[:end].strip()} {unit}”")
    if value > most:
        raise _odd(text, 0, mend)
    return value


def _odd(text: str, at: int, mend: str) -> MeasureError:
    shown = text[at:].strip() or text.strip()
    start = text.find(shown)
    return MeasureError("wrong-form", f"“{shown}” cannot be read here", mend, start, len(shown))
