"""A picture of a filled glass before it has a colour: for each pixel the way through the drink.

Belongs here: tracing one glass, level and view into maps, and maps as bytes. Does not belong here:
what stands around it (studio.py), the colours of a drink (paint.py), quantiles for many doses
(sight.py).
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics import studio
from anthocard.engine.optics.camera import Camera, camera
from anthocard.engine.optics.meshes import meshes
from anthocard.engine.optics.rays import Rays, eye_rays, follow
from anthocard.engine.optics.scene import Filling, Scene, make_scene
from anthocard.engine.optics.walls import drawable
from anthocard.facts.chemistry.liquid import Floats
from anthocard.house.settings import Glass

SEEN = ("kind", "way", "height")  # what a ray first met, by which pixels are told apart
LIGHTS = 9  # tinted, mirrored and clear, each of page, glow and lamps
THIN_CM = 0.003  # a way shorter than this is none: an edge that a ray grazed


@dataclass(frozen=True, slots=True, eq=False)
class Maps:
    """Pictures (tall, wide, …) of one filled glass, seen one way.

    `way` (…, k), cm, is the mean way of light through each of the liquids from the bottom up, and
    then through what is frozen where anything is; `tinted` (…, 3) is the light
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
        parts = [getattr(self, name).reshape(*self.shape, -1) for name in self.__slots__]
        np.save(out, np.concatenate(parts, axis=2).astype(np.float16), allow_pickle=False)
        return zlib.compress(out.getvalue(), 1)

    def halved(self) -> Maps:
        """The same in half as many pixels across and down, each the mean of four: of ways by the
        light that took them. An even number of rows and columns.
        """
        made = {name: _of_four(getattr(self, name)) for name in self.__slots__ if "way" not in name}
        for name, light in (("way", self.tinted), ("way_back", self.back)):
            weight = light.sum(axis=2, keepdims=True)
            all_of_it = np.maximum(_of_four(weight), 1e-9)
            made[name] = _of_four(getattr(self, name) * weight) / all_of_it
        return Maps(**made)


def unpacked(content: bytes) -> Maps:
    """Maps of what `packed` gave. Raises ValueError for other bytes."""
    try:
        whole = np.load(BytesIO(zlib.decompress(content)), allow_pickle=False).astype(np.float32)
    except zlib.error as error:
        raise ValueError("these bytes are no maps") from error
    liquids = (whole.shape[2] - LIGHTS - 3) // 2
    wide = (liquids, 3, liquids, 3, 3)
    parts = np.split(whole, np.cumsum((*wide, 1, 1)), axis=2)
    return Maps(*parts[:5], *(part[..., 0] for part in parts[5:]))


def _of_four(values: Floats) -> Floats:
    """The mean of every two by two of (tall, wide, …)."""
    return np.asarray(sum(values[down::2, across::2] for down in (0, 1) for across in (0, 1)) / 4)


def picture(
    glass: Glass, filling: Filling, elevation_deg: float, wide: int, tall: int
) -> tuple[Scene, Camera]:
    """The scene and the eye of a picture of a glass; a broken outline is shown as a plain one."""
    scene = make_scene(drawable(glass), filling)
    return scene, camera(scene, elevation_deg, wide, tall)


