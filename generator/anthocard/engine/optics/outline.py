"""The inside of a glass as a line from the middle of its bottom to its rim, and what stands in it.

Belongs here: rounding what was measured, how high a volume stands, what is wrong with an outline.
Does not belong here: walls, stems and light (scene.py), drawings (the press).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from anthocard.house.settings import Glass

Point: TypeAlias = tuple[float, float]

SHARP_DEGREES = 50.0  # a turn sharper than this is a corner of the glass, not part of a curve
CORNER_MM = 4.0  # how far from a corner its rounding begins


@dataclass(frozen=True, slots=True)
class Defect:
    """What is wrong with an outline: a key, where (its point, from 0), why, a mend."""

    kind: str
    at: int
    why: str
    mend: str


def defects(glass: Glass, wall_mm: float) -> tuple[Defect, ...]:
    """What keeps a glass from being drawn; empty where nothing does.

    Heights must not fall, the line must not cross itself, and the wall must leave room inside: that
    of a glass without an outline too.
    """
    points = [(float(r), float(h)) for r, h in glass.outline or ()]
    found = []
    goes = 1.0  # how far outwards the level part until here goes: it begins in the middle
    for n, ((r0, h0), (r1, h1)) in enumerate(pairwise(points), 1):
        before, goes = goes, r1 - r0 if h1 == h0 else 0.0
        if before * goes < 0.0:
            found.append(
                Defect(
                    "outline-crosses", n,
                    f"at {h1:g} mm the outline turns back on itself, to a half-width of {r1:g} mm",
                    "list the points of the inside once, from the middle of the bottom to the rim",
                )
            )  # fmt: skip
        elif h1 < h0:
            found.append(
                Defect(
                    "outline-falls", n,
                    f"the outline falls from {h0:g} to {h1:g} mm, and so crosses itself",
                    "list the points of the inside from the bottom up",
                )
            )  # fmt: skip
        elif (r1, h1) == (r0, h0):
            found.append(Defect("outline-stays", n, "this point is the one before", "leave it out"))
        if r1 < 0:
            found.append(
                Defect("outline-crosses", n, f"a half-width of {r1:g} mm lies beyond the middle",
                      "write half-widths from the middle outwards"))  # fmt: skip
    if points and points[-1][1] <= points[0][1] and not found:
        found.append(
            Defect("outline-flat", len(points) - 1, "the outline never rises: it holds nothing",
                  "end with the rim: its half-width and its height over the bottom"))  # fmt: skip
    widest = max((r for r, _ in points), default=glass.width / 2.0)
    if wall_mm >= widest:
        found.append(
            Defect("wall-too-thick", 0,
                  f"a wall of {wall_mm:g} mm is thicker than half the glass, {widest:g} mm",
                  "write the thickness of the glass itself, 1 to 3 mm"))  # fmt: skip
    return tuple(found)


def plain(glass: Glass) -> Glass:
    """The same glass with straight walls, of its width, brim and stem: always drawable."""
    return glass.model_copy(update={"outline": None, "wall": None})


def glass_profile(glass: Glass) -> list[Point]:
    """The inside from the middle of the bottom to the rim, its corners rounded; mm."""
    if glass.outline is None:
        radius = glass.width / 2.0
        rim = glass.holds * 1000.0 / (math.pi * radius * radius)
        points: list[Point] = [(0.0, 0.0), (radius, 0.0), (radius, rim)]
    else:
        points = [(float(r), float(h)) for r, h in glass.outline]
        if points[0][0] > 0:
            points.insert(0, (0.0, points[0][1]))
    return [points[0], *_rounded(points), points[-1]]


def fill_height_mm(profile: list[Point], volume_ml: float) -> float:
    """Height at which `volume_ml` stands in a solid of revolution; the brim at most."""
    left_mm3 = volume_ml * 1000.0
    for (a, low), (b, high) in pairwise(profile):
        slice_mm3 = math.pi * (high - low) * (a * a + a * b + b * b) / 3.0
        if left_mm3 < slice_mm3:
            return low + _part_of_frustum(a, b, high - low, left_mm3)
        left_mm3 -= slice_mm3
    return profile[-1][1]


def near_level_ml(profile: list[Point], volume_ml: float, step_mm: float) -> float:
    """What stands at the nearest whole number of steps of height, at least one: the volume for a
    picture that cannot show less than a step.
    """
    height = max(1, round(fill_height_mm(profile, volume_ml) / step_mm)) * step_mm
    return min(brim_ml(list(_below(profile, height))), brim_ml(profile))


def brim_ml(profile: list[Point]) -> float:
    """What a profile (mm) holds to its rim, ml."""
    return sum(
        math.pi * (high - low) * (a * a + a * b + b * b) / 3000.0
        for (a, low), (b, high) in pairwise(profile)
    )


def toward(a: Point, b: Point, share: float) -> Point:
    """The point a `share` of the way from one to another."""
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _below(profile: list[Point], height: float) -> Iterator[Point]:
    """The part of a profile under a height, cut there."""
    for (a, low), (b, high) in pairwise(profile):
        if low >= height:
            return
        yield a, low
        top = min(high, height)
        if high > low:
            yield toward((a, low), (b, high), (top - low) / (high - low))


def _rounded(points: list[Point]) -> Iterator[Point]:
    """Replace each inner vertex by a quadratic curve: never overshoots what was measured."""
    for before, at, after in zip(points, points[1:], points[2:], strict=False):
        into, out = math.dist(before, at), math.dist(at, after)
        if not into or not out:
            continue
        turn = math.degrees(
            math.atan2(after[1] - at[1], after[0] - at[0])
            - math.atan2(at[1] - before[1], at[0] - before[0])
        )
        reach = CORNER_MM if abs((turn + 180) % 360 - 180) > SHARP_DEGREES else math.inf
        start = toward(at, before, min(reach, into / 2) / into)
        end = toward(at, after, min(reach, out / 2) / out)
        for step in range(9):
            t = step / 8
            yield toward(toward(start, at, t), toward(at, end, t), t)


def _part_of_frustum(a: float, b: float, height: float, volume_mm3: float) -> float:
    """Height of `volume_mm3` in a frustum: r^3 grows linearly with volume, so it is closed form."""
    if abs(b - a) < 1e-6:
        return volume_mm3 / (math.pi * a * a)
    slope = (b - a) / height
    radius = math.cbrt(a**3 + 3.0 * slope * volume_mm3 / math.pi)
    return (radius - a) / slope
