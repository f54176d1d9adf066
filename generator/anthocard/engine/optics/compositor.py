"""Rays and pixels of a picture, one after the other: compiled, as a film has millions of them.

Belongs here: what a ray that left the glass sees, what it brings to its pixel; how much light is
left after its ways, as a screen takes it, over a page. Does not belong here: which rays (maps.py),
which colours and backdrops (paint.py). Numba asks only whether this file has changed: all that is
compiled with it lies here.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from anthocard.engine.optics.rays import Rays
from anthocard.engine.optics.studio import Studio
from anthocard.guard.compiling import compiled

#: Columns of a pixel: lights of three weights each, shares, then ways.
TINTED, BACK, CLEAR, GLASS, DRINK, FOAM, WAYS = 0, 3, 6, 9, 10, 11, 12


@compiled
def box(x: float, middle: float, half: float, soft: float) -> float:
    """One inside, nought outside, with soft edges."""
    return 1.0 / (1.0 + np.exp(min((abs(x - middle) - half) / soft, 60.0)))  # type: ignore[no-any-return]


@compiled
def sides(s: Studio, x: float) -> float:
    """What is left of the page's light at its sides."""
    far = abs(x / (s.sweep_fade * s.tall))
    return s.sweep_floor + (1.0 - s.sweep_floor) * np.exp(-far * far * far)  # type: ignore[no-any-return]


@compiled
def halo(s: Studio, x: float, z: float) -> float:
    """The glow behind the glass."""
    across = x / (s.glow_wide * s.tall)
    up = (z - s.floor - s.glow_up * s.tall) / (s.glow_tall * s.tall)
    return np.exp(-across * across - up * up)  # type: ignore[no-any-return]


@compiled
def table(s: Studio, x: float, y: float) -> tuple[float, float]:
    """The page and the glow that the table shows at a point, and what the glass takes of them: the
    foot's shade and the bowl's.
    """
    off = max(np.sqrt(x * x + y * y) - 0.85 * s.foot, 0.0) / (0.22 * s.foot)
    a, b = (x - 0.35 * s.wide) / (1.15 * s.wide), (y + 0.55 * s.wide) / (1.25 * s.wide)
    foot, bowl = s.shadow_foot * np.exp(-off * off), s.shadow_bowl * np.exp(-a * a - b * b)
    left = (1.0 - foot) * (1.0 - bowl)
    back = s.sweep_back * s.tall
    a, b = x / (s.pool_wide * s.tall), (y - s.pool_behind * s.tall) / s.tall
    far = (y - back) / (0.55 * back)
    glow = s.pool_light * np.exp(-a * a - b * b) + halo(s, x, s.floor) * np.exp(-far * far)
    far = min(max(y / back, -2.0), 1.0) / 0.5
    page = sides(s, x) * (1.0 - s.sweep_dip * np.exp(-far * far))
    return page * left, glow * left


@compiled
def lamps(s: Studio, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float) -> float:
    """A window to the left and behind the eye, a strip to the right, a soft box above."""
    tall, total = s.tall, 0.0
    if dx < -1e-6:
        far = (-s.window_away * tall - ox) / dx
        y, z = oy + far * dy, oz + far * dz
        half, behind = s.window_half * tall, -s.window_behind * tall
        pane = box(y, behind, half, 0.05 * tall) * box(
            z, s.floor + s.window_up * tall, half, 0.05 * tall
        )
        off = (y - behind) / (0.06 * tall)
        total += s.window_light * pane * (1.0 - np.exp(-off * off * off * off))
    if dx > 1e-6:
        far = (s.lamp_away * tall - ox) / dx
        y, z = oy + far * dy, oz + far * dz
        total += (
            s.lamp_light
            * box(y, 0.3 * tall, s.lamp_half * tall, 0.06 * tall)
            * box(z, s.floor + s.lamp_up * tall, s.lamp_tall * tall, 0.1 * tall)
        )
    if dz > 1e-6:
        far = (s.height + s.overhead_above * tall - oz) / dz
        x, y = ox + far * dx, oy + far * dy
        total += (
            s.overhead_light
            * box(x, -0.4 * tall, s.overhead_half * tall, 0.15 * tall)
            * box(y, 1.2 * tall, s.overhead_deep * tall, 0.15 * tall)
        )
    return total


@compiled
def room(
    s: Studio, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float
) -> tuple[float, float, float]:
    """The page, glow and lamps that a ray which goes on in the air sees."""
    back, down, away = s.sweep_back * s.tall, np.inf, np.inf
    if dz < -1e-6:
        down = max((s.floor - oz) / dz, 0.0)
    if dy > 1e-6:
        away = (back - oy) / dy
    if down < away:
        page, glow = table(s, ox + down * dx, oy + down * dy)
        return page, glow, 0.0
    lamp = lamps(s, ox, oy, oz, dx, dy, dz)
    if away == np.inf:
        return s.rest_page, s.rest_glow, lamp
    x, z = ox + away * dx, oz + away * dz
    climb = (z - s.floor - s.glow_up * s.tall) / (3.0 * s.tall)
    strips = box(abs(x), s.strips_at * s.tall, s.strips_half * s.tall, s.strips_soft * s.tall)
    page = sides(s, x) * (1.0 - s.sweep_climb * min(max(climb, 0.0), 1.0))
    return page, halo(s, x, z) + s.strips_light * strips, lamp


