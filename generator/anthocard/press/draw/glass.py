"""Draw a glass from its measured outline, filled to the computed volume with the computed colour.

Belongs here: the line of a glass and its filling as a drawing, the marks that stand beside a
colour. Does not belong here: its shape and level (engine/optics/outline.py), which
colour or volume (the engine), or any word (card.py).

Drawings are SVG in millimetres, flat colours only, so that every PDF viewer shows the same.
"""

from __future__ import annotations

import math
from functools import lru_cache
from html import escape
from itertools import pairwise

from anthocard.engine.optics.outline import Point, fill_height_mm, glass_profile, toward
from anthocard.house.settings import Glass
from anthocard.press.draw.patterns import Box, draw_marks

SCALE = 0.8  # CSS pixels a millimetre where a style gives no size: glasses keep their proportions
WALL = 0.016  # drawn line of the glass over its height: the same weight for thimble and flute
GAP = 0.6  # air between that line and the liquid over the line's width: neither tints the other


def draw_glass(
    glass: Glass, volume_ml: float, hex_: str, pattern: str, title: str, key: str
) -> str:
    """An SVG figure of `glass` holding `volume_ml` of colour `hex_` ("#rrggbb").

    `pattern` is one of the names table, `title` the words a
    screen reader speaks, `key` a unique id on the page. The line is drawn in `currentColor`.
    Without a colour only the level is drawn, in dashes: nobody can tell it.
    """
    profile = glass_profile(glass)
    top = profile[-1][1]
    wall = WALL * (top + glass.stem)
    gap = GAP * wall
    widest = max(r for r, _ in profile) + gap + wall
    foot = gap + wall / 2 + glass.stem
    left, above, wide, tall = -widest, -top - wall, 2 * widest, top + foot + 2 * wall
    level = fill_height_mm(profile, volume_ml)
    liquid = filled_to(profile, level)
    rim = f'cx="0" cy="{_n(-level)}" rx="{_n(liquid[-1][0])}" ry="{_n(liquid[-1][0] * 0.09)}"'
    line = f'fill="none" stroke="currentColor" stroke-width="{_n(wall)}" stroke-linecap="round"'
    outline, inside = _outline(glass, gap + wall / 2), _closed(liquid)
    filling = [
        f'<defs><clipPath id="{key}"><path d="{inside}"/></clipPath></defs>',
        f'<path d="{inside}" fill="{hex_}"/>',
        _marks(pattern, surface_box(liquid), key),
        f'<ellipse {rim} fill="{hex_}"/><ellipse {rim} fill="#ffffff" fill-opacity="0.28"/>',
    ]
    dashes = f'<ellipse {rim} {line} stroke-dasharray="{_n(2 * wall)} {_n(2 * wall)}"/>'
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" class="glass"'
        f' viewBox="{_n(left)} {_n(above)} {_n(wide)} {_n(tall)}"'
        f' width="{_n(wide * SCALE)}" height="{_n(tall * SCALE)}"><title>{escape(title)}</title>',
        *(filling if hex_ else (dashes,)),
        f'<path d="{outline}" {line} stroke-linejoin="round"/>',
    ]
    if glass.stem:
        half = 0.58 * max(r for r, _ in profile)
        start = foot - glass.stem
        parts.append(
            f'<path d="M0 {_n(start)}V{_n(foot)}M{_n(-half)} {_n(foot)}H{_n(half)}" {line}/>'
        )
    return "".join(parts) + "</svg>"


def draw_chip(hex_: str, pattern: str, title: str, key: str) -> str:
    """A round swatch for a liquid that has no glass: an infusion, a solution, a syrup."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" class="chip" viewBox="-30 -30 60 60"'
        f' width="60" height="60"><title>{escape(title)}</title>'
        f'<defs><clipPath id="{key}"><circle r="29"/></clipPath></defs>'
        f'<circle r="29" fill="{hex_}"/>{_marks(pattern, (-30, -30, 30, 30), key)}'
        '<circle r="29" fill="none" stroke="currentColor" stroke-width="1"/></svg>'
    )


@lru_cache(maxsize=128)
def _outline(glass: Glass, away: float) -> str:
    """The path of its wall, so many mm outside of what it holds."""
    return outline_path(glass_wall(glass_profile(glass), away))


def surface_box(liquid: list[Point]) -> Box:
    """The left, top, right and bottom of a filled profile in drawing coordinates, mm."""
    half = max(r for r, _ in liquid)
    return -half, -liquid[-1][1], half, -liquid[0][1]


def _marks(pattern: str, box: Box, key: str) -> str:
    return (
        f'<g clip-path="url(#{key})"><path d="{draw_marks(pattern, box)}" fill="none"'
        ' stroke="#ffffff" stroke-opacity="0.55" stroke-width="0.55"/></g>'
    )


def glass_wall(profile: list[Point], away: float) -> list[Point]:
    """The profile moved outwards by `away`, and its lowest part down by as much."""
    bottom = profile[0][1]
    return [
        (r + away if r else 0.0, h - away * max(0.0, 1 - (h - bottom) / 6.0)) for r, h in profile
    ]


def thinned(points: list[Point], within_mm: float) -> list[Point]:
    """The fewest of `points` whose line stays within a distance of all of them.

    Ramer 1972, Douglas and Peucker 1973: keep the farthest from the chord, look at both halves.
    """
    (x0, y0), (x1, y1) = points[0], points[-1]
    chord = math.hypot(x1 - x0, y1 - y0) or 1.0
    away = [abs((x1 - x0) * (y0 - y) - (x0 - x) * (y1 - y0)) / chord for x, y in points]
    farthest = max(range(len(points)), key=away.__getitem__)
    if away[farthest] <= within_mm or len(points) < 3:
        return [points[0], points[-1]]
    first = thinned(points[: farthest + 1], within_mm)
    return [*first[:-1], *thinned(points[farthest:], within_mm)]


def filled_to(profile: list[Point], level: float) -> list[Point]:
    """The part of a profile below a level, closed at it; heights in mm."""
    liquid = [p for p in profile if p[1] <= level]
    for a, b in pairwise(profile):
        if a[1] <= level < b[1]:
            liquid.append(toward(a, b, (level - a[1]) / (b[1] - a[1])))
            break
    return liquid


def outline_path(points: list[Point]) -> str:
    """SVG path data of a half outline and its mirror image, from rim to rim."""
    left = [(-r, h) for r, h in reversed(points) if r]
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in [*left, *points])


def _closed(points: list[Point]) -> str:
    return outline_path(points) + "Z"


def _n(value: float) -> str:
    """A number as short as SVG allows: hundredths of a millimetre."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")
