"""Where the eye stands, and the rays of a picture.

Belongs here: framing a glass in a picture seen at an elevation. Does not belong here: what the rays
meet (rays.py, studio.py). Lengths in cm; the eye looks along +y, x runs to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.scene import Scene
from anthocard.engine.optics.surfaces import Ints
from anthocard.facts.chemistry.liquid import Floats


@dataclass(frozen=True, slots=True)
class View:
    """How a glass is looked at: a name, degrees over the horizon, and what the drink is seen
    through first: its wall or its surface."""

    name: str
    elevation_deg: float
    through: str


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """The eye (3,), the picture's middle ray, and how many cm a pixel is at the glass."""

    eye: Floats
    forward: Floats
    up: Floats
    distance: float
    centre: float  # cm: height of the picture's middle over the glass's own, on the screen
    pixel: float
    wide: int
    tall: int

    def directions(self, samples: int, columns: slice = slice(None)) -> Floats:
        """Unit directions (tall · samples, wide · samples, 3) of a picture's samples."""
        x = (np.arange(self.wide * samples)[columns] + 0.5) / samples
        y = (np.arange(self.tall * samples) + 0.5) / samples
        return self._through(*np.broadcast_arrays(x[np.newaxis, :], y[:, np.newaxis]))

    def spread(self, count: int, half: bool) -> Floats:
        """Unit directions (count, 3) evenly spread over the picture, or over its left half.

        Points of the plastic number's sequence (Roberts M., 2018, second-hand): no row of them runs
        along an edge of the glass, as rows of pixels do.
        """
        step = 1.3247179572447460
        number = np.arange(1, count + 1)
        x, y = (0.5 + number / step) % 1.0, (0.5 + number / step**2) % 1.0
        return self._through(x * self.wide * (0.5 if half else 1.0), y * self.tall)

    def within(self, column: Ints, row: Ints, count: int) -> Floats:
        """Unit directions (n · count, 3) on a diagonal of each of n pixels, pixel by pixel."""
        part = (np.arange(count) + 0.5) / count
        other = np.roll(part, 1) if count > 2 else part
        return self._through((column[:, None] + part).ravel(), (row[:, None] + other).ravel())

    def _through(self, x: Floats, y: Floats) -> Floats:
        """Unit directions through places of the picture, in pixels from its upper left."""
        right = (x - self.wide / 2) * self.pixel
        high = self.centre - (y - self.tall / 2) * self.pixel
        d = (
            self.forward * self.distance
            + right[..., np.newaxis] * np.array([1.0, 0.0, 0.0])
            + high[..., np.newaxis] * self.up
        )
        return np.asarray(d / np.linalg.norm(d, axis=-1, keepdims=True))

    def spot(self, point: Floats) -> tuple[float, float]:
        """Where a point (3,) in space stands in the picture, in pixels from its upper left."""
        off = point - self.eye
        scale = self.distance / float(off @ self.forward) / self.pixel
        y = self.centre / self.pixel - float(off @ self.up) * scale
        return self.wide / 2 + float(off[0]) * scale, self.tall / 2 + y


@cache
def view(name: str) -> View:
    """A view of the table, `side` or `above`. Raises KeyError."""
    row = read_table("anthocard.engine.optics", "optics.yaml")["views"][name]
    return View(name, float(row["elevation_deg"]), str(row["through"]))


def camera(
    scene: Scene, elevation_deg: float, wide: int, tall: int, drink_only: str = ""
) -> Camera:
    """The eye from which the whole glass fills a picture of that many pixels.

    `drink_only` (`wall` or `surface`, as views are through) has just the drink below its surface or
    that surface fill it. The eye stands where it does either way.
    """
    rows = read_table("anthocard.engine.optics", "optics.yaml")["camera"]
    tilt = np.radians(elevation_deg)
    reach = max(scene.widest, scene.foot)
    distance = float(rows["distance"]["of_height"]) * max(scene.tall, 2.0 * reach)
    forward = np.array([0.0, np.cos(tilt), -np.sin(tilt)])
    up = np.array([0.0, np.sin(tilt), np.cos(tilt)])
    middle = np.array([0.0, 0.0, (scene.height + scene.floor) / 2])
    rings = [(scene.foot, scene.floor), (scene.widest, scene.height)]
    if drink_only:
        low = scene.level - 0.4 if drink_only == "surface" else -0.3
        radii, heights = scene.inside.T
        ends = np.interp([low, scene.foam_top + 0.3], heights, radii)
        between = radii[(heights > low) & (heights < scene.foam_top + 0.3)]
        reach = float(np.concatenate([ends, between]).max()) + 0.2
        rings = [(reach, low), (reach, scene.foam_top + 0.3)]
    seen = []
    for radius, z in rings:
        for y in (-radius, radius):
            off = np.array([0.0, y, z]) - middle
            seen.append(float(off @ up) * distance / (distance + float(off @ forward)))
    margin = 1.0 if drink_only else float(rows["margin"]["of_glass"])
    half_wide = reach * distance / (distance - reach)
    pixel = max((max(seen) - min(seen)) * margin / tall, 2.0 * half_wide * margin / wide)
    centre = (max(seen) + min(seen)) / 2
    return Camera(middle - distance * forward, forward, up, distance, centre, pixel, wide, tall)
