"""The shapes that are drawn on traced pictures, at their place in the glass.

Belongs here: a pen that draws at points in space, and what it draws with it. Does not belong here:
which shape a garnish is (garnish.py).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

import numpy as np

from anthocard.engine.optics.camera import Camera
from anthocard.engine.optics.scene import Scene

FINER: Final = 3  # drawn so many times larger, then scaled down
EDGE: Final = 4 * FINER  # a garnish keeps so far from the edge of its picture, in the large drawing
BUBBLES: Final = 46  # in a picture; they stand for more. Chosen
GRAINS: Final = 170
SHARDS: Final = 420


class Extent:
    """Takes what a pen draws and keeps only the box around it, in pixels of the large drawing."""

    def __init__(self) -> None:
        self.left = self.top = float("inf")
        self.right = self.bottom = float("-inf")

    def ellipse(self, box: tuple[float, float, float, float], fill: object = None) -> None:
        """A disc in a box."""
        self._holds([box[:2], box[2:]], 0.0)

    def line(self, points: list[tuple[float, float]], fill: object, wide: int, joint: str) -> None:
        """A line so wide."""
        self._holds(points, wide / 2)

    def polygon(self, points: list[tuple[float, float]], fill: object = None) -> None:
        """What points enclose."""
        self._holds(points, 0.0)

    def _holds(self, points: Sequence[tuple[float, ...]], around: float) -> None:
        for x, y in points:
            self.left, self.right = min(self.left, x - around), max(self.right, x + around)
            self.top, self.bottom = min(self.top, y - around), max(self.bottom, y + around)


class Pen:
    """Draws at points of the scene, cm; smaller `about` a place of the drawing if its zoom is."""

    def __init__(self, draw: Any, scene: Scene, eye: Camera) -> None:
        self.draw, self.scene, self.eye = draw, scene, eye
        self._zoom, self._about = 1.0, (0.0, 0.0)

    @property
    def scale(self) -> float:
        """Pixels of the large drawing a cm, near enough anywhere in the glass."""
        return self._zoom * FINER / self.eye.pixel

    def whole(self, shape: str, tint: dict[str, str], side: int) -> None:
        """Draw a shape so that all of it is in the picture: one that would be cut is drawn smaller,
        its lower end, towards the middle, where it is.
        """
        box = Extent()
        SHAPES[shape](Pen(box, self.scene, self.eye), tint, side)
        wide, tall = self.eye.wide * FINER - EDGE, self.eye.tall * FINER - EDGE
        inner = box.left if side > 0 else box.right
        across = (wide - inner) if side > 0 else (inner - EDGE)
        lower = min(box.bottom, tall)
        shares = across / (box.right - box.left), (lower - EDGE) / (box.bottom - box.top)
        self._zoom, self._about = min(1.0, *shares), (inner, box.bottom)
        SHAPES[shape](self, tint, side)
        self._zoom = 1.0

    @property
    def rim(self) -> float:
        """Half the width of the glass at its rim, cm."""
        return float(self.scene.inside[-1, 0])

    def surface(self) -> float:
        """Half the width of the drink's surface, cm."""
        z = self.scene.level
        return float(np.interp(z, self.scene.inside[:, 1], self.scene.inside[:, 0]))

    def at(self, x: float, y: float, z: float) -> tuple[float, float]:
        """Where a point stands in the large drawing, pixels."""
        spot = self.eye.spot(np.array([x, y, z]))
        across, down = (
            fixed + self._zoom * (FINER * part - fixed)
            for part, fixed in zip(spot, self._about, strict=True)
        )
        return across, down

    def round(self, x: Any, y: Any, z: Any, r: float, fill: str, alpha: int = 255) -> None:
        """A disc of radius `r` towards the eye."""
        across, down = self.at(x, y, z)
        half = r * self.scale
        box = (across - half, down - half, across + half, down + half)
        self.draw.ellipse(box, fill=_rgba(fill, alpha))

    def line(self, points: list[Any], wide: float, fill: str, alpha: int = 255) -> None:
        """A line through points (3,), `wide` cm."""
        flat = [self.at(*(float(one) for one in point)) for point in points]
        self.draw.line(flat, _rgba(fill, alpha), max(1, round(wide * self.scale)), "curve")

    def area(self, points: list[Any], fill: str, alpha: int = 255) -> None:
        """What points (3,) enclose."""
        flat = [self.at(*(float(one) for one in point)) for point in points]
        self.draw.polygon(flat, _rgba(fill, alpha))


