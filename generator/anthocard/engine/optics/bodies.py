"""Bodies that lie in a drink, as light meets them: boxes and balls.

Belongs here: their nearest crossing, their normals, how much of them is under a height. Does not
belong here: where they lie (floating.py), what light does at them (rays.py). Lengths in cm.

A box has three unit axes and half its edges; a ball is told by an axis of nought.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from anthocard.facts.chemistry.liquid import Floats

NEAREST_CM = 1e-5


@dataclass(frozen=True, eq=False)
class Bodies:
    """`middle` (k, 3), `axes` (k, 3, 3) as rows, `half` (k, 3); which (k,) are `frozen` reveals."""

    middle: Floats
    axes: Floats
    half: Floats
    frozen: np.ndarray  # bool

    def __len__(self) -> int:
        return len(self.middle)

    def crossing(self, o: Floats, d: Floats) -> tuple[Floats, np.ndarray]:
        """Distance to the nearest face of any body along n rays, from outside or inside; which."""
        distance, which = np.full(len(o), np.inf), np.zeros(len(o), dtype=np.intp)
        for met, meet in ((self._boxed, self._box), (~self._boxed, self._ball)):
            ray, body = np.nonzero(self._near(o, d) & met)
            t = meet(body, o[ray], d[ray])
            order = np.argsort(-t, kind="stable")  # so that the nearest is written last
            distance_of, of = np.full(len(o), np.inf), np.zeros(len(o), dtype=np.intp)
            distance_of[ray[order]], of[ray[order]] = t[order], body[order]
            nearer = distance_of < distance
            distance[nearer], which[nearer] = distance_of[nearer], of[nearer]
        return distance, which

    @cached_property
    def _boxed(self) -> np.ndarray:
        return np.asarray(self.axes.any(axis=(1, 2)))

    @cached_property
    def _reach(self) -> Floats:
        """Squared radius (k,) of the ball around each."""
        return np.where(self._boxed, (self.half**2).sum(axis=1), self.half[:, 0] ** 2)

    def normal(self, at: Floats, which: np.ndarray) -> Floats:
        """Outward unit normals (n, 3) at points on the bodies `which`."""
        off = at - self.middle[which]
        n = off.copy()
        boxed = self._boxed[which]
        if boxed.any():
            axes, half = self.axes[which[boxed]], self.half[which[boxed]]
            inner = np.einsum("nij,nj->ni", axes, off[boxed]) / half
            face = np.abs(inner).argmax(axis=1)
            rows = np.arange(len(face))
            n[boxed] = axes[rows, face] * np.sign(inner[rows, face])[:, np.newaxis]
        return np.asarray(n / np.sqrt(dots(n, n))[:, np.newaxis])

    def ice_below(self, z: float) -> float:
        """Millilitres of ice under a height: of a box by slices, of a ball by its cap."""
        total = 0.0
        for k in range(len(self)):
            if self._boxed[k]:
                steps = (np.arange(12) + 0.5) / 6 - 1
                grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
                at = self.middle[k, 2] + (grid * self.half[k]) @ self.axes[k][:, 2]
                total += float(np.mean(at < z)) * 8.0 * float(np.prod(self.half[k]))
            else:
                r = float(self.half[k, 0])
                h = float(np.clip(z - self.middle[k, 2] + r, 0.0, 2 * r))
                total += np.pi * h * h * (3 * r - h) / 3
        return float(total)

    def _near(self, o: Floats, d: Floats) -> np.ndarray:
        """Which rays pass the ball around which body, ahead of them, (n, k)."""
        middle = self.middle.T
        along = d @ middle - dots(o, d)[:, np.newaxis]
        off = (middle * middle).sum(axis=0) - 2.0 * (o @ middle) + dots(o, o)[:, np.newaxis]
        return np.asarray(
            (off - along * along <= self._reach + 1e-9) & (along > -np.sqrt(self._reach))
        )

    def _box(self, k: np.ndarray, o: Floats, d: Floats) -> Floats:
        axes, half = self.axes[k], self.half[k]
        inner = np.einsum("nij,nj->ni", axes, o - self.middle[k])
        along = np.einsum("nij,nj->ni", axes, d)
        with np.errstate(all="ignore"):
            one, two = (-half - inner) / along, (half - inner) / along
            enter = np.nanmax(np.fmin(one, two), axis=1)
            leave = np.nanmin(np.fmax(one, two), axis=1)
        t = np.where(enter > NEAREST_CM, enter, leave)
        return np.where((enter <= leave) & (t > NEAREST_CM), t, np.inf)

    def _ball(self, k: np.ndarray, o: Floats, d: Floats) -> Floats:
        off = o - self.middle[k]
        b = dots(off, d)
        root = b * b - dots(off, off) + self.half[k, 0] ** 2
        wide = np.sqrt(np.maximum(root, 0.0))
        t = np.where(-b - wide > NEAREST_CM, -b - wide, -b + wide)
        return np.where((root > 0) & (t > NEAREST_CM), t, np.inf)


def dots(one: Floats, other: Floats) -> Floats:
    """The scalar products of rows, (n, 3) each: (n,)."""
    return np.asarray(np.einsum("ij,ij->i", one, other))


NONE = Bodies(np.zeros((0, 3)), np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros(0, dtype=bool))
