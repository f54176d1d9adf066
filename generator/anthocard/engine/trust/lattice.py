"""The points of a cloud: even in every input, and what of their order is a percentile.

Belongs here: columns of normal numbers over a lattice, and the weights of sorted values. Does not
belong here: which inputs are drawn, and how widely (uncertainty.py).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from math import erf, exp, pi, sqrt
from typing import Final

import numpy as np

from anthocard.engine.findings import InputKind
from anthocard.facts.chemistry.liquid import Floats

_SHARES: Final = (0.05, 0.5, 0.95)
_ALONE: Final = 1e-6  # added to how alike inputs are to themselves: none is ever all of another


@dataclass(slots=True)
class Draws:
    """Columns of standard normal numbers, each with what it stands for."""

    count: int
    step: int
    inputs: list[tuple[InputKind, str, str]] = field(default_factory=list)
    columns: list[Floats] = field(default_factory=list)

    def normal(self, kind: InputKind, of: str, sd: float, unit: str = "") -> Floats:
        """One input's deviations, shape (count,), sd as given."""
        column = _coordinate(self.count, self.step, len(self.columns) + 1)
        self.inputs.append((kind, of, unit))
        self.columns.append(column)
        return np.asarray(sd * column)


@cache
def _coordinate(count: int, step: int, number: int) -> Floats:
    """A coordinate of the points of a lattice as standard normal numbers, (count,), a prime.

    Point n has n times the number-th power of the step, modulo the count (Korobov N.M.,
    1959, second-hand). Each coordinate so has every quantile once, and point -n mirrors point n.
    """
    middle = count // 2
    place = (np.arange(count) - middle) * pow(step, number, count) % count
    column = _quantiles(count)[(place + middle) % count]
    column.setflags(write=False)
    return column


@cache
def _quantiles(count: int) -> Floats:
    """The middles of so many equal shares of the standard normal distribution."""
    return np.array([_quantile((n + 0.5) / count) for n in range(count)])


def _quantile(share: float) -> float:
    """Where so much of the standard normal distribution lies below, by Newton's steps.

    (`statistics` knows it, and takes longer to import than all of them to find.)
    """
    place: float = 4.91 * (share**0.14 - (1.0 - share) ** 0.14)  # to 0.01
    for _ in range(4):
        place -= (_below(place) - share) * sqrt(2.0 * pi) * exp(0.5 * place * place)
    return place


def _below(place: float) -> float:
    """The share of the standard normal distribution below a place."""
    return 0.5 * (1.0 + erf(place / sqrt(2.0)))


def percentiles(values: Floats, inputs: Floats) -> tuple[Floats, Floats]:
    """Percentiles 5, 50 and 95 (…, 3) of values (…, n) at points of inputs (k, n), and how far one
    s.d. of each input moves them (…, k).

    Of what goes straight with the inputs the percentiles are known: how far off they are at these
    points is taken from those of the whole (a control variate).
    """
    count = inputs.shape[-1]
    mean = values.mean(axis=-1, keepdims=True)
    alike = inputs @ inputs.T
    alike[np.diag_indices_from(alike)] *= 1.0 + _ALONE
    moved = (values - mean) @ np.linalg.solve(alike, inputs).T
    found, off = (
        np.sort(one, axis=-1) @ _weights(count).T for one in (values - mean, moved @ inputs)
    )
    known = np.sqrt((moved**2).sum(axis=-1, keepdims=True)) * [_quantile(one) for one in _SHARES]
    return mean + found + known - off, moved


@cache
def _weights(count: int) -> Floats:
    """Weights (3, count) of sorted values for their percentiles 5, 50 and 95.

    As far as chance would move a percentile its neighbours count as well (after Harrell F.E. and
    Davis C.E., 1982, from memory, with a normal distribution for their beta).
    """
    rows = []
    for share in _SHARES:
        wide = sqrt(share * (1.0 - share) / (count + 2))
        upto = [_below((n / count - share) / wide) for n in range(1, count)]
        rows.append(np.diff([0.0, *upto, 1.0]))
    return np.array(rows)