def _twist(pen: Pen, tint: dict[str, str], side: int) -> None:
    """A curl of peel over the rim, light inside."""
    h, r, turns = pen.scene.height, pen.rim, np.linspace(0.0, 1.0, 26)
    wave = 0.16 * np.sin(turns * 9.0)
    outer = [(side * (0.62 * r + 0.45 * r * t), -0.35, h + 0.42 - 2.3 * t**1.7 + w)
             for t, w in zip(turns, wave, strict=True)]  # fmt: skip
    pen.line(outer, 0.46, tint["dark"])
    pen.line(outer, 0.38, tint["fill"])
    pen.line([(x, y, z + 0.09) for x, y, z in outer[2:-3]], 0.08, tint["light"], 190)


def _wheel(pen: Pen, tint: dict[str, str], side: int) -> None:
    """A round of fruit on the rim, its plane towards the eye."""
    r = min(1.5, max(0.9, 0.5 * pen.rim))
    x, z = side * 0.80 * pen.rim, pen.scene.height + 0.35 * r
    turn = np.linspace(0.0, 2 * np.pi, 60)
    up, right = pen.eye.up, np.array([1.0, 0.0, 0.0])

    def ring(part: float) -> list[Any]:
        middle = np.array([x, -0.2, z])
        return [middle + part * r * (np.cos(t) * right + np.sin(t) * up) for t in turn]

    pen.area(ring(1.0), tint["dark"])
    pen.area(ring(0.97), tint["fill"])
    pen.area(ring(0.86), "#fbf8e8")
    middle = np.array([x, -0.2, z])
    for n in range(9):
        a, b = (n + 0.09) * 2 * np.pi / 9, (n + 0.91) * 2 * np.pi / 9
        edge = [middle + 0.80 * r * (np.cos(t) * right + np.sin(t) * up)
                for t in np.linspace(a, b, 9)]  # fmt: skip
        start = middle + 0.10 * r * (np.cos((a + b) / 2) * right + np.sin((a + b) / 2) * up)
        pen.area([start, *edge], tint["light"])
        pen.line([start, edge[4]], 0.03, tint["fill"], 150)


def _pick(pen: Pen, side: int) -> list[Any]:
    """A pick that leans on the rim, its lower end in the drink."""
    r, level = pen.surface(), pen.scene.level
    start = np.array([-side * 0.35 * r, -0.2, level + 0.05])
    end = np.array([side * (pen.rim + 0.5), -0.2, pen.scene.height + 0.9])
    pen.line([start, end], 0.09, "#8c7a58")
    return [start + share * (end - start) for share in (0.12, 0.30)]


def _olive(pen: Pen, tint: dict[str, str], side: int) -> None:
    x, y, z = _pick(pen, side)[0]
    pen.round(x, y, z, 0.62, tint["dark"])
    pen.round(x, y, z, 0.57, tint["fill"])
    pen.round(x - 0.18, y, z + 0.18, 0.17, tint["light"], 170)
    pen.round(x + 0.36, y, z - 0.12, 0.15, "#a8442e")


def _cherry(pen: Pen, tint: dict[str, str], side: int) -> None:
    x, y, z = _pick(pen, side)[0]
    pen.line(
        [(x, y, z), (x + 0.35 * side, y, z + 1.1), (x + 0.9 * side, y, z + 1.9)], 0.07, "#5d4a24"
    )
    pen.round(x, y, z, 0.68, tint["dark"])
    pen.round(x, y, z, 0.62, tint["fill"])
    pen.round(x - 0.2, y, z + 0.2, 0.15, tint["light"], 200)


