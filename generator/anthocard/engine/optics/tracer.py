"""Rays through a scene, one after the other: compiled, as it is most of what a picture takes.

Belongs here: where a ray meets surfaces of revolution and bodies, how they stand there, Snell and
Fresnel, what goes on and what turns back. Does not belong here: which surfaces there are
(surfaces.py, bodies.py), what becomes of a bundle (rays.py).

Numba compiles this module the first time (some seconds) and keeps the result beside it. It asks
only whether this file has changed, so all that is compiled lies here. No sum is fused or put in
another order: the same rays have the same ways on every machine. Lengths in cm, z up, float64; a
ray is origin + t direction with |direction| = 1.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from anthocard.engine.optics.rays import Rays
from anthocard.engine.optics.surfaces import AIR, FOAM, FROZEN, GLASS, ICE, INSIDE, LIQUID, Solids
from anthocard.guard.compiling import compiled

NEAREST_CM = 1e-5  # a ray has left the surface it starts from
FOAM_DEPTH_CM = 0.2  # how much drink light sees on its way in and out of a head of foam: chosen
STEEPEST_COS = 1e-4  # a ray along a surface meets it at this angle


@compiled
def refract(ci: float, n1: float, n2: float) -> tuple[float, float]:
    """Cosine behind a surface and share reflected, for unpolarised light that comes at a cosine.

    Snell's law and Fresnel's equations (Born M., Wolf E., Principles of Optics, 1.5.2). Beyond the
    critical angle the cosine is 0 and everything is reflected.
    """
    square = 1.0 - (n1 / n2) ** 2 * (1.0 - ci * ci)
    if square <= 0.0:
        return 0.0, 1.0
    ct = np.sqrt(square)
    across = (n1 * ci - n2 * ct) / (n1 * ci + n2 * ct)
    along = (n1 * ct - n2 * ci) / (n1 * ct + n2 * ci)
    return ct, (across * across + along * along) / 2.0


@compiled
def meeting(s: Solids, n: int, oz: float, dz: float, a: float, b: float, c: float) -> float:
    """Distance at which a ray meets a segment, inf where it does not; the ray's squared distance
    from the axis is a t² + 2 b t + c.
    """
    slope, offset, low, high = s.lines[n]
    k = oz * slope + offset
    grows = dz * slope
    aa, bb, cc = a - grows * grows, b - k * grows, c - k * k
    root = bb * bb - aa * cc
    if not root >= 0.0:
        return np.inf
    q = -(bb + np.copysign(np.sqrt(root), bb))
    nearest = np.inf
    for t in (q / aa, cc / q):
        z = t * dz + oz
        if NEAREST_CM < t < nearest and low <= z <= high and z * slope + offset > -1e-9:
            nearest = t  # and not on the other half of the cone, which is not there
    return nearest


@compiled
def skin(s: Solids, medium: int, o: Any, d: Any, enters: Any) -> tuple[float, int]:
    """Distance to the nearest segment seen from inside a medium, inf where there is none; which.

    First how far a ray goes until it is in the hollow cylinder around each, into `enters` (s,), inf
    where it passes by: a loop without a choice, of which a processor does several at once.
    """
    (ox, oy, oz), (dx, dy, dz) = o, d
    a, b, c = dx * dx + dy * dy, ox * dx + oy * dy, ox * ox + oy * oy
    turn = -b / a if a > 1e-12 else 0.0  # where the ray is nearest to the axis
    steep = 1.0 / (dz if abs(dz) > 1e-12 else 1e-12)
    begin, end = s.first[medium], s.first[medium + 1]
    least, most = s.shells[0, begin:end], s.shells[1, begin:end]
    low, high = s.shells[2, begin:end], s.shells[3, begin:end]
    for n in range(len(least)):
        one, other = (low[n] - oz) * steep, (high[n] - oz) * steep
        enter, leave = max(min(one, other), 0.0), max(one, other)
        closest = min(max(turn, enter), leave)
        near = (a * closest + 2.0 * b) * closest + c
        far = max((a * enter + 2.0 * b) * enter, (a * leave + 2.0 * b) * leave) + c
        within = (leave >= enter) & (near <= most[n]) & (far >= least[n])
        enters[n] = enter if within else np.inf
    nearest, which = np.inf, 0
    for n in range(len(least)):
        if enters[n] < nearest:
            t = meeting(s, begin + n, oz, dz, a, b, c)
            if t < nearest:
                nearest, which = t, begin + n
    return nearest, which


@compiled
def skin_normal(s: Solids, n: int, x: float, y: float, z: float) -> tuple[float, float, float]:
    """The unit normal at a point of a segment; which side it shows is open."""
    r0, z0, r1, z1 = s.ends[n]
    a0, b0, a1, b1 = s.normals[n]
    r = max(np.sqrt(x * x + y * y), 1e-9)
    flat = abs(r1 - r0) > abs(z1 - z0)
    share = (r - r0) / (r1 - r0) if flat else (z - z0) / (z1 - z0)
    share = min(max(share, 0.0), 1.0)
    out, up = a0 + share * (a1 - a0), b0 + share * (b1 - b0)
    length = np.sqrt(out * out + up * up)
    out /= length * r
    return out * x, out * y, up / length


@compiled
def box(s: Solids, k: int, o: Any, d: Any) -> float:
    """Distance at which a ray meets a box, from outside or inside; inf where it does not."""
    enter, leave = -np.inf, np.inf
    for side in range(3):
        inner, along = 0.0, 0.0
        for n in range(3):
            inner += s.axes[k, side, n] * (o[n] - s.middle[k, n])
            along += s.axes[k, side, n] * d[n]
        if along == 0.0:
            if abs(inner) > s.half[k, side]:
                return np.inf
            continue
        one, other = (-s.half[k, side] - inner) / along, (s.half[k, side] - inner) / along
        enter, leave = max(enter, min(one, other)), min(leave, max(one, other))
    t = enter if enter > NEAREST_CM else leave
    return t if enter <= leave and t > NEAREST_CM else np.inf


@compiled
def ball(s: Solids, k: int, o: Any, d: Any) -> float:
    """The same of a ball."""
    b, off = 0.0, 0.0
    for n in range(3):
        away = o[n] - s.middle[k, n]
        b += away * d[n]
        off += away * away
    root = b * b - off + s.half[k, 0] ** 2
    if root <= 0.0:
        return np.inf
    wide = np.sqrt(root)
    t = -b - wide if -b - wide > NEAREST_CM else -b + wide
    return t if t > NEAREST_CM else np.inf


@compiled
def body_normal(s: Solids, k: int, x: float, y: float, z: float) -> tuple[float, float, float]:
    """The outward unit normal at a point on a body."""
    x, y, z = x - s.middle[k, 0], y - s.middle[k, 1], z - s.middle[k, 2]
    if s.boxed[k]:
        best, face, sign = -1.0, 0, 1.0
        for side in range(3):
            ax, ay, az = s.axes[k, side]
            inner = (ax * x + ay * y + az * z) / s.half[k, side]
            if abs(inner) > best:
                best, face, sign = abs(inner), side, np.sign(inner)
        ax, ay, az = s.axes[k, face]
        return sign * ax, sign * ay, sign * az
    length = np.sqrt(x * x + y * y + z * z)
    return x / length, y / length, z / length


@compiled
def inside(s: Solids, z: float) -> int:
    """The medium at a height inside the bowl, beside whatever floats there."""
    if z > s.levels[-1]:
        return FOAM if z < s.foam_top else AIR
    return LIQUID + int(np.searchsorted(s.levels, z))


@compiled
def turn_back(r: Rays, i: int, n: int, light: float, least: float, at: Any, mirrored: Any) -> int:
    """What a surface turns back of ray `i`: a row of its own, of `n` until then, if it carries more
    than `least`; else it is lost, before or after it came through any drink.
    """
    if light > least:
        r.origin[n, 0], r.origin[n, 1], r.origin[n, 2] = at
        r.direction[n, 0], r.direction[n, 1], r.direction[n, 2] = mirrored
        r.medium[n], r.weight[n], r.of[n] = r.medium[i], light, r.of[i]
        for liquid in range(r.path.shape[1]):
            r.path[n, liquid] = r.path[i, liquid]
        return n + 1
    if r.path[i].any():
        r.within[i] += light
        for liquid in range(r.path.shape[1]):
            r.way_within[i, liquid] += light * r.path[i, liquid]
    else:
        r.lost[i] += light
    return n


@compiled
def step(
    s: Solids, r: Rays, i: int, begins: bool, least: float, wall: float, n: int, enters: Any
) -> tuple[int, bool]:
    """Take ray `i` to the next surface. How many rays there are then of `n` (one more, if what is
    mirrored there carries more than `least`, or in the glass itself than `wall`), and whether it
    goes on.
    """
    (ox, oy, oz), (dx, dy, dz), medium = r.origin[i], r.direction[i], r.medium[i]
    o, d = (ox, oy, oz), (dx, dy, dz)
    distance, which, body = np.inf, 0, False
    if medium not in (ICE, FROZEN):
        distance, which = skin(s, medium, o, d, enters)
    for k in range(len(s.middle) if medium != GLASS else 0):
        nearer = box(s, k, o, d) if s.boxed[k] else ball(s, k, o, d)
        if nearer < distance:
            distance, which, body = nearer, k, True
    if distance == np.inf:
        r.done[i] = r.done[i] or medium == AIR
        return n, False
    if medium >= LIQUID:
        r.path[i, medium - LIQUID] += distance
    elif medium == FROZEN:
        r.path[i, len(s.levels)] += distance
    x, y, z = ox + distance * dx, oy + distance * dy, oz + distance * dz
    if begins:
        r.hit[i] = True
        r.first[i, 0], r.first[i, 1], r.first[i, 2] = x, y, z
    if body:
        nx, ny, nz = body_normal(s, which, x, y, z)
        beyond, walled = INSIDE if medium in (ICE, FROZEN) else s.body[which], False
    else:
        nx, ny, nz = skin_normal(s, which, x, y, z)
        beyond, walled = s.beyond[which], s.wall[which]
    if beyond == INSIDE:
        beyond = inside(s, z)
    facing = nx * dx + ny * dy + nz * dz
    if facing > 0.0:
        nx, ny, nz = -nx, -ny, -nz
    ratio = s.indices[medium] / s.indices[beyond]
    ci = min(max(abs(facing), STEEPEST_COS), 1.0)
    ct, back = refract(ci, s.indices[medium], s.indices[beyond])
    mx, my, mz = dx + 2.0 * ci * nx, dy + 2.0 * ci * ny, dz + 2.0 * ci * nz
    if back >= 1.0:
        ax, ay, az = mx, my, mz
    else:
        bend = ratio * ci - ct
        ax, ay, az = ratio * dx + bend * nx, ratio * dy + bend * ny, ratio * dz + bend * nz
        if medium == GLASS and not r.path[i].any():
            least = min(least, wall)  # drink may lie on the way of what comes back into the glass
        n = turn_back(r, i, n, r.weight[i] * back, least, (x, y, z), (mx, my, mz))
        r.weight[i] *= 1.0 - back
        if medium < LIQUID <= beyond and not (r.wall[i] or r.surface[i]):
            r.wall[i], r.surface[i] = walled, not walled
        r.medium[i] = beyond
    length = np.sqrt(ax * ax + ay * ay + az * az)
    r.origin[i, 0], r.origin[i, 1], r.origin[i, 2] = x, y, z
    ahead = r.direction[i]
    ahead[0], ahead[1], ahead[2] = ax / length, ay / length, az / length
    if r.medium[i] == FOAM:
        r.path[i, len(s.levels) - 1] += FOAM_DEPTH_CM
        r.foam[i] = r.done[i] = True
        return n, False
    return n, True


@compiled
def march(
    s: Solids, r: Rays, alive: Any, enters: Any, n: int, bounces: int, depth: int,
    least: float, wall: float, few: float,
) -> int:  # fmt: skip
    """Follow the first `n` rays, and those that are mirrored on the way, as `rays.follow` says.

    Writes into `r`, whose columns have room for n · 2^depth; how many there are then.
    """
    going = n
    for number in range(bounces):
        if going <= few * n:
            break
        most = (least, wall) if number < depth else (1.0, 1.0)
        more, on = n, 0
        for place in range(going):
            i = alive[place]
            more, goes_on = step(s, r, i, number == 0, most[0], most[1], more, enters)
            if goes_on:
                alive[on] = i
                on += 1
        for i in range(n, more):
            alive[on] = i
            on += 1
        n, going = more, on
    return n
