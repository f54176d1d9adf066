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
RING, TOGETHER, FEW = 5, 16384, 48  # segments in a ring, rays together or few: by the clock
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
            met = _meeting(_about_axis(origin, direction), *self._lines)
            return met.min(axis=0), met.argmin(axis=0)
        near = np.flatnonzero(self._near(origin, direction))
        for first in range(0, len(near), TOGETHER):
            rays = near[first : first + TOGETHER]
            distance[rays], which[rays] = self._nearest(_about_axis(origin[rays], direction[rays]))
        return distance, which

    def _nearest(self, rays: Floats) -> tuple[Floats, Ints]:
        """The same of rays (5, n) as `_about_axis` tells them, ring by ring: those are not looked
        at in which a ray comes only behind what it has met.
        """
        distance = np.full(rays.shape[1], np.inf)
        which = np.zeros(rays.shape[1], dtype=np.intp)
        enters = self._enters(rays.astype(np.float32))
        for ring, enter in enumerate(enters):
            passing = np.flatnonzero(enter < distance)
            if len(passing):
                part = slice(RING * ring, RING * (ring + 1))
                met = _meeting(rays[:, passing], *(line[part] for line in self._lines))
                least = met.min(axis=0)
                nearer = np.flatnonzero(least < distance[passing])
                rows = passing[nearer]
                distance[rows] = least[nearer]
                which[rows] = RING * ring + met[:, nearer].argmin(axis=0)
        return distance, which

    def normal(self, at: Floats, which: Ints) -> Floats:
        """Unit normals (n, 3) at points of the segments `which`; which side they show is open."""
        (r0, z0, r1, z1), (a0, b0, a1, b1) = (part[:, which] for part in self._ends)
        x, y, z = at.T
        r = np.maximum(np.hypot(x, y), 1e-9)
        flat = np.abs(r1 - r0) > np.abs(z1 - z0)
        share = np.where(flat, (r - r0) / np.where(flat, r1 - r0, 1.0), (z - z0) / (z1 - z0))
        share = np.clip(share, 0.0, 1.0)
        out, up = a0 + share * (a1 - a0), b0 + share * (b1 - b0)
        length = np.hypot(out, up)
        out /= length * r
        return np.stack([out * x, out * y, up / length], axis=1)

    @cached_property
    def _ends(self) -> tuple[Floats, Floats]:
        """Radius and height of both ends, and the normals there, (4, s) each."""
        ends = np.concatenate([self.start.T, self.end.T])
        return ends, np.concatenate([self.normal_start.T, self.normal_end.T])

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
        """Slope, offset, least and most height of every segment, each (s, 1)."""
        low = np.minimum(self.start[:, 1], self.end[:, 1])
        lines = *self.slope, low, np.maximum(self.start[:, 1], self.end[:, 1])
        slope, offset, low, high = (line[:, np.newaxis] for line in lines)
        return slope, offset, low, high

    def _enters(self, rays: Floats) -> Floats:
        """How far each ray goes until it may be in each ring, (g, n); inf where it passes by: no
        segment of that ring can be crossed.

        Single precision will do, as rings are wider than their segments.
        """
        low, high = (one[:, :, np.newaxis] for one in self._rings)
        z, dz, a, b, c = rays
        dz = np.where(np.abs(dz) < 1e-9, np.float32(1e-9), dz)
        one, other = (low[:, 1] - z) / dz, (high[:, 1] - z) / dz
        enter = np.maximum(np.minimum(one, other), np.float32(0.0))
        leave = np.maximum(one, other)
        a = np.maximum(a, np.float32(1e-12))
        middle = np.clip(-b / a, enter, np.maximum(enter, leave))
        nearest = (a * middle + 2 * b) * middle + c  # squared distance from the axis
        farthest = np.maximum((a * enter + 2 * b) * enter, (a * leave + 2 * b) * leave) + c
        passed = (leave >= enter) & (nearest <= high[:, 0] ** 2)
        passed &= farthest >= np.maximum(low[:, 0], 0) ** 2
        return np.asarray(np.where(passed, enter, np.float32(np.inf)))


def _about_axis(o: Floats, d: Floats) -> Floats:
    """Rays as surfaces of revolution meet them, (5, n): height and how it grows, and the squared
    distance from the axis as a parabola: its growth twice, once and not at all with the way.
    """
    x, y, z = o.T
    dx, dy, dz = d.T
    return np.stack([z, dz, dx * dx + dy * dy, x * dx + y * dy, x * x + y * y])


def _meeting(rays: Floats, m: Floats, c: Floats, low: Floats, high: Floats) -> NDArray[np.float64]:
    """Distances (s, n) along rays (5, n) to s cones of radius m z + c between two heights, each
    (s, 1); inf where a ray meets none.
    """
    oz, dz, flat, cross, out = rays
    with np.errstate(all="ignore"):
        k = oz * m
        k += c
        grows = dz * m
        a = flat - grows * grows
        b = cross - k * grows
        k *= k
        cc = out - k
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
    nearer: NDArray[np.float64] = np.minimum(first, second, out=first)
    return nearer


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
