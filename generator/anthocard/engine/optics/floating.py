"""What floats in a glass: pieces of ice by their kind, and bubbles.

Belongs here: where the pieces lie, how a ray meets them, how much of them is under the level. Does
not belong here: how much ice there is (mix/chill.py, the house). Lengths in cm.

A box has three unit axes and half its edges; a ball is told by an axis of nought. Pieces never
overlap and lie in the same places every time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import count
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats

NEAREST_CM = 1e-5
MOST_TRIES = 600  # places that are tried before ice counts as packed: chosen
APART_CM = 0.03  # between two pieces at least: chosen
_NEXT, _LAST = np.array([1, 2, 0]), np.array([2, 0, 1])  # of three axes, for what is across two
AFLOAT = 0.10  # of a piece's height stays out: ice of 0.917 g/ml in a drink near 1.02


@dataclass(frozen=True, eq=False)
class Bodies:
    """`middle` (k, 3), `axes` (k, 3, 3) as rows, `half` (k, 3); `hollow` (k,) are bubbles."""

    middle: Floats
    axes: Floats
    half: Floats
    hollow: np.ndarray  # bool

    def __len__(self) -> int:
        return len(self.middle)

    def crossing(self, o: Floats, d: Floats) -> tuple[Floats, np.ndarray]:
        """Distance to the nearest face of any body along n rays, from outside or inside; which."""
        distance, which = np.full(len(o), np.inf), np.zeros(len(o), dtype=np.intp)
        for met, meet in ((self._boxed, self._box), (~self._boxed, self._ball)):
            ray, body = np.nonzero(self._near(o, d) & met)
            t = meet(body, o[ray], d[ray])
            order = np.argsort(-t, kind="stable")  # so that the nearest is written last
            distance_of, of = np.full(len(o), np.inf), np.zeros(len(o), dtype=np.intp)
            distance_of[ray[order]], of[ray[order]] = t[order], body[order]
            nearer = distance_of < distance
            distance[nearer], which[nearer] = distance_of[nearer], of[nearer]
        return distance, which

    @cached_property
    def _boxed(self) -> np.ndarray:
        return np.asarray(self.axes.any(axis=(1, 2)))

    @cached_property
    def _reach(self) -> Floats:
        """Squared radius (k,) of the ball around each."""
        return np.where(self._boxed, (self.half**2).sum(axis=1), self.half[:, 0] ** 2)

    def normal(self, at: Floats, which: np.ndarray) -> Floats:
        """Outward unit normals (n, 3) at points on the bodies `which`."""
        off = at - self.middle[which]
        n = off.copy()
        boxed = self._boxed[which]
        if boxed.any():
            axes, half = self.axes[which[boxed]], self.half[which[boxed]]
            inner = np.einsum("nij,nj->ni", axes, off[boxed]) / half
            face = np.abs(inner).argmax(axis=1)
            rows = np.arange(len(face))
            n[boxed] = axes[rows, face] * np.sign(inner[rows, face])[:, np.newaxis]
        return np.asarray(n / np.linalg.norm(n, axis=1, keepdims=True))

    def ice_below(self, z: float) -> float:
        """Millilitres of ice under a height: of a box by slices, of a ball by its cap."""
        total = 0.0
        for k in np.flatnonzero(~self.hollow):
            if self._boxed[k]:
                steps = (np.arange(12) + 0.5) / 6 - 1
                grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
                at = self.middle[k, 2] + (grid * self.half[k]) @ self.axes[k][:, 2]
                total += float(np.mean(at < z)) * 8.0 * float(np.prod(self.half[k]))
            else:
                r = float(self.half[k, 0])
                h = float(np.clip(z - self.middle[k, 2] + r, 0.0, 2 * r))
                total += np.pi * h * h * (3 * r - h) / 3
        return float(total)

    def _near(self, o: Floats, d: Floats) -> np.ndarray:
        """Which rays pass the ball around which body, ahead of them, (n, k)."""
        middle = self.middle.T
        along = d @ middle - (o * d).sum(axis=1)[:, np.newaxis]
        off = (
            (middle * middle).sum(axis=0) - 2.0 * (o @ middle) + (o * o).sum(axis=1)[:, np.newaxis]
        )
        return np.asarray(
            (off - along * along <= self._reach + 1e-9) & (along > -np.sqrt(self._reach))
        )

    def _box(self, k: np.ndarray, o: Floats, d: Floats) -> Floats:
        axes, half = self.axes[k], self.half[k]
        inner = np.einsum("nij,nj->ni", axes, o - self.middle[k])
        along = np.einsum("nij,nj->ni", axes, d)
        with np.errstate(all="ignore"):
            one, two = (-half - inner) / along, (half - inner) / along
            enter = np.nanmax(np.fmin(one, two), axis=1)
            leave = np.nanmin(np.fmax(one, two), axis=1)
        t = np.where(enter > NEAREST_CM, enter, leave)
        return np.where((enter <= leave) & (t > NEAREST_CM), t, np.inf)

    def _ball(self, k: np.ndarray, o: Floats, d: Floats) -> Floats:
        off = o - self.middle[k]
        b = (off * d).sum(axis=1)
        root = b * b - (off * off).sum(axis=1) + self.half[k, 0] ** 2
        wide = np.sqrt(np.maximum(root, 0.0))
        t = np.where(-b - wide > NEAREST_CM, -b - wide, -b + wide)
        return np.where((root > 0) & (t > NEAREST_CM), t, np.inf)


NONE = Bodies(np.zeros((0, 3)), np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros(0, dtype=bool))


def floating(kind: str, share: float, inside: Floats, level: float) -> Bodies:
    """The pieces of ice in a glass whose inside is (n, 2) radius and height, filled to `level`.

    They take `share` (0-1) of the room below the level as nearly as whole pieces can: as large as
    their kind and the glass allow, the topmost afloat, none through another or through the wall.
    Of crushed ice there are none: it is told by what it does to the light (studio.py).
    """
    row = _table().get(kind)
    if row is None or share <= 0.0 or level <= 0.3:
        return NONE
    wanted = share * _room(inside, level)
    pieces: list[_Piece] = []
    held = 0.0
    for number, at in enumerate(_places()):
        if held >= 0.97 * wanted or number >= MOST_TRIES:
            break
        made = _piece(row, number, at, inside, level, wanted - held, bool(pieces))
        if made is None or any(_touch(made, other) for other in pieces):
            continue
        pieces.append(made)
        held += made.volume * (1.0 - AFLOAT if made.top > level else 1.0)
    if not pieces:
        return NONE
    return Bodies(
        np.array([one.middle for one in pieces]),
        np.array([one.axes for one in pieces]),
        np.array([one.half for one in pieces]),
        np.zeros(len(pieces), dtype=bool),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    middle: Floats
    axes: Floats
    half: Floats

    @property
    def ball(self) -> bool:
        return not self.axes.any()

    @property
    def volume(self) -> float:
        return float(np.prod(self.half)) * (4.0 / 3.0 * np.pi if self.ball else 8.0)

    @property
    def top(self) -> float:
        return float(self.middle[2] + self.reach(np.array([0.0, 0.0, 1.0])))

    @property
    def corners(self) -> Floats:
        """What must stay inside the wall, (8, 3)."""
        if self.ball:
            turn = np.arange(8) * np.pi / 4
            ring = np.stack([np.cos(turn), np.sin(turn), np.zeros(8)], axis=1)
            return np.asarray(self.middle + ring * self.half)
        signs = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
        return np.asarray(self.middle + (signs * self.half) @ self.axes)

    @property
    def farthest(self) -> float:
        """How far any of it is from its middle."""
        return float(self.half[0] if self.ball else np.sqrt(self.half @ self.half))

    def reach(self, along: Floats) -> float:
        """Half its width along a direction."""
        if self.ball:
            return float(self.half[0])
        return float(np.abs(self.axes @ along) @ self.half)


def _piece(
    row: dict[str, Any],
    number: int,
    at: Floats,
    inside: Floats,
    level: float,
    wanted: float,
    others: bool,
) -> _Piece | None:
    """A piece tried at a place (4,) of 0-1 (angle, radius, height, lean); None if it cannot be."""
    radius = float(np.interp(0.75 * level, inside[:, 1], inside[:, 0]))
    half = np.minimum(np.array(row["half"]), float(row["fits"]) * radius)
    alone = 8.0 * float(np.prod(half)) > 0.6 * wanted and not others
    if alone:  # one piece is all there is: it is as large as its share, its shape kept
        half = _shrunk(np.array(row["half"]), half, wanted, bool(row.get("ball")))
    half = half * (1.0 - 0.12 * at[3])
    ball = bool(row.get("ball"))
    lean = np.radians(float(row["leans"])) * (2.0 * at[3] - 1.0)
    axes = np.zeros((3, 3)) if ball else _turned(2.0 * np.pi * at[0] * 3.0, lean)
    piece = _Piece(np.zeros(3), axes, half)
    up = piece.reach(np.array([0.0, 0.0, 1.0]))
    lowest = up + float(inside[0, 1]) + 0.12
    highest = max(level + 2.0 * AFLOAT * up - up, lowest)  # where it is shallow a piece stands
    # Ice rises: places are tried from the top down, at first only there.
    height = highest - max(0.0, number / MOST_TRIES * 1.15 - 0.05) * (highest - lowest) * (
        0.0 if alone else 1.0
    )
    away = (
        0.0
        if alone
        else max(0.0, radius - float(np.hypot(*half[:2])) * 0.8) * (0.55 + 0.45 * at[1])
    )
    turn = 2.0 * np.pi * at[0]
    moved = _Piece(np.array([away * np.cos(turn), away * np.sin(turn), height]), axes, half)
    corners = moved.corners
    room = np.interp(corners[:, 2], inside[:, 1], inside[:, 0])
    low = float(moved.middle[2] - up) < float(inside[0, 1]) + 0.1
    if low or np.any(np.hypot(corners[:, 0], corners[:, 1]) > room - 0.06):
        return None
    return moved


def _shrunk(shape: Floats, most: Floats, wanted: float, ball: bool) -> Floats:
    """Half edges of one piece of a volume, no larger than `most`; a bar grows longer first."""
    whole = (4.0 / 3.0 * np.pi if ball else 8.0) * float(np.prod(most))
    if whole <= wanted:
        if shape[2] > 2.0 * shape[0]:
            return np.array([most[0], most[1], min(shape[2], wanted / (8.0 * most[0] * most[1]))])
        return most
    return np.asarray(most * (wanted / whole) ** (1.0 / 3.0))


def _touch(one: _Piece, other: _Piece) -> bool:
    """Whether two pieces meet: no axis parts them (Gottschalk S., Lin M.C., Manocha D., 1996)."""
    off = other.middle - one.middle
    if float(off @ off) > (one.farthest + other.farthest + APART_CM) ** 2:
        return False
    across = (one.axes[:, np.newaxis, _NEXT] * other.axes[np.newaxis, :, _LAST]) - (
        one.axes[:, np.newaxis, _LAST] * other.axes[np.newaxis, :, _NEXT]
    )
    axes = np.concatenate([one.axes, other.axes, across.reshape(-1, 3), off[np.newaxis]])
    length = np.sqrt((axes * axes).sum(axis=1))
    along = axes[length > 1e-6] / length[length > 1e-6, np.newaxis]
    reach = APART_CM
    for piece in (one, other):
        reach = reach + (piece.half[0] if piece.ball else np.abs(along @ piece.axes.T) @ piece.half)
    return not bool(np.any(np.abs(along @ off) > reach))


def _turned(turn: float, lean: float) -> Floats:
    """Three axes, as rows, turned about z and then leant about x."""
    c, s, a, b = np.cos(turn), np.sin(turn), np.cos(lean), np.sin(lean)
    about = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    tipped = np.array([[1.0, 0.0, 0.0], [0.0, a, b], [0.0, -b, a]])
    return np.asarray(about @ tipped)


def _places() -> Iterator[Floats]:
    """Points (4,) of 0-1 that fill their room evenly (Roberts M., 2018, second-hand)."""
    root = 1.1673039782614187  # the positive root of x^5 = x + 1
    steps = root ** -np.arange(1.0, 5.0)
    for number in count(1):
        yield (0.5 + number * steps) % 1.0


def _room(inside: Floats, level: float) -> float:
    z = np.linspace(float(inside[0, 1]), level, 200)
    r = np.interp(z, inside[:, 1], inside[:, 0])
    return float(np.pi * np.sum(r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) / 3 * (z[1] - z[0]))


@cache
def _table() -> dict[str, dict[str, Any]]:
    rows: dict[str, dict[str, Any]] = read_table("anthocard.engine.optics", "optics.yaml")["ice"]
    return rows