def _flower(pen: Pen, tint: dict[str, str], side: int) -> None:
    """Petals that float on the drink."""
    r, turn = pen.surface(), np.linspace(0.0, 2 * np.pi, 24)
    middle = np.array([side * 0.22 * r, -0.22 * r, pen.scene.foam_top + 0.06])
    for n in range(5):
        a = n * 2 * np.pi / 5 + 0.4
        out, over = np.array([np.cos(a), np.sin(a), 0.0]), np.array([-np.sin(a), np.cos(a), 0.0])
        petal = [middle + (0.48 + 0.42 * np.cos(t)) * out + 0.26 * np.sin(t) * over for t in turn]
        pen.area(petal, tint["dark"], 235)
        pen.area([middle + 0.94 * (point - middle) for point in petal], tint["fill"], 245)
    pen.round(middle[0], middle[1], middle[2], 0.16, tint["light"])


def _leaf(pen: Pen, tint: dict[str, str], side: int) -> None:
    """A leaf that lies on the drink and shows over the rim."""
    r, level, long = pen.surface(), pen.scene.level, min(5.0, 1.5 * pen.surface())
    start = np.array([-side * 0.25 * r, -0.2 * r, level + 0.1])
    end = start + np.array([side * 0.80 * long, 0.1, 0.55 * long])
    along, steps = end - start, np.linspace(0, 1, 20)
    across = 0.20 * long * np.array([-0.5 * side, -0.5, 0.75])
    body = np.sin(np.pi * steps**0.85)
    upper = [start + t * along + b * across for t, b in zip(steps, body, strict=True)]
    lower = [start + t * along - b * across for t, b in zip(steps, body, strict=True)]
    pen.area([*upper, *lower[::-1]], tint["dark"])
    pen.area([*upper, *[start + t * along for t in steps][::-1]], tint["fill"])
    pen.line([start, end], 0.05, tint["light"], 200)


def _sprig(pen: Pen, tint: dict[str, str], side: int) -> None:
    """A stalk with small leaves that leans on the rim."""
    r, tall = pen.surface(), pen.scene.height
    start = np.array([-side * 0.3 * r, 0.0, pen.scene.level])
    end = np.array([side * 0.72 * pen.rim, -0.2, tall + 2.1])
    stalk = [
        start + t * (end - start) + np.array([0, 0, 0.25 * np.sin(np.pi * t)])
        for t in np.linspace(0, 1, 16)
    ]
    pen.line(stalk, 0.09, "#55804a")
    flowering = tint["fill"].startswith("#8f7c")
    for n, at in enumerate(stalk[4:]):
        lean = 1 if n % 2 else -1
        size = 0.34 if n > 6 or not flowering else 0.22
        tip = at + np.array([lean * size * 1.3, 0, size * 0.9])
        side_ = np.array([-0.5 * lean * size * 0.6, 0, size * 0.6])
        middle = (at + tip) / 2
        colour = tint["fill"] if not flowering or n > 4 else "#5d8f4c"
        pen.area([at, middle + side_, tip, middle - side_ * 0.6], colour)
        pen.line([at, tip], 0.03, tint["light"], 150)


def _drops(pen: Pen, tint: dict[str, str], side: int) -> None:
    """A row of drops on the surface or its foam."""
    r, top = pen.surface(), pen.scene.foam_top
    for n in range(5):
        x = (n - 2) * 0.30 * r
        size = 0.13 + 0.05 * (n % 2)
        turn = np.linspace(0, 2 * np.pi, 24)
        ring = [
            (x + size * np.cos(t), side * 0.08 * r + size * np.sin(t), top + 0.03) for t in turn
        ]
        pen.area(ring, tint["fill"], 235)


