"""Where a ray meets a surface of revolution, and how the surface stands there.

Belongs here: lines turned about the z axis as stacks of cone segments, their nearest crossing and
their normal. Does not belong here: which surfaces a glass has (scene.py), what light does at them
(rays.py).

Lengths in cm, z up, float64; a ray is origin + t direction with |direction| = 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from anthocard.facts.chemistry.liquid import Floats

Ints: TypeAlias = NDArray[np.intp]

NEAREST_CM = 1e-5  # a ray has left the surface it starts from
LEVEL_CM = 2e-4  # a flat part is tilted by this much: a plane is a cone of no use
RING, TOGETHER, FEW = 8, 2048, 48  # segments in a ring, rays together or few: by the clock
MARGIN_CM = 1e-3  # rings are wider by this, so that no rounding lets a ray slip past
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

    @cached_property
    def slope(self) -> tuple[Floats, Floats]:
        """Radius as slope times height plus offset, each (s,)."""
        rise = self.end[:, 1] - self.start[:, 1]
        slope = (self.end[:, 0] - self.start[:, 0]) / rise
        return slope, self.start[:, 0] - slope * self.start[:, 1]

    def crossing(self, origin: Floats, direction: Floats) -> tuple[Floats, Ints]:
        """Distance to the nearest segment along each of n rays, inf where there is none; which."""
        distance, which = np.full(len(origin), np.inf), np.zeros(len(origin), dtype=np.intp)
        if len(origin) <= FEW:  # looking for rings would take longer than they save
            met = _meeting(origin, direction, *self._lines)
            which = met.argmin(axis=1)
            return met[np.arange(len(origin)), which], which
        near = np.flatnonzero(self._near(origin, direction))
        for first in range(0, len(near), TOGETHER):
            rays = near[first : first + TOGETHER]
            o, d = origin[rays], direction[rays]
            ray, ring = np.nonzero(self._passed(o, d))
            if len(ray):
                met = _meeting(o[ray], d[ray], *(line[ring] for line in self._ringed))
                segment = met.argmin(axis=1)
                met = met[np.arange(len(ray)), segment]
                begins = np.flatnonzero(np.r_[True, ray[1:] != ray[:-1]])
                least = np.minimum.reduceat(met, begins)
                distance[rays[ray[begins]]] = least
                found = np.flatnonzero(met == np.repeat(least, np.diff(np.r_[begins, len(ray)])))
                which[rays[ray[found]]] = RING * ring[found] + segment[found]
        return distance, np.minimum(which, len(self.start) - 1)

    def normal(self, at: Floats, which: Ints) -> Floats:
        """Unit normals (n, 3) at points of the segments `which`; which side they show is open."""
        (r0, z0), (r1, z1) = self.start[which].T, self.end[which].T
        r = np.maximum(np.hypot(at[:, 0], at[:, 1]), 1e-9)
        flat = np.abs(r1 - r0) > np.abs(z1 - z0)
        share = np.where(flat, (r - r0) / np.where(flat, r1 - r0, 1.0), (at[:, 2] - z0) / (z1 - z0))
        share = np.clip(share, 0.0, 1.0)[:, np.newaxis]
        n = self.normal_start[which] * (1 - share) + self.normal_end[which] * share
        n /= np.linalg.norm(n, axis=1, keepdims=True)
        return np.stack([n[:, 0] * at[:, 0] / r, n[:, 0] * at[:, 1] / r, n[:, 1]], axis=1)

    @cached_property
    def _hull(self) -> tuple[float, float, float]:
        """Radius, least and most height of the cylinder around everything."""
        both = np.concatenate([self.start, self.end])
        return float(both[:, 0].max()), float(both[:, 1].min()), float(both[:, 1].max())

    def _near(self, o: Floats, d: Floats) -> NDArray[np.bool_]:
        """Which rays pass the cylinder around everything."""
        radius, low, high = self._hull
        with np.errstate(all="ignore"):
            a = d[:, 0] ** 2 + d[:, 1] ** 2
            b = o[:, 0] * d[:, 0] + o[:, 1] * d[:, 1]
            c = o[:, 0] ** 2 + o[:, 1] ** 2 - radius**2
            root = b * b - a * c
            wide = np.sqrt(np.maximum(root, 0.0))
            ends = np.sort([(low - o[:, 2]) / d[:, 2], (high - o[:, 2]) / d[:, 2]], axis=0)
            enter = np.maximum(np.maximum((-b - wide) / a, ends[0]), 0.0)
            leave = np.minimum((-b + wide) / a, ends[1])
            inside = (root >= 0) & (leave > enter - 1e-6)
        return np.asarray(inside | (a < 1e-12) | (np.abs(d[:, 2]) < 1e-12))

    @cached_property
    def _rings(self) -> tuple[Floats, Floats]:
        """Hollow cylinders, each around a few neighbouring segments: least and most radius and
        height, (g, 2) each.
        """
        firsts = np.arange(0, len(self.start), RING)
        low = np.minimum.reduceat(np.minimum(self.start, self.end), firsts, axis=0)
        high = np.maximum.reduceat(np.maximum(self.start, self.end), firsts, axis=0)
        low, high = low - MARGIN_CM, high + MARGIN_CM
        return low.astype(np.float32), high.astype(np.float32)

    @cached_property
    def _lines(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Slope, offset, least and most height of every segment, each (s,)."""
        low = np.minimum(self.start[:, 1], self.end[:, 1])
        return *self.slope, low, np.maximum(self.start[:, 1], self.end[:, 1])

    @cached_property
    def _ringed(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Slope, offset, least and most height of the segments in each ring, (g, RING) each; what
        is missing in the last ring is nowhere.
        """
        lines = self._lines
        lack = -len(self.start) % RING
        fill = (0.0, 0.0, np.inf, -np.inf)
        slope, offset, low, high = (
            np.append(line, np.full(lack, nothing)).reshape(-1, RING)
            for line, nothing in zip(lines, fill, strict=True)
        )
        return slope, offset, low, high

    def _passed(self, o: Floats, d: Floats) -> NDArray[np.bool_]:
        """Which rings (g,) each ray passes, (n, g): no segment of another can be crossed.

        Single precision will do, as rings are wider than their segments.
        """
        low, high = self._rings
        o, d = o.astype(np.float32), d.astype(np.float32)
        dz = np.where(np.abs(d[:, 2]) < 1e-9, np.float32(1e-9), d[:, 2])[:, np.newaxis]
        one, other = (low[:, 1] - o[:, 2:3]) / dz, (high[:, 1] - o[:, 2:3]) / dz
        enter = np.maximum(np.minimum(one, other), np.float32(0.0))
        leave = np.maximum(one, other)
        a = np.maximum(d[:, 0] ** 2 + d[:, 1] ** 2, np.float32(1e-12))[:, np.newaxis]
        b = (o[:, 0] * d[:, 0] + o[:, 1] * d[:, 1])[:, np.newaxis]
        c = (o[:, 0] ** 2 + o[:, 1] ** 2)[:, np.newaxis]
        middle = np.clip(-b / a, enter, np.maximum(enter, leave))
        nearest = (a * middle + 2 * b) * middle + c  # squared distance from the axis
        farthest = np.maximum((a * enter + 2 * b) * enter, (a * leave + 2 * b) * leave) + c
        passed = (leave >= enter) & (nearest <= high[:, 0] ** 2)
        return np.asarray(passed & (farthest >= np.maximum(low[:, 0], 0) ** 2))


def _meeting(
    o: Floats, d: Floats, m: Floats, c: Floats, low: Floats, high: Floats
) -> NDArray[np.float64]:
    """Distances (n, s) along n rays to s cones of radius m z + c between two heights, each (s,) or
    (n, s); inf where a ray meets none.
    """
    oz, dz = o[:, 2:3], d[:, 2:3]
    flat = (d[:, 0] ** 2 + d[:, 1] ** 2)[:, np.newaxis]
    cross = (o[:, 0] * d[:, 0] + o[:, 1] * d[:, 1])[:, np.newaxis]
    out = (o[:, 0] ** 2 + o[:, 1] ** 2)[:, np.newaxis]
    with np.errstate(all="ignore"):
        k = oz * m + c
        a = flat - (dz * dz) * (m * m)
        b = cross - k * (dz * m)
        cc = out - k * k
        q = b * b
        q -= a * cc
        np.sqrt(q, out=q)  # nan where the ray passes by: every comparison below is then false
        np.copysign(q, b, out=q)
        q += b
        np.negative(q, out=q)
        first, second = np.divide(q, a, out=a), np.divide(cc, q, out=cc)
        for t in (first, second):
            z = t * dz
            z += oz
            good = (t > NEAREST_CM) & (z >= low) & (z <= high)
            z *= m
            z += c
            good &= z > -1e-9  # the other half of the cone is not there
            t[~good] = np.inf
    return np.minimum(first, second, out=first)


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
