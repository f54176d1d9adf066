"""The marks laid over a colour, one kind a family of hues, so that colour is never the only cue.

Belongs here: how each pattern of the names table is drawn. Does not belong here: which family a
colour is of (facts.names). Every pattern is plain lines, never an SVG tiling, which viewers differ
on; two drawings of one pattern line up because all count from zero.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

Box = tuple[float, float, float, float]  # left, top, right, bottom in mm

STEP = 5.0  # mm between two marks: told apart at arm's length on a glass 20 mm wide in print


def draw_marks(pattern: str, box: Box) -> str:
    """SVG path data covering `box` with `pattern`; KeyError for a pattern nobody drew."""
    return "".join(PATTERNS[pattern](box))


def _plain(box: Box) -> Iterator[str]:
    yield from ()


def _level(box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    return (f"M{left:g} {y:g}H{right:g}" for y in _steps(top, bottom))


def _upright(box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    return (f"M{x:g} {top:g}V{bottom:g}" for x in _steps(left, right))


def _squares(box: Box) -> Iterator[str]:
    yield from _level(box)
    yield from _upright(box)


def _rising(box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    # x + y stays the same along a rising line, because y counts downwards.
    return (
        f"M{c - bottom:g} {bottom:g}L{c - top:g} {top:g}"
        for c in _slant(left + top, right + bottom)
    )


def _falling(box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    return (
        f"M{c + top:g} {top:g}L{c + bottom:g} {bottom:g}"
        for c in _slant(left - bottom, right - top)
    )


def _lattice(box: Box) -> Iterator[str]:
    yield from _rising(box)
    yield from _falling(box)


def _dots(box: Box) -> Iterator[str]:
    return (f"M{x - 0.6:g} {y:g}a.6 .6 0 1 0 1.2 0a.6 .6 0 1 0 -1.2 0" for x, y in _staggered(box))


def _rings(box: Box) -> Iterator[str]:
    return (f"M{x - 1.5:g} {y:g}a1.5 1.5 0 1 0 3 0a1.5 1.5 0 1 0 -3 0" for x, y in _staggered(box))


def _dashes(box: Box) -> Iterator[str]:
    return (f"M{x - 1.5:g} {y:g}h3" for x, y in _staggered(box))


def _bricks(box: Box) -> Iterator[str]:
    yield from _level(box)
    yield from (f"M{x:g} {y:g}v{STEP:g}" for x, y in _staggered(box))


def _zigzag(box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    for y in _steps(top, bottom + STEP):
        xs = _steps(left - STEP, right + STEP)
        points = [f"{x:g} {y - (2.2 if round(x / STEP) % 2 else 0):g}" for x in xs]
        yield "M" + "L".join(points)


def _waves(box: Box) -> Iterator[str]:
    left, top, right, bottom = box
    for y in _steps(top, bottom + STEP):
        xs = _steps(left - STEP, right + STEP)
        yield f"M{xs[0]:g} {y:g}" + "".join(
            f"q{STEP / 2:g} {-1.8 if round(x / STEP) % 2 else 1.8:g} {STEP:g} 0" for x in xs
        )


def _staggered(box: Box) -> Iterator[tuple[float, float]]:
    left, top, right, bottom = box
    for y in _steps(top - STEP, bottom):
        shift = STEP / 2 if round(y / STEP) % 2 else 0.0
        for x in _steps(left - STEP, right + STEP):
            yield x + shift, y


def _steps(low: float, high: float) -> list[float]:
    return [i * STEP for i in range(math.ceil(low / STEP), math.floor(high / STEP) + 1)]


def _slant(low: float, high: float) -> list[float]:
    """Offsets of slanting lines: √2 further apart, so that their distance is STEP as well."""
    apart = STEP * math.sqrt(2)
    first, last = math.ceil(low / apart), math.floor(high / apart)
    return [round(i * apart, 3) for i in range(first, last + 1)]


PATTERNS = {
    "plain": _plain,
    "lines-across": _level,
    "upright-lines": _upright,
    "squares": _squares,
    "rising-lines": _rising,
    "falling-lines": _falling,
    "lattice": _lattice,
    "dots": _dots,
    "rings": _rings,
    "dashes": _dashes,
    "bricks": _bricks,
    "zigzag": _zigzag,
    "waves": _waves,
}
