"""Light through a scene: Snell at every surface, Fresnel for what turns back, paths on the way.

Belongs here: following rays until they leave the glass. Does not belong here: where they come from
(camera.py), what they meet outside (studio.py).

Rays run backwards, from the eye, as light's way is the same both ways (Helmholtz reciprocity).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.engine.optics.bodies import dots
from anthocard.engine.optics.scene import AIR, FOAM, FROZEN, GLASS, ICE, INNER, LIQUID, TOP, Scene
from anthocard.facts.chemistry.liquid import Floats

Bools = NDArray[np.bool_]

FOAM_DEPTH_CM = 0.2  # how much drink light sees on its way in and out of a head of foam: chosen
_WALL, _SURFACE = 1, 2


@dataclass(slots=True, eq=False)
class Bundle:
    """n rays on their way: where, whither, in which medium, through how much of each that tints.

    `weight` (n,) is the share of the light that is still on this way, `of` (n,) the ray that each
    began as.
    """

    origin: Floats  # (n, 3), cm
    direction: Floats  # (n, 3)
    medium: NDArray[np.intp]
    path: Floats  # (n, tinted), cm
    weight: Floats
    of: NDArray[np.intp]

    def __len__(self) -> int:
        return len(self.origin)


@dataclass(slots=True, eq=False)
class Followed:
    """What became of a bundle, row by row; after its own rows those that were mirrored on the way.

    `done` rays have left the glass or ended in foam (`foam`); `hit` met anything at all; `entered`
    is the kind of surface through which a ray first came into liquid; `lost` the share of the light
    that was turned back before it came through any drink and is followed by no other ray, `within`
    the same of light that had been through some, and `way_within` by how much of each, that share
    times the way.
    """

    rays: Bundle
    done: Bools
    hit: Bools
    foam: Bools
    entered: tuple[Bools, Bools]  # through the wall, through the surface
    lost: Floats
    within: Floats
    way_within: Floats  # (n, tinted)
    first: Floats  # (n, 3): the first point met

    def part(self, rows: slice) -> Followed:
        """Some of the rows."""
        bundle = Bundle(*(getattr(self.rays, name)[rows] for name in Bundle.__slots__))
        wall, surface = self.entered
        return Followed(
            bundle, self.done[rows], self.hit[rows], self.foam[rows], (wall[rows], surface[rows]),
            self.lost[rows], self.within[rows], self.way_within[rows], self.first[rows],
        )  # fmt: skip


def eye_rays(origin: Floats, direction: Floats, tinted: int) -> Bundle:
    """Rays that start in the air, one from each (n, 3) origin, through so many that tint."""
    n = len(direction)
    return Bundle(
        np.array(np.broadcast_to(origin, direction.shape)),
        direction.copy(),
        np.full(n, AIR),
        np.zeros((n, tinted)),
        np.ones(n),
        np.arange(n),
    )


def refract(cos_in: ArrayLike, n_in: ArrayLike, n_out: ArrayLike) -> tuple[Floats, Floats]:
    """Cosine behind a surface and the share reflected, for unpolarised light.

    Snell's law and Fresnel's equations (Born M., Wolf E., Principles of Optics, 1.5.2). Beyond the
    critical angle the cosine is 0 and everything is reflected.
    """
    ci, n1, n2 = (np.asarray(value, dtype=np.float64) for value in (cos_in, n_in, n_out))
    square = 1.0 - (n1 / n2) ** 2 * (1.0 - ci * ci)
    ct = np.sqrt(np.maximum(square, 0.0))
    across = (n1 * ci - n2 * ct) / (n1 * ci + n2 * ct)
    along = (n1 * ct - n2 * ci) / (n1 * ct + n2 * ci)
    return ct, np.where(square <= 0.0, 1.0, (across * across + along * along) / 2.0)


def follow(
    scene: Scene,
    rays: Bundle,
    bounces: int,
    depth: int = 0,
    least: float = 1.0,
    wall: float = 1.0,
    few: float = 0.0,
) -> Followed:
    """Follow rays until they leave; the way on is the refracted one, or the only one.

    What is turned back at the first `depth` surfaces goes on as a row of its own if it carries more
    than `least` of the light, or than `wall` where it comes back into the glass itself and has not
    been in the drink, which may lie on its way. When no more than `few` (0-1) of all are left, they
    stay.
    """
    out = _begun(rays)
    alive = np.arange(len(rays))
    for step in range(bounces):
        if len(alive) <= few * len(out.rays):
            break
        media = out.rays.medium[alive]  # as they are before this step moves any into another
        split: list[Bundle] = []
        carries = (least, min(least, wall)) if step < depth else (1.0, 1.0)
        parts = [
            _step(scene, out, alive[media == medium], int(medium), step == 0, split, carries)
            for medium in np.flatnonzero(np.bincount(media))
        ]
        if split:
            count = len(out.rays)
            out = _joined(out, [_begun(one) for one in split])
            parts.append(np.arange(count, len(out.rays)))
        alive = np.concatenate(parts)
    return out


def _begun(rays: Bundle) -> Followed:
    n = len(rays)
    entered = (_none(n), _none(n))
    return Followed(
        rays, _none(n), _none(n), _none(n), entered,
        np.zeros(n), np.zeros(n), np.zeros_like(rays.path), np.zeros((n, 3)),
    )  # fmt: skip


def _joined(one: Followed, others: list[Followed]) -> Followed:
    """The rows of one and then those of others."""
    every = [one, *others]
    rays = (
        np.concatenate([getattr(each.rays, name) for each in every]) for name in Bundle.__slots__
    )
    wall, surface = (np.concatenate([each.entered[n] for each in every]) for n in (0, 1))
    done, hit, foam, lost, within, way_within, first = (
        np.concatenate([getattr(each, name) for each in every])
        for name in ("done", "hit", "foam", "lost", "within", "way_within", "first")
    )
    return Followed(
        Bundle(*rays), done, hit, foam, (wall, surface), lost, within, way_within, first
    )


def _none(count: int) -> Bools:
    return np.zeros(count, dtype=bool)


def _step(
    scene: Scene,
    out: Followed,
    i: NDArray[np.intp],
    medium: int,
    first: bool,
    split: list[Bundle],
    least: tuple[float, float],
) -> NDArray[np.intp]:
    """Take the rays `i`, all in one medium, to the next surface; those that go on. What is mirrored
    there and carries more than `least` is put into `split`; the second counts in the glass itself
    for what has not been in the drink.
    """
    rays = out.rays
    origin, d = rays.origin[i], rays.direction[i]
    met = _met(scene, origin, d, medium)
    gone = ~np.isfinite(met.distance)
    if medium == AIR:
        out.done[i[gone]] = True
    if gone.any():
        stay = np.flatnonzero(~gone)
        i, origin, d, met = i[stay], origin[stay], d[stay], met.only(stay)
    if not len(i):
        return i
    tint = scene.tints(medium)
    if tint is not None:
        rays.path[i, tint] += met.distance
    at = origin + met.distance[:, np.newaxis] * d
    if first:
        out.hit[i], out.first[i] = True, at
    facing = dots(met.normal, d)
    normal = np.where(facing[:, np.newaxis] > 0, -met.normal, met.normal)
    beyond = np.where(met.beyond < 0, scene.medium_at(at[:, 2]), met.beyond)
    n1, n2 = scene.index[medium], scene.index[beyond]
    ci = np.clip(np.abs(facing), 1e-4, 1.0)
    ct, back = refract(ci, n1, n2)
    turned = back >= 1.0
    mirrored = d + 2.0 * ci[:, np.newaxis] * normal
    bent = (n1 / n2)[:, np.newaxis] * d + (n1 / n2 * ci - ct)[:, np.newaxis] * normal
    reflected = np.where(turned, 0.0, rays.weight[i] * back)
    way = rays.path[i]
    been = way @ np.ones(way.shape[1]) > 0.0
    own = reflected > (np.where(been, *least) if medium == GLASS else least[0])
    if own.any():
        rows = i[own]
        split.append(
            Bundle(at[own], mirrored[own], np.full(len(rows), medium), rays.path[rows],
                   reflected[own], rays.of[rows])
        )  # fmt: skip
        reflected = np.where(own, 0.0, reflected)
    within = np.where(been, reflected, 0.0)
    out.lost[i] += reflected - within
    out.within[i] += within
    out.way_within[i] += within[:, np.newaxis] * way
    rays.weight[i] *= np.where(turned, 1.0, 1.0 - back)
    ahead = np.where(turned[:, np.newaxis], mirrored, bent)
    rays.origin[i] = at
    rays.direction[i] = ahead / np.sqrt(dots(ahead, ahead))[:, np.newaxis]
    rays.medium[i] = np.where(turned, medium, beyond)
    if medium < LIQUID:
        _enter(out, i, beyond, met.kind, turned)
    foam = rays.medium[i] == FOAM
    rays.path[i[foam], scene.liquids - 1] += FOAM_DEPTH_CM
    out.foam[i[foam]] = out.done[i[foam]] = True
    return np.asarray(i[~foam])


def _enter(
    out: Followed,
    i: NDArray[np.intp],
    beyond: NDArray[np.intp],
    kind: NDArray[np.intp],
    turned: Bools,
) -> None:
    """Note through what each ray came into the liquid first."""
    wall, surface = out.entered
    new = (beyond >= LIQUID) & ~turned & ~wall[i] & ~surface[i]
    wall[i[new & (kind == _WALL)]] = True
    surface[i[new & (kind != _WALL)]] = True


@dataclass(slots=True, eq=False)
class _Met:
    distance: Floats
    normal: Floats
    beyond: NDArray[np.intp]  # -1: whatever fills the bowl there
    kind: NDArray[np.intp]

    def only(self, rows: NDArray[np.intp]) -> _Met:
        return _Met(self.distance[rows], self.normal[rows], self.beyond[rows], self.kind[rows])


def _met(scene: Scene, o: Floats, d: Floats, medium: int) -> _Met:
    """The next surface along rays in one medium: of the glass and liquids, or of a body."""
    n = len(o)
    met = _Met(np.full(n, np.inf), np.zeros((n, 3)), np.full(n, -1), np.zeros(n, dtype=np.intp))
    if medium not in (ICE, FROZEN):
        skin = scene.skins[medium]
        met.distance, which = skin.crossing(o, d)
        hit = np.flatnonzero(np.isfinite(met.distance))
        at = o[hit] + met.distance[hit, np.newaxis] * d[hit]
        met.normal[hit] = skin.normal(at, which[hit])
        met.beyond = skin.beyond[which]
        met.kind = _codes(scene)[skin.of[which]]
    if len(scene.bodies) and medium != GLASS:
        distance, body = scene.bodies.crossing(o, d)
        near = distance < met.distance
        at = o[near] + distance[near, np.newaxis] * d[near]
        met.normal[near] = scene.bodies.normal(at, body[near])
        inside = medium in (ICE, FROZEN)
        met.beyond[near] = -1 if inside else np.where(scene.bodies.frozen[body[near]], FROZEN, ICE)
        met.distance[near] = distance[near]
        met.kind[near] = _SURFACE
    return met


def _codes(scene: Scene) -> NDArray[np.intp]:
    codes = {INNER: _WALL, TOP: _SURFACE}
    return np.array([codes.get(kind, 0) for kind in scene.kinds])
