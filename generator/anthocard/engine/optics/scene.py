"""A filled glass as light meets it: media, the surfaces between them, and bodies that float in it.

Belongs here: where the liquid stands, its meniscus, its layers and its foam. Does not belong here:
the glass's own lines (outline.py, walls.py), the shapes of ice (floating.py), following light.

Lengths in cm, z up, the middle of the inside's bottom at the origin.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.bodies import NONE, Bodies
from anthocard.engine.optics.floating import FrozenLot, floating, frozen
from anthocard.engine.optics.surfaces import (
    AIR,
    FOAM,
    FROZEN,
    GLASS,
    ICE,
    LIQUID,
    Skin,
    Solids,
    Surface,
    segments_of,
    skin_of,
)  # fmt: skip
from anthocard.engine.optics.walls import foot_radius_cm, inside_cm, outside_cm
from anthocard.facts.chemistry.liquid import Floats
from anthocard.house.settings import Glass

INNER, TOP, OUTER = "inner", "top", "outer"


@dataclass(frozen=True, slots=True)
class Filling:
    """What stands in a glass: its liquids from the bottom up, ml, and what is in and on them.

    `ice` is a kind of ice and `ice_share` the share of the filled room that it takes, 0-1;
    `foam_ml` stands on top; `sparkling` has bubbles rise; `frozen` are reveals that have not melted
    yet. Only with `pieces` is ice laid out piece by piece; else, and as far as pieces leave some
    over, it thins every way evenly.
    """

    layers_ml: tuple[float, ...]
    ice: str = "none"
    ice_share: float = 0.0
    foam_ml: float = 0.0
    sparkling: bool = False
    pieces: bool = False
    frozen: tuple[FrozenLot, ...] = ()

    @property
    def room_ml(self) -> float:
        """What liquids and all that is frozen under their level take up together."""
        frozen_ml = sum(lot.under_ml for lot in self.frozen)
        return (sum(self.layers_ml) + frozen_ml) / (1.0 - self.ice_share)


@dataclass(frozen=True, eq=False)
class Scene:
    """All that rays can meet. `levels` are the heights of the liquids' tops from the bottom up.

    `index` is the refractive index by medium, `skins` what is seen from inside each but foam;
    `loose` the share of ice that is not drawn as bodies but thins every path.
    """

    surfaces: tuple[Surface, ...]
    skins: dict[int, Skin]
    kinds: tuple[str, ...]
    index: Floats
    bodies: Bodies
    inside: Floats
    levels: tuple[float, ...]
    foam_top: float
    floor: float
    height: float
    widest: float
    foot: float
    stem: float
    loose: float

    @property
    def level(self) -> float:
        """Height of the uppermost liquid."""
        return self.levels[-1]

    @property
    def tall(self) -> float:
        """From the table to the rim."""
        return self.height - self.floor

    @property
    def liquids(self) -> int:
        """How many liquids lie on each other."""
        return len(self.levels)

    @property
    def tinted(self) -> int:
        """How many things the way of light is measured through: liquids, then what is frozen."""
        return self.liquids + bool(self.bodies.frozen.any())

    @cached_property
    def solids(self) -> Solids:
        """All that rays meet in it."""
        walls = np.array([kind == INNER for kind in self.kinds])
        floating, levels = self.bodies, np.array(self.levels)
        return Solids._make((
            *segments_of(self.skins, walls), floating.boxed, floating.middle, floating.axes,
            floating.half, np.where(floating.frozen, FROZEN, ICE), self.index, levels,
            self.foam_top,
        ))  # fmt: skip


@lru_cache(maxsize=64)
def make_scene(glass: Glass, filling: Filling) -> Scene:
    """The scene of a drawable glass (outline.defects finds none) holding at most what it can."""
    inside = inside_cm(glass)
    rim = float(inside[-1, 1])
    stretch = filling.room_ml / sum(filling.layers_ml)
    heights = [
        min(_height(inside, volume * stretch), rim - 0.05)
        for volume in np.cumsum(filling.layers_ml)
    ]
    radius = _radius(inside, heights[-1])
    climb, capillary = (float(row["mm"]) / 10.0 for row in _table("meniscus").values())
    foam_top = heights[-1]
    if filling.foam_ml:
        foam_top = min(_height(inside, filling.room_ml + filling.foam_ml), rim - 0.03)
    else:
        heights[-1] -= min(0.05, 2.0 * climb * capillary / radius)  # what the meniscus holds
        foam_top = heights[-1]
    surfaces, kinds = _stacked(inside, heights, foam_top, climb, capillary)
    outer = outside_cm(glass, inside)
    surfaces.append(Surface(outer, (AIR, GLASS)))
    kinds.append(OUTER)
    media = (AIR, GLASS, *range(LIQUID, LIQUID + len(heights)))
    indices = _table("indices")
    index = [indices[key]["n"] for key in ("air", "glass", "ice", "liquid", "ice")]
    index += [indices["liquid"]["n"]] * len(heights)
    bodies = NONE
    if filling.pieces:
        laid = frozen(filling.frozen, inside, heights[-1])
        bodies = floating(filling.ice, filling.ice_share, inside, heights[-1], laid)
    share = 1.0 - 1.0 / stretch
    sunk = bodies.ice_below(heights[-1]) / max(_volume(inside, heights[-1]), 1e-9)
    return Scene(
        surfaces=tuple(surfaces),
        skins={medium: skin_of(surfaces, medium) for medium in media},
        kinds=tuple(kinds),
        index=np.array(index),
        bodies=bodies,
        inside=inside,
        levels=tuple(heights),
        foam_top=foam_top,
        floor=float(outer[:, 1].min()) - 0.002,
        height=float(outer[:, 1].max()),
        widest=float(outer[:, 0].max()),
        foot=foot_radius_cm(inside, glass),
        stem=glass.stem / 10.0,
        loose=max(0.0, (share - sunk) / max(1.0 - sunk, 1e-9)),
    )


def _stacked(
    inside: Floats, levels: list[float], foam_top: float, climb: float, capillary: float
) -> tuple[list[Surface], list[str]]:
    """The inner wall by what it holds, and the tops of what stands in it."""
    surfaces, kinds, low = [], [], -1.0
    for number, level in enumerate(levels):
        medium, last = LIQUID + number, number == len(levels) - 1
        beyond = (FOAM if foam_top > level else AIR) if last else medium + 1
        open_ = last and foam_top <= level  # only a surface in air climbs the wall
        up = level + min(climb, max(0.02, float(inside[-1, 1]) - level - 0.02)) if open_ else level
        surfaces.append(Surface(_between(inside, low, up), (medium, GLASS)))
        surfaces.append(Surface(_top(inside, level, up, capillary), (medium, beyond)))
        kinds += [INNER, TOP]
        low = up
    if foam_top > low:
        surfaces.append(Surface(_between(inside, low, foam_top), (FOAM, GLASS)))
        surfaces.append(Surface(_top(inside, foam_top, foam_top, capillary), (FOAM, AIR)))
        kinds += [INNER, TOP]
        low = foam_top
    surfaces.append(Surface(_between(inside, low, np.inf), (AIR, GLASS)))
    kinds.append(INNER)
    return surfaces, kinds


def _between(inside: Floats, low: float, high: float) -> Floats:
    """The part of the inner wall between two heights, cut exactly there."""
    z = inside[:, 1]
    kept = inside[(z > low + 1e-3) & (z < high - 1e-3)]
    ends = []
    if low > z[0]:
        ends.append([[_radius(inside, low), low]])
    elif not len(kept) or kept[0, 1] > z[0]:
        ends.append(inside[:1].tolist())
    ends.append(kept.tolist())
    if high < z[-1]:
        ends.append([[_radius(inside, high), high]])
    elif kept[-1, 1] < z[-1]:
        ends.append(inside[-1:].tolist())
    return np.array([point for part in ends for point in part])


def _top(inside: Floats, level: float, up: float, capillary: float) -> Floats:
    """A level surface from the axis to the wall, climbing it to `up` where that is higher."""
    edge = _radius(inside, up)
    if up <= level:
        return np.array([[0.0, level], [edge, level + 2e-4]])
    away = np.array([0.75, 0.5, 0.34, 0.23, 0.15, 0.09, 0.045, 0.015, 0.0])
    away = away[away < 0.9 * edge]
    far = np.exp(-away[0] / capillary)
    rise = (up - level) * (np.exp(-away / capillary) - far) / (1.0 - far)
    rise[0] = 3e-4
    return np.concatenate([[[0.0, level]], np.stack([edge - away, level + rise], axis=1)])


def _radius(inside: Floats, z: float) -> float:
    return float(np.interp(z, inside[:, 1], inside[:, 0]))


def _volumes(inside: Floats) -> Floats:
    a, b, h = inside[:-1, 0], inside[1:, 0], np.diff(inside[:, 1])
    return np.concatenate([[0.0], np.cumsum(np.pi * h * (a * a + a * b + b * b) / 3.0)])


def _volume(inside: Floats, z: float) -> float:
    """Millilitres below a height, within a part in ten thousand."""
    fine = np.linspace(inside[0, 1], z, 400)
    r = np.interp(fine, inside[:, 1], inside[:, 0])
    return float(np.sum(np.pi * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) / 3 * np.diff(fine)))


def _height(inside: Floats, ml: float) -> float:
    """Where `ml` stands, cm."""
    volumes = _volumes(inside)
    n = int(np.clip(np.searchsorted(volumes, ml) - 1, 0, len(inside) - 2))
    low, high = float(inside[n, 1]), float(inside[n + 1, 1])
    if ml >= volumes[-1]:
        return float(inside[-1, 1])
    fine = np.linspace(low, high, 65)
    r = np.interp(fine, inside[:, 1], inside[:, 0])
    slices = np.pi * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) / 3 * np.diff(fine)
    return float(np.interp(ml - volumes[n], np.concatenate([[0.0], np.cumsum(slices)]), fine))


@cache
def _table(section: str) -> dict[str, dict[str, float]]:
    rows: dict[str, dict[str, float]] = read_table("anthocard.engine.optics", "optics.yaml")[
        section
    ]
    return rows