def _rod(pen: Pen, tint: dict[str, str], side: int) -> None:
    r = pen.surface()
    end = np.array([side * (pen.rim - 0.1), 0.0, pen.scene.height])
    start = np.array([-side * 0.45 * r, 0.0, pen.scene.level])
    over = end + 0.45 * (end - start)
    pen.line([start, over], 0.30, tint["dark"], 150)
    pen.line([start, over], 0.22, tint["fill"], 190)
    pen.line([start, over], 0.06, tint["light"], 230)


def crust(pen: Pen, tint: dict[str, str]) -> None:
    """Grains along the rim, more of them in front."""
    for n in range(GRAINS):
        turn = 2 * np.pi * ((0.5 + n * 0.61803398875) % 1.0)
        high = ((0.5 + n * 0.7548776662) % 1.0) * 0.42
        r = float(pen.scene.widest if pen.scene.widest < 1.15 * pen.rim else pen.rim) + 0.03
        pen.round(
            r * np.cos(turn), r * np.sin(turn), pen.scene.height - high, 0.075, tint["fill"], 225
        )
        pen.round(
            r * np.cos(turn), r * np.sin(turn), pen.scene.height - high, 0.035, tint["light"], 235
        )


def bubbles(pen: Pen) -> None:
    """Bubbles rising through the drink, and a ring of them where it meets the glass."""
    low, level = 0.3, pen.scene.level
    for n in range(BUBBLES):
        a, b, c = ((0.5 + n * step) % 1.0 for step in (0.8191725134, 0.6710436067, 0.5497004779))
        z = low + (level - low) * a**0.7
        r = 0.88 * float(np.interp(z, pen.scene.inside[:, 1], pen.scene.inside[:, 0])) * b**0.5
        size = 0.035 + 0.045 * a
        at = (r * np.cos(2 * np.pi * c), r * np.sin(2 * np.pi * c), z)
        pen.round(*at, size, "#ffffff", 70)
        pen.round(at[0] - 0.3 * size, at[1], at[2] + 0.3 * size, 0.45 * size, "#ffffff", 200)
    r = pen.surface() - 0.08
    for n in range(BUBBLES):
        turn = 2 * np.pi * n / BUBBLES + 0.3 * (n % 3)
        pen.round(
            r * np.cos(turn), r * np.sin(turn), level + 0.03, 0.05 + 0.02 * (n % 2), "#ffffff", 130
        )


def shards(pen: Pen) -> None:
    """Crushed ice: more pieces than rays could follow, so it is drawn pale where it lies."""
    low, top = 0.2, pen.scene.level + 0.5
    for n in range(SHARDS):
        a, b, c, lean = (
            (0.5 + n * step) % 1.0
            for step in (0.8566748838, 0.7338918566, 0.6287067210, 0.5385972573)
        )
        z = low + (top - low) * a
        r = 0.93 * float(np.interp(z, pen.scene.inside[:, 1], pen.scene.inside[:, 0])) * b**0.5
        x, y = r * np.cos(2 * np.pi * c), r * np.sin(2 * np.pi * c)
        turn = 2 * np.pi * lean
        corners = [
            (x + 0.24 * np.cos(turn + t), y, z + 0.2 * np.sin(turn + t * 1.2))
            for t in (0.0, 1.7, 2.9, 4.6)
        ]
        pen.area(corners, "#ffffff", 30 + int(45 * a))
        pen.line(corners[:2], 0.03, "#ffffff", 110)


#: How each shape of the table is drawn: with a pen, in its colours, to the right (1) or left (-1).
SHAPES: Final[dict[str, Callable[[Pen, dict[str, str], int], None]]] = {
    "twist": _twist, "wheel": _wheel, "olive": _olive, "cherry": _cherry, "flower": _flower,
    "leaf": _leaf, "sprig": _sprig, "drops": _drops, "rod": _rod,
}  # fmt: skip


def _rgba(hex_: str, alpha: int) -> tuple[int, int, int, int]:
    r, g, b = (int(hex_[n : n + 2], 16) for n in (1, 3, 5))
    return r, g, b, alpha
