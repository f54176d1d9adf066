"""The same course of colour in inks: gradients cut so finely that each ink runs straight.

Belongs here: functions of types 2 and 3 (ISO 32000-1 §7.10), all that WeasyPrint writes. Does not
belong here: where shadings stand in a file (conversion.py). Hard stops stay hard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any, NamedTuple

from anthocard.diagnostics.tables import read_table
from anthocard.press.plates.inks import Cmyk, Inks, Rgb


class Segment(NamedTuple):
    """A straight piece of a course: where it begins and ends, and the colours there."""

    start: float
    end: float
    first: tuple[float, ...]
    last: tuple[float, ...]


def pieces(function: Any) -> list[Segment]:
    """The straight pieces of a function of one variable. Raises ValueError for another kind."""
    low, high = (float(v) for v in function.Domain)
    if function.FunctionType == 2:
        return [Segment(low, high, _at(function, low), _at(function, high))]
    if function.FunctionType != 3:
        raise ValueError(f"a gradient by a function of type {function.FunctionType}")
    edges = [low, *(float(v) for v in function.Bounds), high]
    made = []
    for number, (start, end) in enumerate(pairwise(edges)):
        if end > start:
            inner = function.Functions[number]
            coded = (float(function.Encode[2 * number + side]) for side in (0, 1))
            made.append(Segment(start, end, *(_at(inner, at) for at in coded)))
    return made


def in_inks(course: list[Segment], inks: Inks) -> list[Segment]:
    """The same course in inks, each piece halved until no ink strays from its straight line."""
    table = read_table(__package__, "inks.yaml")["shading"]
    straight, halvings = float(table["straight"]["value"]), int(table["halvings"]["value"])

    def halved(piece: Segment, left: int) -> Iterator[Segment]:
        middle = tuple((a + b) / 2 for a, b in zip(piece.first, piece.last, strict=True))
        first, half, last = (_inks(inks, one) for one in (piece.first, middle, piece.last))
        off = max(abs((a + b) / 2 - m) for a, m, b in zip(first, half, last, strict=True))
        if off <= straight or not left:
            yield Segment(piece.start, piece.end, first, last)
            return
        at = (piece.start + piece.end) / 2
        yield from halved(Segment(piece.start, at, piece.first, middle), left - 1)
        yield from halved(Segment(at, piece.end, middle, piece.last), left - 1)

    return [part for piece in course for part in halved(piece, halvings)]


def written(course: list[Segment], dictionary: Callable[..., Any]) -> Any:
    """A course as a function of type 3; `dictionary` makes one of pikepdf's from its keys."""
    inner = [
        dictionary(FunctionType=2, Domain=[0, 1], C0=[*one.first], C1=[*one.last], N=1)
        for one in course
    ]
    return dictionary(
        FunctionType=3,
        Domain=[course[0].start, course[-1].end],
        Functions=inner,
        Bounds=[round(one.end, 6) for one in course[:-1]],
        Encode=[0, 1] * len(course),
    )


def _inks(inks: Inks, colour: tuple[float, ...]) -> Cmyk:
    rgb: Rgb = (colour[0], colour[1], colour[2])
    return inks(rgb, "shading")


def _at(function: Any, where: float) -> tuple[float, ...]:
    """A function of type 2 at a place: C0 + x^N (C1 - C0). Raises ValueError for another."""
    if function.FunctionType != 2:
        raise ValueError("a gradient of gradients")
    part = where ** float(function.N)
    ends = zip(function.C0, function.C1, strict=True)
    return tuple(float(a) + part * (float(b) - float(a)) for a, b in ends)
