"""A picture as meshes: where every other pixel of every other row will do, and where it will not.

Belongs here: which pixels to look at first, which of those between must be looked at too, what the
others show. Does not belong here: looking (maps.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anthocard.engine.optics.surfaces import Ints
from anthocard.facts.chemistry.liquid import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Meshes:
    """Every other row and column of a picture, and the last ones; a mesh is what four crossings
    enclose.
    """

    tall: int
    wide: int
    rows: Ints
    columns: Ints

    @property
    def crossings(self) -> Ints:
        """The pixels where rows and columns cross, flat, row by row."""
        return np.asarray((self.rows[:, np.newaxis] * self.wide + self.columns).ravel())

    def uneven(self, values: Floats, least: Floats) -> Ints:
        """The pixels (flat) of meshes whose corners differ in anything by more than `least` (k,).

        `values` (pixels, k) need only be known at the crossings, which are left out.
        """
        corners = self._at_crossings(values)
        high, low = corners, corners
        for here, there in ((np.s_[1:], np.s_[:-1]), (np.s_[:, 1:], np.s_[:, :-1])):
            high, low = np.maximum(high[here], high[there]), np.minimum(low[here], low[there])
        apart = np.any(high - low > least, axis=2)
        out = np.zeros((self.tall, self.wide), dtype=bool)
        for i in (0, 1):  # a pixel on the side of a mesh belongs to both beside it
            for j in (0, 1):
                row, column = (
                    self._mesh(self.rows, self.tall, i),
                    self._mesh(self.columns, self.wide, j),
                )
                out |= apart[row[:, np.newaxis], column]
        out[self.rows[:, np.newaxis], self.columns] = False
        return np.flatnonzero(out)

    def fill(self, values: Floats) -> None:
        """Put between the crossings what lies evenly between theirs, of `values` (pixels, k)."""
        grid = values.reshape(self.tall, self.wide, -1)
        for rows in (np.s_[::2], np.s_[-1:]):
            line = grid[rows]
            line[:, 1:-1:2] = (line[:, :-2:2] + line[:, 2::2]) / 2.0
        grid[1:-1:2] = (grid[:-2:2] + grid[2::2]) / 2.0

    def _at_crossings(self, values: Floats) -> Floats:
        return values[self.crossings].reshape(len(self.rows), len(self.columns), -1)

    @staticmethod
    def _mesh(lines: Ints, count: int, after: int) -> Ints:
        """The mesh of each place of `count`, or the one it touches before."""
        mesh = np.searchsorted(lines, np.arange(count), side="right" if after else "left") - 1
        return np.clip(mesh, 0, len(lines) - 2)


def meshes(tall: int, wide: int) -> Meshes:
    """Those of a picture of at least 2 by 2 pixels."""
    rows, columns = (np.unique(np.r_[0:n:2, n - 1]) for n in (tall, wide))
    return Meshes(tall, wide, rows, columns)
