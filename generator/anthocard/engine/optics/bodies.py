"""Bodies that lie in a drink, as light meets them: boxes and balls.

Belongs here: their shapes, how much of them is under a height. Does not belong here: where they lie
(floating.py), where rays meet them (tracer.py). Lengths in cm.

A box has three unit axes and half its edges; a ball is told by an axis of nought.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anthocard.engine.optics.surfaces import Bools
from anthocard.facts.chemistry.liquid import Floats


@dataclass(frozen=True, eq=False)
class Bodies:
    """`middle` (k, 3), `axes` (k, 3, 3) as rows, `half` (k, 3); which (k,) are `frozen` reveals."""

    middle: Floats
    axes: Floats
    half: Floats
    frozen: Bools

    def __len__(self) -> int:
        return len(self.middle)

    @property
    def boxed(self) -> Bools:
        """Which (k,) are boxes."""
        return np.asarray(self.axes.any(axis=(1, 2)))

    def ice_below(self, z: float) -> float:
        """Millilitres of ice under a height: of a box by slices, of a ball by its cap."""
        total = 0.0
        for k in range(len(self)):
            if self.boxed[k]:
                steps = (np.arange(12) + 0.5) / 6 - 1
                grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
                at = self.middle[k, 2] + (grid * self.half[k]) @ self.axes[k][:, 2]
                total += float(np.mean(at < z)) * 8.0 * float(np.prod(self.half[k]))
            else:
                r = float(self.half[k, 0])
                h = float(np.clip(z - self.middle[k, 2] + r, 0.0, 2 * r))
                total += np.pi * h * h * (3 * r - h) / 3
        return float(total)


NONE = Bodies(np.zeros((0, 3)), np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros(0, dtype=bool))
