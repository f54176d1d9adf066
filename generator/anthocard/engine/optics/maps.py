"""A picture of a filled glass before it has a colour: for each pixel the way through the drink.

Belongs here: tracing one glass, level and view into maps, and maps as bytes. Does not belong here:
what stands around it (studio.py), the colours of a drink (paint.py), quantiles for many doses
(sight.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics import studio
from anthocard.engine.optics.camera import Camera, camera
from anthocard.engine.optics.drawable import drawable
from anthocard.engine.optics.rays import Bundle, Followed, eye_rays, follow
from anthocard.engine.optics.scene import Filling, Scene, make_scene
from anthocard.facts.chemistry.liquid import Floats
from anthocard.house.settings import Glass

THIN_CM = 0.003  # a way shorter than this is none: an edge that a ray grazed


@dataclass(frozen=True, slots=True, eq=False)
class Maps:
    """Pictures (tall, wide, …) of one filled glass, seen one way.

    `way` (…, liquids), cm, is the mean way of light through each liquid, `tinted` (…, 3) the light
    that took it as weights of page, glow and lamps, `clear` (…, 3) light that met no drink.
    `way_back` and `back` are the same of light that was mirrored on its way. `glass` (…) is the
    share of a pixel that any of it covers, `drink` the share that shows the drink, `foam` its head.
    """

    way: Floats
    tinted: Floats
    way_back: Floats
    back: Floats
    clear: Floats
    glass: Floats
    drink: Floats
    foam: Floats

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.glass.shape[0], self.glass.shape[1]

    def packed(self) -> bytes:
        """These maps as bytes, the same for the same maps."""
        out = BytesIO()
        names = self.__slots__
        np.savez_compressed(out, **{name: getattr(self, name).astype(np.float16) for name in names})
        return out.getvalue()


def unpacked(content: bytes) -> Maps:
    """Maps of what `packed` gave. Raises ValueError for other bytes."""
    with np.load(BytesIO(content), allow_pickle=False) as found:
        return Maps(**{name: found[name].astype(np.float32) for name in Maps.__slots__})


def picture(
    glass: Glass, filling: Filling, elevation_deg: float, wide: int, tall: int
) -> tuple[Scene, Camera]:
    """The scene and the eye of a picture of a glass; a broken outline is shown as a plain one."""
    scene = make_scene(drawable(glass), filling)
    return scene, camera(scene, elevation_deg, wide, tall)


def traced(glass: Glass, filling: Filling, elevation_deg: float, wide: int, tall: int) -> Maps:
    """The maps of a filled glass in a picture of an even number of pixels across.

    Every pixel is looked at once, and once more in several places where it differs from the one
    beside it. A glass without pieces of ice is traced by half: what its rays see is not the same.
    """
    scene, eye = picture(glass, filling, elevation_deg, wide, tall)
    whole = len(scene.bodies) > 0
    columns = wide if whole else wide // 2
    everywhere = np.arange(tall * columns)
    first = _follow(scene, eye, eye.directions(1, slice(0, columns)).reshape(-1, 3))
    edges = np.flatnonzero(_edges(scene, first[0], tall, columns))
    many = int(_row("edges")["samples"])
    near = eye.within(edges % columns, edges // columns, many)
    more = _follow(scene, eye, near)
    share = np.ones(len(everywhere))
    share[edges] = 1.0 / (1 + many)
    takes = (
        (first, everywhere, share),
        (more, np.repeat(edges, many), np.full(len(edges) * many, 1.0 / (1 + many))),
    )
    sides = []
    for mirror in (1.0,) if whole else (1.0, -1.0):
        sums = _Sums(tall * columns, scene.liquids)
        for (found, mirrored), pixel, weight in takes:
            _add_seen(sums, scene, found, pixel, weight, mirror)
            if mirrored is not None:
                _add_mirrored(sums, scene, mirrored, pixel, weight, mirror)
        sides.append(sums.maps(tall, columns))
    if whole:
        return sides[0]
    left, right = sides
    return Maps(
        *(
            np.concatenate([getattr(left, name), getattr(right, name)[:, ::-1]], axis=1)
            for name in Maps.__slots__
        )
    )


def _follow(scene: Scene, eye: Camera, directions: Floats) -> tuple[Followed, Followed | None]:
    """Rays of the eye to their end, and what was mirrored on their way to its own."""
    row = _row("branches")
    rays = eye_rays(eye.eye, directions, scene.liquids)
    every = np.ones(len(rays), dtype=bool)
    bounces = int(_row("bounces")["most"])
    found = follow(scene, rays, bounces, every, int(row["depth"]), float(row["least"]))
    if not found.branches:
        return found, None
    parts = found.branches
    together = Bundle(
        *(np.concatenate([getattr(one, name) for one in parts]) for name in Bundle.__slots__)
    )
    return found, follow(scene, together, int(row["bounces"]))


def _edges(scene: Scene, found: Followed, tall: int, columns: int) -> NDArray[np.bool_]:
    """Which pixels show something else than the one beside or below them, flat."""
    way = found.rays.path.sum(axis=1).reshape(tall, columns)
    kind = (found.hit + 2 * (way.ravel() > THIN_CM) + 4 * found.foam).reshape(tall, columns)
    high = found.first[:, 2].reshape(tall, columns)
    out = np.zeros((tall, columns), dtype=bool)
    step = float(_row("edges")["path_cm"])
    for here, there in ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:, :], np.s_[:-1, :])):
        apart = (kind[here] != kind[there]) | (np.abs(way[here] - way[there]) > step)
        apart |= np.abs(high[here] - high[there]) > 4.0 * step
        out[here] |= apart
        out[there] |= apart
    return out.ravel()


class _Sums:
    """Light by pixel, as it is added up."""

    def __init__(self, pixels: int, liquids: int) -> None:
        self.tinted, self.back, self.clear = (np.zeros((pixels, 3)) for _ in range(3))
        self.way, self.way_back = np.zeros((pixels, liquids)), np.zeros((pixels, liquids))
        self.glass, self.drink, self.foam = (np.zeros(pixels) for _ in range(3))

    def maps(self, tall: int, wide: int) -> Maps:
        """What was added, as pictures."""
        seen = {
            "way": self.way / np.maximum(self.tinted.sum(axis=1), 1e-9)[:, np.newaxis],
            "tinted": self.tinted,
            "way_back": self.way_back / np.maximum(self.back.sum(axis=1), 1e-9)[:, np.newaxis],
            "back": self.back,
            "clear": self.clear,
            "glass": self.glass,
            "drink": self.drink,
            "foam": self.foam,
        }
        return Maps(
            **{k: v.reshape(tall, wide, *v.shape[1:]).astype(np.float32) for k, v in seen.items()}
        )


def _add(total: Floats, pixel: NDArray[np.intp], what: Floats) -> None:
    """Add what rays bring, (n, k) or (n,), to their pixels."""
    wide = what.shape[1] if what.ndim > 1 else 1
    flat, into = what.reshape(len(pixel), wide), total.reshape(len(total), wide)
    for n in range(wide):
        into[:, n] += np.bincount(pixel, flat[:, n], len(total))


def _add_seen(
    sums: _Sums,
    scene: Scene,
    found: Followed,
    pixel: NDArray[np.intp],
    share: Floats,
    mirror: float,
) -> None:
    """The light of the way on: through the drink, past it, or past the glass altogether."""
    light = _light(scene, found, mirror) * share[:, np.newaxis]
    way = found.rays.path * (1.0 - scene.loose)
    through = way.sum(axis=1) > THIN_CM
    open_ = ~found.hit
    lost = (found.lost * share)[:, np.newaxis] * studio.unfollowed()
    if open_.any():
        light[open_] *= studio.beside()
        at, kept = _spots(scene, found, open_, mirror)
        thrown = (studio.thrown(scene, *at.T) * kept)[:, np.newaxis] * light[open_]
        shade = np.zeros((int(open_.sum()), scene.liquids))
        shade[:, -1] = 1.5 * float(np.interp(scene.level, *scene.inside.T[::-1]))
        _add(sums.tinted, pixel[open_], thrown)
        _add(sums.way, pixel[open_], shade * thrown.sum(axis=1)[:, np.newaxis])
        light[open_] -= thrown
    _add(sums.tinted, pixel[through], light[through])
    _add(sums.way, pixel[through], way[through] * light[through].sum(axis=1)[:, np.newaxis])
    _add(sums.clear, pixel[~through], light[~through])
    _add(sums.clear, pixel, lost)
    _add(sums.glass, pixel, found.hit * share)
    _add(sums.drink, pixel, through * share)
    _add(sums.foam, pixel, found.foam * share)


def _add_mirrored(
    sums: _Sums,
    scene: Scene,
    found: Followed,
    pixel: NDArray[np.intp],
    share: Floats,
    mirror: float,
) -> None:
    """The light that was mirrored on its way, tinted where it passed the drink."""
    of = found.rays.of
    light = _light(scene, found, mirror) * share[of][:, np.newaxis]
    way = found.rays.path * (1.0 - scene.loose)
    through = way.sum(axis=1) > THIN_CM
    lost = (found.lost * share[of])[:, np.newaxis] * studio.unfollowed()
    _add(sums.back, pixel[of[through]], light[through])
    _add(
        sums.way_back, pixel[of[through]], way[through] * light[through].sum(axis=1)[:, np.newaxis]
    )
    _add(sums.clear, pixel[of[~through]], light[~through])
    _add(sums.clear, pixel[of], lost)


def _light(scene: Scene, found: Followed, mirror: float) -> Floats:
    """What each ray sees at its end, weights (n, 3); `mirror` is -1 for the other half."""
    side = np.array([mirror, 1.0, 1.0])
    light = studio.lights(scene, found.rays.origin * side, found.rays.direction * side)
    light[~found.done] = studio.unfollowed()
    light[found.foam] = studio.on_foam()
    return np.asarray(light * found.rays.weight[:, np.newaxis])


def _spots(
    scene: Scene, found: Followed, rows: NDArray[np.bool_], mirror: float
) -> tuple[Floats, Floats]:
    """Where rays past the glass meet the table, (n, 2), and one where they do, else nought."""
    o, d = found.rays.origin[rows], found.rays.direction[rows]
    down = d[:, 2] < -1e-6
    far = np.where(down, (scene.floor - o[:, 2]) / np.where(down, d[:, 2], -1.0), 0.0)
    at = (o + far[:, np.newaxis] * d)[:, :2] * (mirror, 1.0)
    return at, (down & (at[:, 1] < 3.0 * scene.tall)).astype(np.float64)


def _row(key: str) -> dict[str, float]:
    row: dict[str, float] = read_table("anthocard.engine.optics", "optics.yaml")["pictures"][key]
    return row
