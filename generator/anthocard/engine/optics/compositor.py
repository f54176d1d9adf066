"""Pixels of a picture, one after the other: compiled, as a film has millions of them.

Belongs here: how much light is left after its ways, as a screen takes it, over a page. Does not
belong here: which maps, colours and backdrops (paint.py). Numba asks only whether this file has
changed: all that is compiled with it lies here.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from anthocard.guard.compiling import compiled


@compiled
def add_left(
    out: Any, where: Any, light: Any, way: Any, ramps: Any, longest: float, come: Any
) -> None:
    """Add to pixels `where` (n,) of `out` (p, 3) what is left of `light` (n,) after `way` (n, k).

    `ramps` (k, stops, steps, 3) tell it of ways up to the `longest`, cm, at even stops of a turn;
    `come` (p,) is how far it has come there, 0-1.
    """
    stops, steps = ramps.shape[1], ramps.shape[2]
    for i in range(len(where)):
        pixel = where[i]
        at = come[pixel] * (stops - 1)
        low = min(int(at), max(0, stops - 2))
        high, between = min(low + 1, stops - 1), at - low
        red = green = blue = light[i]
        for k in range(way.shape[1]):
            place = np.sqrt(way[i, k] / longest) * (steps - 1)
            n = min(int(place), steps - 2)
            part = place - n
            one, other = (1.0 - part) * (1.0 - between), part * (1.0 - between)
            later, last = (1.0 - part) * between, part * between
            ramp = ramps[k]
            red *= (ramp[low, n, 0] * one + ramp[low, n + 1, 0] * other
                    + ramp[high, n, 0] * later + ramp[high, n + 1, 0] * last)  # fmt: skip
            green *= (ramp[low, n, 1] * one + ramp[low, n + 1, 1] * other
                      + ramp[high, n, 1] * later + ramp[high, n + 1, 1] * last)  # fmt: skip
            blue *= (ramp[low, n, 2] * one + ramp[low, n + 1, 2] * other
                     + ramp[high, n, 2] * later + ramp[high, n + 1, 2] * last)  # fmt: skip
        out[pixel, 0] += red
        out[pixel, 1] += green
        out[pixel, 2] += blue


@compiled
def look_up(values: Any, table: Any, most: float, out: Any) -> None:
    """Look values (n,) up in a table of even steps of the roots of values from 0 to `most`."""
    steps = len(table) - 1
    for i in range(len(values)):
        place = np.sqrt(min(max(values[i], 0.0), most) / most) * steps
        n = min(int(place), steps - 1)
        out[i] = table[n] + (table[n + 1] - table[n]) * (place - n)


@compiled
def over_page(seen: Any, cover: Any, most: Any, out: Any) -> None:
    """Write what a screen takes, (n, 4), of what is `seen` (n, 3), all 0-1, where a picture that
    covers `cover` (n,) of its page covers `most` (n,) of it with colours of its own.
    """
    for i in range(len(cover)):
        share = cover[i] / most[i] if most[i] > 1e-3 else 0.0
        for n in range(3):
            out[i, n] = min(max(1.0 - (1.0 - seen[i, n]) * share, 0.0), 1.0)
        out[i, 3] = most[i]


@compiled
def blur(rows: Any, bell: Any, out: Any) -> None:
    """Each value of `rows` (n, m) spread along its row as a `bell` (2 k + 1,) tells, into `out`."""
    reach = len(bell) // 2
    for i in range(rows.shape[0]):
        for j in range(rows.shape[1]):
            total = 0.0
            for at in range(max(0, j - reach), min(rows.shape[1], j + reach + 1)):
                total += rows[i, at] * bell[at - j + reach]
            out[i, j] = total
