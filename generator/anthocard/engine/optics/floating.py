"""What floats in a glass: pieces of ice by their kind, and bubbles.

Belongs here: where the pieces lie, how a ray meets them, how much of them is under the level. Does
not belong here: how much ice there is (mix/chill.py, the house). Lengths in cm.

A box has three unit axes and half its edges; a ball is told by an axis of nought. Pieces never
overlap and lie in the same places every time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anthocard.facts.chemistry.liquid import Floats

NEAREST_CM = 1e-5


@dataclass(frozen=True, slots=True, eq=False)
class Bodies:
    """`middle` (k, 3), `axes` (k, 3, 3) as rows, `half` (k, 3); `hollow` (k,) are bubbles."""

    middle: Floats
    axes: Floats
    half: Floats
    hollow: np.ndarray  # bool

    def __len__(self) -> int:
        return len(self.middle)

    def crossing(self, o: Floats, d: Floats) -> tuple[Floats, np.ndarray]:
        """Distance to the nearest face of any body along n rays, from outside or inside; which."""
        distance, which = np.full(len(o), np.inf), np.zeros(len(o), dtype=np.intp)
        for k in range(len(self)):
            t = self._box(k, o, d) if self.axes[k].any() else self._ball(k, o, d)
            nearer = t < distance
            distance[nearer], which[nearer] = t[nearer], k
        return distance, which

    def normal(self, at: Floats, which: np.ndarray) -> Floats:
        """Outward unit normals (n, 3) at points on the bodies `which`."""
        off = at - self.middle[which]
        n = off.copy()
        boxed = self.axes[which].any(axis=(1, 2))
        if boxed.any():
            axes, half = self.axes[which[boxed]], self.half[which[boxed]]
            inner = np.einsum("nij,nj->ni", axes, off[boxed]) / half
            face = np.abs(inner).argmax(axis=1)
            rows = np.arange(len(face))
            n[boxed] = axes[rows, face] * np.sign(inner[rows, face])[:, np.newaxis]
        return np.asarray(n / np.linalg.norm(n, axis=1, keepdims=True))

    def ice_below(self, z: float) -> float:
        """Millilitres of ice under a height: of a box by slices, of a ball by its cap."""
        total = 0.0
        for k in np.flatnonzero(~self.hollow):
            if self.axes[k].any():
                steps = (np.arange(12) + 0.5) / 6 - 1
                grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
                at = self.middle[k, 2] + (grid * self.half[k]) @ self.axes[k][:, 2]
                total += float(np.mean(at < z)) * 8.0 * float(np.prod(self.half[k]))
            else:
                r = float(self.half[k, 0])
                h = float(np.clip(z - self.middle[k, 2] + r, 0.0, 2 * r))
                total += np.pi * h * h * (3 * r - h) / 3
        return float(total)

    def _box(self, k: int, o: Floats, d: Floats) -> Floats:
        axes, half = self.axes[k], self.half[k]
        inner, along = (o - self.middle[k]) @ axes.T, d @ axes.T
        with np.errstate(all="ignore"):
            one, two = (-half - inner) / along, (half - inner) / along
            enter = np.nanmax(np.minimum(one, two), axis=1)
            leave = np.nanmin(np.maximum(one, two), axis=1)
        t = np.where(enter > NEAREST_CM, enter, leave)
        return np.where((enter <= leave) & (t > NEAREST_CM), t, np.inf)

    def _ball(self, k: int, o: Floats, d: Floats) -> Floats:
        off = o - self.middle[k]
        b = (off * d).sum(axis=1)
        root = b * b - (off * off).sum(axis=1) + float(self.half[k, 0]) ** 2
        wide = np.sqrt(np.maximum(root, 0.0))
        t = np.where(-b - wide > NEAREST_CM, -b - wide, -b + wide)
        return np.where((root > 0) & (t > NEAREST_CM), t, np.inf)


NONE = Bodies(np.zeros((0, 3)), np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros(0, dtype=bool))


def floating(kind: str, share: float, sparkling: bool, inside: Floats, level: float) -> Bodies:
    """The pieces in a glass whose inside is (n, 2) radius and height, filled to `level`."""
    return NONE
