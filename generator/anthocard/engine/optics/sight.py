"""How long light's way through a drink is, by glass, level and view: a table, not a picture.

Belongs here: the ways of light as quantiles over levels, for whoever needs a colour of many doses
at once; the sample tube. Does not belong here: pictures (maps.py), what the liquid absorbs.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.camera import camera, view
from anthocard.engine.optics.outline import brim_ml, glass_profile
from anthocard.engine.optics.rays import eye_rays, follow
from anthocard.engine.optics.scene import Filling, make_scene
from anthocard.engine.optics.walls import drawable
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.optics import Paths, chords
from anthocard.house.settings import Glass

Which: TypeAlias = Literal["side", "above"]
WEDGE_CM = 0.01  # a way as short as this is as clear as none: chosen
VIEWS: Final[tuple[Which, ...]] = ("side", "above")


@dataclass(frozen=True, slots=True)
class GlassView:
    """A drawable glass in one view, and what is known of the ways of light through it by level.

    They are those of the glass full of drink to a level. Ice in it, which here lies nowhere and
    everywhere, makes each of them shorter by its share: one table does for every ice.
    """

    glass: Glass
    which: Which
    elevation_deg: float

    @property
    def rows(self) -> dict[int, Floats]:
        """The rows of the table by level, as far as anyone asked for them in this process.

        Tracing is slow: whoever kept the rows of before may put them here.
        """
        return _rows(self)

    def row(self, level: int) -> Floats:
        """A row (1 + k,) of `quantiles` at one level, traced where it is not known."""
        if level not in self.rows:
            self.rows[level] = quantiles(self, level)
        return self.rows[level]


@dataclass(frozen=True, slots=True)
class Sight:
    """What a drink is looked at through: a glass with a share of ice, from the side and from above.

    `elevations_deg` are those of the two views, from 0, level, to 90, straight down. Without a
    glass it is the sample tube `tube_mm` wide, and from above a dish over white.
    """

    glass: Glass | None
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
        seen_in = self.in_view(which)
        step = _step()
        most = round(1.0 / step) - 1
        full = _brim_ml(seen_in.glass) * (1.0 - self.ice_share)
        place = np.clip(np.nan_to_num(volume / full / step), 0.0, most)
        low = np.minimum(np.floor(place).astype(int), most - 1)
        steps, step_of = np.unique(low, return_inverse=True)
        levels, upper = (np.array([seen_in.row(n + m) for n in steps.tolist()]) for m in (0, 1))
        share = (place - low)[..., np.newaxis]
        ways = ways_of(_between(levels, upper, step_of.reshape(low.shape), share))
        return ways.times(1.0 - self.ice_share)

    def in_view(self, which: Which) -> GlassView:
        """How its glass, which it must have, is looked at in one view."""
        assert self.glass is not None
        return GlassView(_drawable(self.glass), which, self.elevations_deg[VIEWS.index(which)])

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


_drawable = lru_cache(maxsize=1024)(drawable)


@lru_cache(maxsize=1024)
def _brim_ml(glass: Glass) -> float:
    return brim_ml(glass_profile(glass))


@lru_cache(maxsize=1024)
def _rows(seen_in: GlassView) -> dict[int, Floats]:
    return {}


def quantiles(seen_in: GlassView, level: int) -> Floats:
    """A row (1 + k,) of the table: the share of light whose way is a wedge's, then mean lengths
    (k,) cm in the shares of `nodes` of a wedge and of the rest; zeros at level 0.

    Under a wall that flares or narrows some light passes only the drink's thin edge, and few ways
    are longer than those and shorter than the rest: shares that took in both would tell neither.
    """
    wedge, body = nodes()
    found = np.zeros(row_shape())
    none = (np.zeros(0), np.zeros(0))
    path, weight = _traced(seen_in, _brim_ml(seen_in.glass) * _step() * level) if level else none
    if len(path):
        order = np.argsort(path, kind="stable")
        path, weight = path[order], weight[order] / weight.sum()
        middle = path[np.searchsorted(np.cumsum(weight), 0.5)]
        thin = int(np.searchsorted(path, float(_table("paths")["wedge"]["of_middle"]) * middle))
        found[0] = weight[:thin].sum()
        found[1 : len(wedge)] = _means(path[:thin], weight[:thin], wedge)
        found[len(wedge) :] = _means(path[thin:], weight[thin:], body)
    found.setflags(write=False)
    return found


def ways_of(row: Floats) -> Paths:
    """The ways of light of rows (…, 1 + k)."""
    wedge, body = (np.diff(edges) for edges in nodes())
    share = row[..., :1]
    return Paths(row[..., 1:], np.concatenate([share * wedge, (1.0 - share) * body], axis=-1))


def _means(path: Floats, weight: Floats, edges: Floats) -> Floats:
    """Mean lengths of ways (n,), the shortest first, in shares (k,) of their light."""
    if not len(path):
        return np.zeros(len(edges) - 1)
    upto = np.concatenate([[0.0], np.cumsum(weight)])
    sums = np.concatenate([[0.0], np.cumsum(weight * path)])
    found = np.diff(np.interp(edges, upto / upto[-1], sums / upto[-1]))
    return np.asarray(found / np.diff(edges))


def _traced(seen_in: GlassView, room_ml: float) -> tuple[Floats, Floats]:
    """Ways (n,) cm through a drink of the rays that belong to a view, and their weights."""
    scene, through = make_scene(seen_in.glass, Filling((room_ml,))), view(seen_in.which).through
    eye = camera(scene, seen_in.elevation_deg, 100, 100, through)
    rays, bounces = _table("paths")["rays"], int(_table("follow")["bounces"]["table"])
    begun = eye_rays(eye.eye, eye.spread(int(rays["half"]), half=True), 1)
    found = follow(scene, begun, bounces, few=rays["few"])
    seen = (found.wall if through == "wall" else found.surface) & found.done
    return found.path[seen, 0], found.weight[seen]


def _between(low: Floats, high: Floats, step: NDArray[np.intp], share: Floats) -> Floats:
    """Rows (…, 1 + k) at a `share` (…, 1) of a `step` (…) from one level (n, 1 + k) to the next.

    Ways that end in a wedge of drink at the wall are as u over the wedge's share of the light:
    where that share grows evenly their reciprocals go evenly, while the depth of a body does
    itself. The inverse root is near both. Where one level has no wedge, that of the other shrinks
    to nothing. An empty glass has no ways: from there they grow.
    """
    empty = np.asarray(~low.any(axis=-1, keepdims=True))
    near, far = (1.0 / np.sqrt(np.where((one == 0.0) & ~empty, other, one) + WEDGE_CM)
                 for one, other in ((low, high), (high, low)))  # fmt: skip
    part = (1 - share) * near[step] + share * far[step]
    found = np.maximum(1.0 / (part * part) - WEDGE_CM, 0.0)
    if empty.any():
        found = np.where(empty[step], share * high[step], found)
    found[..., 0] = (1 - share[..., 0]) * low[step, 0] + share[..., 0] * high[step, 0]
    return np.asarray(found)


@cache
def nodes() -> tuple[Floats, Floats]:
    """Edges of shares of the light, by length of way, of a wedge and of the rest.

    They are narrow where ways are short: that is where light comes through a dark drink.
    """
    rows = _table("paths")["nodes"]
    wedge, body = (np.linspace(0.0, 1.0, int(rows[part]) + 1) for part in ("wedge", "body"))
    return wedge, body**2


def row_shape() -> tuple[int]:
    """The shape (1 + k,) of a row of the table."""
    return (sum(map(len, nodes())) - 1,)


def _step() -> float:
    """How much of the brim a level of the table is above the one below it."""
    return float(_table("paths")["levels"]["of_brim"])


def _table(section: str) -> dict[str, dict[str, float]]:
    rows: dict[str, dict[str, float]] = read_table("anthocard.engine.optics", "optics.yaml")[
        section
    ]
    return rows