def traced(glass: Glass, filling: Filling, elevation_deg: float, wide: int, tall: int) -> Maps:
    """The maps of a filled glass in a picture of an even number of pixels across.

    Every other pixel of every other row is looked at; those between lie evenly between them, or are
    looked at too where their neighbours do not see the same alike. A pixel that differs from the
    one beside it is looked at once more, in several places. A glass without pieces of ice is
    traced by half: what its rays see is not the same.
    """
    from anthocard.engine.optics import compositor  # slow to load, as rays.py says

    scene, eye = picture(glass, filling, elevation_deg, wide, tall)
    room = studio.studio_around(scene)
    whole = len(scene.bodies) > 0
    columns = wide if whole else wide // 2
    sides = [_Sums(tall * columns, scene.tinted) for _ in range(1 if whole else 2)]
    seen = np.zeros((tall * columns, len(SEEN)))

    def sample(pixel: NDArray[np.intp], many: int) -> None:
        found = _follow(scene, eye, eye.within(pixel % columns, pixel // columns, many))
        share = 1.0 if many == 1 else 1.0 / (1 + many)
        if many == 1:
            seen[pixel] = _seen_by(found.part(slice(len(pixel))))
        of = np.repeat(pixel, many)
        for sums, mirror in zip(sides, (1.0, -1.0), strict=False):
            sums.every[pixel] *= 1.0 - many * share  # what one look told counts as one of many
            compositor.gather(room, found, len(of), of, share, mirror, THIN_CM, sums.every)

    net = meshes(tall, columns)
    sample(net.crossings, 1)
    corners = np.concatenate([seen, *(sums.light for sums in sides)], axis=1)
    rest = net.uneven(corners, _uneven(len(sides)))
    for every in (seen, *(sums.every for sums in sides)):
        net.fill(every)
    sample(rest, 1)
    sample(_edges(seen.reshape(tall, columns, -1)), int(_row("edges")["samples"]))
    made = [sums.maps(tall, columns) for sums in sides]
    if whole:
        return made[0]
    left, right = made
    return Maps(
        *(
            np.concatenate([getattr(left, name), getattr(right, name)[:, ::-1]], axis=1)
            for name in Maps.__slots__
        )
    )


def _follow(scene: Scene, eye: Camera, directions: Floats) -> Rays:
    """Rays of the eye to their end, and after them what was mirrored on their way to its own."""
    row, bounces = _row("branches"), _row("bounces")
    rays = eye_rays(eye.eye, directions, scene.tinted)
    most, few = int(bounces["most"]), float(bounces["few"])
    return follow(scene, rays, most, int(row["depth"]), row["least"], row["wall"], few)


def _seen_by(found: Rays) -> Floats:
    """What each ray saw, (n, SEEN)."""
    way = found.path.sum(axis=1)
    kind = found.hit + 2.0 * (way > THIN_CM) + 4.0 * found.foam
    return np.stack([kind, way, found.first[:, 2]], axis=1)


def _uneven(sides: int) -> Floats:
    """By how much what was seen, and the light of so many sides, may differ in a mesh."""
    row = _row("meshes")
    light = np.full(sides * LIGHTS, row["light"])
    return np.concatenate([[0.0, row["path_cm"], row["height_cm"]], light])


def _edges(seen: Floats) -> NDArray[np.intp]:
    """Which pixels show something else than the one beside or below them, flat."""
    out = np.zeros(seen.shape[:2], dtype=bool)
    step = float(_row("edges")["path_cm"])
    most = np.array([0.0, step, 4.0 * step])
    for here, there in ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[1:, :], np.s_[:-1, :])):
        apart = np.any(np.abs(seen[here] - seen[there]) > most, axis=2)
        out[here] |= apart
        out[there] |= apart
    return np.flatnonzero(out)


class _Sums:
    """Light by pixel, as it is added up: the columns of `every`, and names for them."""

    def __init__(self, pixels: int, tinted: int) -> None:
        self.every = np.zeros((pixels, LIGHTS + 3 + 2 * tinted))
        self.light = self.every[:, :LIGHTS]
        self.tinted, self.back, self.clear = (self.light[:, n : n + 3] for n in (0, 3, 6))
        self.glass, self.drink, self.foam = (self.every[:, LIGHTS + n] for n in range(3))
        self.way, self.way_back = np.split(self.every[:, LIGHTS + 3 :], 2, axis=1)

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


def _row(key: str) -> dict[str, float]:
    row: dict[str, float] = read_table("anthocard.engine.optics", "optics.yaml")["pictures"][key]
    return row
