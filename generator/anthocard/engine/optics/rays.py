"""Light through a scene: Snell at every surface, Fresnel for what turns back, paths on the way.

Belongs here: following a bundle of rays until they leave the glass. Does not belong here: the way
of each (tracer.py), where they come from (camera.py), what they meet outside (studio.py).

Rays run backwards, from the eye, as light's way is the same both ways (Helmholtz reciprocity).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anthocard.engine.optics.scene import Scene
from anthocard.engine.optics.surfaces import AIR, Ints
from anthocard.facts.chemistry.liquid import Floats

Bools = NDArray[np.bool_]


class Rays(NamedTuple):
    """n rays on their way, and what has become of them.

    They are at `origin` (n, 3), cm, on their way along `direction` (n, 3) in a `medium` (n,), and
    came through so much of each that tints, `path` (n, tinted), cm. `weight` (n,) is the share of
    the light that is still on this way, `of` (n,) the ray that each began as.

    `done` rays have left the glass or ended in foam (`foam`); `hit` met anything at all; through
    the `wall` or the `surface` a ray first came into liquid; `lost` is the share of the light that
    was turned back before it came through any drink and is followed by no other ray, `within` the
    same of light that had been through some, and `way_within` (n, tinted) by how much of each, that
    share times the way. `first` (n, 3) is the first point met.
    """

    origin: Floats
    direction: Floats
    medium: Ints
    path: Floats
    weight: Floats
    of: Ints
    done: Bools
    hit: Bools
    foam: Bools
    wall: Bools
    surface: Bools
    lost: Floats
    within: Floats
    way_within: Floats
    first: Floats

    def part(self, rows: slice) -> Rays:
        """Some of the rows."""
        return Rays._make(column[rows] for column in self)


def eye_rays(origin: Floats, direction: Floats, tinted: int) -> Rays:
    """Rays that start in the air, one from each (n, 3) origin, through so many that tint."""
    n = len(direction)
    no = [np.zeros(n, dtype=bool) for _ in range(5)]
    return Rays._make((
        np.array(np.broadcast_to(origin, direction.shape)), direction.copy(), np.full(n, AIR),
        np.zeros((n, tinted)), np.ones(n), np.arange(n), *no,
        np.zeros(n), np.zeros(n), np.zeros((n, tinted)), np.zeros((n, 3)),
    ))  # fmt: skip


def follow(
    scene: Scene,
    rays: Rays,
    bounces: int,
    depth: int = 0,
    least: float = 1.0,
    wall: float = 1.0,
    few: float = 0.0,
) -> Rays:
    """Follow rays until they leave; the way on is the refracted one, or the only one.

    What is turned back at the first `depth` surfaces goes on as a row of its own, after all that
    began, if it carries more than `least` of the light, or than `wall` where it comes back into the
    glass itself and has not been in the drink, which may lie on its way. When no more than `few`
    (0-1) of all are left, they stay.
    """
    from anthocard.engine.optics import tracer  # takes as long to load as all else: only here

    n = len(rays.of)
    room = [np.zeros((n << depth, *one.shape[1:]), dtype=one.dtype) for one in rays]
    for whole, one in zip(room, rays, strict=True):
        whole[:n] = one
    found = Rays._make(room)
    solids = scene.solids
    alive, enters = np.arange(n << depth), np.empty(len(solids.beyond))
    count = tracer.march(
        solids, found, alive, enters, n, bounces, depth, least, min(least, wall), few
    )
    return found.part(slice(count))
