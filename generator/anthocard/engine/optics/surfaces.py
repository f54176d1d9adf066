"""Media and the surfaces between them, as rays meet them: lines turned about the z axis.

Belongs here: lines as stacks of cone segments, how smooth they are, and how they lie for a tracer.
Does not belong here: which surfaces a glass has (scene.py), rays (tracer.py). Lengths in cm, z up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from anthocard.facts.chemistry.liquid import Floats

Ints: TypeAlias = NDArray[np.intp]
Bools: TypeAlias = NDArray[np.bool_]

#: Further liquids count on from LIQUID, upwards in a glass.
AIR, GLASS, ICE, FOAM, FROZEN, LIQUID = range(6)
INSIDE = -1  # behind a body in it is whatever fills the bowl there

LEVEL_CM = 2e-4  # a flat part is tilted by this much: a plane is a cone of no use
MARGIN_CM = 1e-3  # shells are wider by this, so that no rounding lets a ray slip past
CORNER_COS = float(np.cos(np.radians(40.0)))  # sharper turns stay corners, others are smooth
STRAIGHT = 3.0  # a part so many times as long as its neighbour is straight, not a step of a curve


@dataclass(frozen=True, eq=False)
class Surface:
    """A line (n, 2) of radius and height, cm, turned about z, between two media."""

    line: Floats
    media: tuple[int, int]


@dataclass(frozen=True, eq=False)
class Skin:
    """Every surface seen from inside one medium, as cone segments.

    `start`, `end` (s, 2) are radius and height, `normal_start`, `normal_end` (s, 2) the smoothed
    normals there, `of` the number of each segment's surface, `beyond` the medium behind it.
    """

    start: Floats
    end: Floats
    normal_start: Floats
    normal_end: Floats
    of: Ints
    beyond: Ints

    def __len__(self) -> int:
        return len(self.start)


class Solids(NamedTuple):
    """All that rays meet in a scene, as columns.

    Cone segments (s, …) lie by the medium they are seen from: those of medium m from `first[m]` to
    before `first[m + 1]`. `shells` (4, s) are the squares of least and most radius and the heights
    of a hollow cylinder around each, a little wider; `lines` (s, 4) slope and offset of the radius
    over the height, least and most height; `ends` (s, 4) radius and height of both ends, `normals`
    (s, 4) those there, outwards and upwards. `beyond` (s,) is the medium behind, `wall` (s,)
    whether a wall stands between. Bodies are `boxed` (k,) or balls, `middle` (k, 3), `axes`
    (k, 3, 3), `half` (k, 3) and `body` (k,), the medium in them. `indices` are by medium, `levels`
    the heights of the liquids from below, `foam_top` where foam on them ends.
    """

    first: Ints
    shells: Floats
    lines: Floats
    ends: Floats
    normals: Floats
    beyond: Ints
    wall: Bools
    boxed: Bools
    middle: Floats
    axes: Floats
    half: Floats
    body: Ints
    indices: Floats
    levels: Floats
    foam_top: float


def segments_of(skins: Mapping[int, Skin], walls: Bools) -> tuple[Any, ...]:
    """The first columns of `Solids`: the segments of skins by medium, which of the surfaces
    are `walls`.
    """
    empty = Skin(*(np.zeros((0, 2)),) * 4, *(np.zeros(0, dtype=np.intp),) * 2)
    seen = [skins.get(medium, empty) for medium in range(max(skins) + 1)]
    start, end, normal_start, normal_end, of, beyond = (
        np.concatenate([getattr(one, field.name) for one in seen]) for field in fields(Skin)
    )
    low, high = np.minimum(start, end), np.maximum(start, end)
    slope = (end[:, 0] - start[:, 0]) / (end[:, 1] - start[:, 1])
    lines = np.stack([slope, start[:, 0] - slope * start[:, 1], low[:, 1], high[:, 1]], axis=1)
    return (
        np.cumsum([0, *map(len, seen)]), _shells(low, high), lines,
        np.concatenate([start, end], axis=1), np.concatenate([normal_start, normal_end], axis=1),
        beyond, walls[of],
    )  # fmt: skip


def _shells(low: Floats, high: Floats) -> Floats:
    """Hollow cylinders (n, 4) a little wider than what lies between two radii and heights."""
    least, most = low[:, 0] - MARGIN_CM, high[:, 0] + MARGIN_CM
    least = np.where(least > 0.0, least**2, -1.0)  # one that is full to its axis lets nothing by
    return np.stack([least, most**2, low[:, 1] - MARGIN_CM, high[:, 1] + MARGIN_CM])


def skin_of(surfaces: Sequence[Surface], medium: int) -> Skin:
    """What is seen from inside `medium`: all surfaces that border on it."""
    parts = []
    for number, surface in enumerate(surfaces):
        if medium in surface.media:
            one, other = surface.media
            beyond = other if one == medium else one
            start, end, n0, n1 = _segments(surface.line)
            count = len(start)
            parts.append((start, end, n0, n1, np.full(count, number), np.full(count, beyond)))
    return Skin(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _segments(line: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    start, end = line[:-1].copy(), line[1:].copy()
    along = end - start
    length = np.hypot(along[:, 0], along[:, 1])
    n = np.stack([along[:, 1], -along[:, 0]], axis=1) / length[:, np.newaxis]
    n0, n1 = n.copy(), n.copy()
    for i in np.flatnonzero((n[:-1] * n[1:]).sum(axis=1) > CORNER_COS):
        # Each normal weighted by the other's length: right for a curve sampled unevenly. Where a
        # straight part meets a curve it stays straight to its end, or a level bottom is a lens.
        middle = n[i] * length[i + 1] + n[i + 1] * length[i]
        longer = length[i] / length[i + 1]
        if not 1.0 / STRAIGHT < longer < STRAIGHT:
            middle = n[i] if longer > 1.0 else n[i + 1]
        n1[i] = n0[i + 1] = middle / np.linalg.norm(middle)
    for place, edge in ((0, n0), (-1, n1)):  # on the axis a surface is level
        if (start if place == 0 else end)[place, 0] < 1e-9 and abs(n[place, 1]) > 0.5:
            edge[place] = (0.0, np.sign(n[place, 1]))
    flat = np.abs(end[:, 1] - start[:, 1]) < LEVEL_CM
    end[flat, 1] = start[flat, 1] + LEVEL_CM
    return start, end, n0, n1