@compiled
def seen(s: Studio, r: Rays, i: int, mirror: float) -> tuple[float, float, float]:
    """What a ray brings from its end: of the room, of foam, or what is taken for it."""
    if r.foam[i]:
        page, glow, lamp = s.foam_page, s.foam_glow, s.foam_lamp
    elif not r.done[i]:
        page, glow, lamp = s.ambient_page, s.ambient_glow, 0.0
    else:
        o, d = r.origin[i], r.direction[i]
        page, glow, lamp = room(s, o[0] * mirror, o[1], o[2], d[0] * mirror, d[1], d[2])
    return page * r.weight[i], glow * r.weight[i], lamp * r.weight[i]


@compiled
def through_drink(s: Studio, r: Rays, i: int, mirror: float) -> float:
    """The share 0-1 of what a ray past the glass sees that came there through the drink."""
    o, d = r.origin[i], r.direction[i]
    if d[2] >= -1e-6:
        return 0.0
    far = (s.floor - o[2]) / d[2]
    x, y = (o[0] + far * d[0]) * mirror, o[1] + far * d[1]
    if y >= 3.0 * s.tall:
        return 0.0
    a, b = (x - 0.45 * s.wide) / (0.95 * s.wide), (y + 0.75 * s.wide) / (0.75 * s.wide)
    return s.caustic_share * np.exp(-a * a - b * b)  # type: ignore[no-any-return]


@compiled
def bring(at: Any, light: int, three: tuple[float, float, float]) -> float:
    """Add a light to its columns of a pixel; its sum."""
    at[light] += three[0]
    at[light + 1] += three[1]
    at[light + 2] += three[2]
    return three[0] + three[1] + three[2]


@compiled
def gather(
    s: Studio, r: Rays, n: int, pixel: Any, share: float, mirror: float, thin: float, every: Any
) -> None:
    """Add what rays bring to the columns of their pixels, `every` (pixels, WAYS + 2 k).

    The first `n` rays are the eye's, to `pixel` (n,), a `share` of it each; the others were
    mirrored on their way. `mirror` is -1 for the other half of a glass that is alike. A way of less
    than `thin` cm is none.

    Light that was turned back and not followed is taken for the room's own. What was in the drink
    by then goes through it once more: it is tinted by its way until then and the ray's whole way.
    """
    tints, solid = r.path.shape[1], (1.0 - s.loose) * share
    rest = s.ambient_page + s.ambient_glow
    for i in range(len(r.of)):
        at, first = every[pixel[r.of[i]]], i < n
        page, glow, lamp = seen(s, r, i, mirror)
        page, glow, lamp = page * share, glow * share, lamp * share
        long = 0.0
        for k in range(tints):
            long += r.path[i, k] * (1.0 - s.loose)
        through = long > thin
        if first and not r.hit[i]:
            page, glow, lamp = page * s.beside_page, glow * s.beside_glow, 0.0
            part = through_drink(s, r, i, mirror)
            light = bring(at, TINTED, (page * part, glow * part, 0.0))
            at[WAYS + s.liquids - 1] += s.shade * light
            page, glow = page * (1.0 - part), glow * (1.0 - part)
        if through:
            light = bring(at, TINTED if first else BACK, (page, glow, lamp))
            for k in range(tints):
                ways = WAYS + k if first else WAYS + tints + k
                at[ways] += r.path[i, k] * (1.0 - s.loose) * light
        else:
            bring(at, CLEAR, (page, glow, lamp))
        lost, within = r.lost[i] * share, r.within[i] * share
        bring(at, CLEAR, (lost * s.ambient_page, lost * s.ambient_glow, 0.0))
        bring(at, BACK, (within * s.ambient_page, within * s.ambient_glow, 0.0))
        for k in range(tints):
            way = r.way_within[i, k] + r.within[i] * r.path[i, k]
            at[WAYS + tints + k] += way * solid * rest
        if first:
            at[GLASS] += r.hit[i] * share
            at[DRINK] += through * share
            at[FOAM] += r.foam[i] * share


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
def blur(rows: Any, bell: Any, every: int, out: Any) -> None:
    """Values of `rows` (n, m) spread along them as a `bell` (2 k + 1,) tells: what then stands at
    `every` so-manieth place, (n, l), which may end a little beyond.
    """
    reach = len(bell) // 2
    for i in range(out.shape[0]):
        for j in range(out.shape[1]):
            middle, total = j * every, 0.0
            for at in range(max(0, middle - reach), min(rows.shape[1], middle + reach + 1)):
                total += rows[i, at] * bell[at - middle + reach]
            out[i, j] = total
