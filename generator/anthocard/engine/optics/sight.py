"""How long light's way through a drink is, by glass, level and view: a table, not a picture.

Belongs here: the ways of light as quantiles over levels, for whoever needs a colour of many doses
at once; the sample tube. Does not belong here: pictures (maps.py), what the liquid absorbs.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.camera import View, camera, view
from anthocard.engine.optics.drawable import drawable
from anthocard.engine.optics.outline import brim_ml, glass_profile
from anthocard.engine.optics.rays import eye_rays, follow
from anthocard.engine.optics.scene import Filling, make_scene
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.optics import Paths, chords
from anthocard.house.settings import Glass

Which: TypeAlias = Literal["side", "above"]
WEDGE_CM = 0.01  # a way as short as this is as clear as none: chosen
VIEWS: Final[tuple[Which, ...]] = ("side", "above")


@dataclass(frozen=True, slots=True)
class Sight:
    """What a drink is looked at through: a glass with its ice, from the side and from above.

    `elevations_deg` are those of the two views, from 0, level, to 90, straight down. Without a
    glass it is the sample tube `tube_mm` wide, and from above a dish over white.
    """

    glass: Glass | None
    ice: str = "none"
    ice_share: float = 0.0
    elevations_deg: tuple[float, float] = (12.0, 55.0)
    tube_mm: float = 0.0

    def paths(self, which: Which, volume_ml: ArrayLike) -> Paths:
        """The ways of light through `volume_ml` (≥ 0, any shape; what runs over stands level).

        Seen from the side they come in through the wall, seen from above through the surface.
        """
        volume = np.asarray(volume_ml, dtype=np.float64)
        if self.glass is None:
            return self._sample(which, volume)
        glass = drawable(self.glass)
        step = float(_table("paths")["levels"]["of_brim"])
        most = round(1.0 / step) - 1
        full = brim_ml(glass_profile(glass)) * (1.0 - self.ice_share)
        place = np.clip(np.nan_to_num(volume / full / step), 0.0, most)
        low = np.minimum(np.floor(place).astype(int), most - 1)
        rows = {n: self._at(glass, which, n) for n in np.unique([low, low + 1]).tolist()}
        share = (place - low)[..., np.newaxis]
        table = np.array([rows.get(n, rows[min(rows)]) for n in range(most + 1)])
        return Paths(_between(table[low], table[low + 1], share), nodes()[1])

    def traced(self, which: Which) -> dict[int, Floats]:
        """The rows of the table by level, as far as anyone asked for them in this process.

        Tracing is slow: whoever kept the rows of before may put them here.
        """
        place = VIEWS.index(which)
        if self.glass is None:
            return {}
        glass = drawable(self.glass)
        return _rows(glass, self.ice, self.ice_share, which, self.elevations_deg[place])

    def _at(self, glass: Glass, which: Which, level: int) -> Floats:
        rows, place = self.traced(which), VIEWS.index(which)
        if level not in rows:
            rows[level] = quantiles(
                glass, self.ice, self.ice_share, which, self.elevations_deg[place], level
            )
        return rows[level]

    def _sample(self, which: Which, volume: Floats) -> Paths:
        if which == "side":
            found = chords(self.tube_mm)
        else:
            depth_mm = float(_table("samples")["over_white"]["depth_mm"])
            found = Paths(np.array([2.0 * depth_mm / 10.0]), np.array([1.0]))
        return Paths(np.broadcast_to(found.cm, (*volume.shape, found.cm.shape[-1])), found.weights)


def sample_tube(width_mm: float) -> Sight:
    """How liquids that are not served are looked at: in a tube, and over white."""
    return Sight(None, tube_mm=width_mm)


@lru_cache(maxsize=1024)
def _rows(
    glass: Glass, ice: str, ice_share: float, which: Which, elevation_deg: float
) -> dict[int, Floats]:
    return {}


def quantiles(
    glass: Glass, ice: str, ice_share: float, which: Which, elevation_deg: float, level: int
) -> Floats:
    """Mean lengths (k,) cm in the shares of `nodes`, at a level of the table; zeros at level 0."""
    if not level:
        return np.zeros(len(nodes()[1]))
    step = float(_table("paths")["levels"]["of_brim"])
    room_ml = brim_ml(glass_profile(glass)) * step * level
    filling = Filling((room_ml * (1.0 - ice_share),), ice, ice_share)
    path, weight = traced(glass, filling, view(which), elevation_deg)
    if not len(path):
        return np.zeros(len(nodes()[1]))
    order = np.argsort(path, kind="stable")
    weights = weight[order] / weight.sum()
    upto = np.concatenate([[0.0], np.cumsum(weights)])
    sums = np.concatenate([[0.0], np.cumsum(weights * path[order])])
    found = np.diff(np.interp(nodes()[0], upto, sums)) / nodes()[1]
    found.setflags(write=False)
    return np.asarray(found)


def traced(
    glass: Glass, filling: Filling, look: View, elevation_deg: float
) -> tuple[Floats, Floats]:
    """Ways (n,) cm through all liquids of the rays that belong to a view, and their weights."""
    scene = make_scene(glass, filling)
    eye = camera(scene, elevation_deg, 100, 100, look.through)
    whole = len(scene.bodies) > 0
    count = int(_table("paths")["rays"]["whole" if whole else "half"])
    directions = eye.spread(count, half=not whole)
    rays = eye_rays(eye.eye, directions, scene.liquids)
    found = follow(scene, rays, int(_table("follow")["bounces"]["table"]))
    seen = found.entered[0 if look.through == "wall" else 1] & found.done
    path = found.rays.path[seen].sum(axis=1) * (1.0 - scene.loose)
    return path, found.rays.weight[seen]


def _between(low: Floats, high: Floats, share: Floats) -> Floats:
    """Ways (…, k) at a `share` (…, 1) of the step from one level to the next.

    Ways that end in a wedge of drink at the wall are as u over the wedge's share of the light:
    where that share grows evenly their reciprocals go evenly, while the depth of a body does
    itself. The inverse root is near both. An empty glass has no ways: from there they grow.
    """
    part = (1 - share) * (low + WEDGE_CM) ** -0.5 + share * (high + WEDGE_CM) ** -0.5
    empty = ~low.any(axis=-1, keepdims=True)
    return np.asarray(np.where(empty, share * high, np.maximum(part**-2 - WEDGE_CM, 0.0)))


@cache
def nodes() -> tuple[Floats, Floats]:
    """Edges (k + 1,) of shares of the light, by length of way, and the shares (k,) between them.

    They are narrow where ways are short: that is where light comes through a dark drink.
    """
    edges = np.linspace(0.0, 1.0, int(_table("paths")["nodes"]["count"]) + 1) ** 3
    return edges, np.diff(edges)


def _table(section: str) -> dict[str, dict[str, float]]:
    rows: dict[str, dict[str, float]] = read_table("anthocard.engine.optics", "optics.yaml")[
        section
    ]
    return rows
