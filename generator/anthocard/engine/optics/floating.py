"""What floats in a glass: pieces of ice by their kind, and frozen reveals by their size.

Belongs here: where the pieces lie. Does not belong here: how a ray meets them (bodies.py), how much
ice there is (mix/chill.py, the house). Lengths in cm.

Pieces never overlap and lie in the same places every time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import count
from typing import Any

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.bodies import NONE, Bodies
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.ice_pieces import pieces

MOST_TRIES = 600  # places that are tried before ice counts as packed: chosen
APART_CM = 0.03  # between two pieces at least: chosen
_NEXT, _LAST = np.array([1, 2, 0]), np.array([2, 0, 1])  # of three axes, for what is across two
UPWARDS = np.array([0.0, 0.0, 1.0])
AFLOAT = 0.10  # of a piece's height stays out: ice of 0.917 g/ml in a drink near 1.02


@dataclass(frozen=True, slots=True)
class FrozenLot:
    """A frozen reveal: so many pieces of a kind of facts/ice_pieces.py, `mm` each, of which
    `under_ml` altogether is under the level.
    """

    kind: str
    count: int
    mm: float
    under_ml: float


def frozen(lots: Sequence[FrozenLot], inside: Floats, level: float) -> list[Floe]:
    """Those pieces at their own size, in a glass as `floating` has it: afloat where the drink is
    deep enough, else on the bottom or on each other. One for which there is no room is left out.
    """
    laid: list[Floe] = []
    for lot in lots:
        of = pieces()[lot.kind]
        ball = of.shape == "ball"
        half = np.array([1.0, 1.0, of.long]) * lot.mm / 20.0
        for _ in range(lot.count):
            made = _laid(half, ball, inside, level, laid)
            if made is not None:
                laid.append(made)
    return laid


def _laid(
    half: Floats, ball: bool, inside: Floats, level: float, others: list[Floe]
) -> Floe | None:
    """One piece where it touches nothing, from where it would float or rest on."""
    for number, at in zip(range(MOST_TRIES), _places(), strict=False):
        axes = np.zeros((3, 3)) if ball else _turned(6.0 * np.pi * at[0], 0.3 * (at[3] - 0.5))
        up = Floe(np.zeros(3), axes, half).reach(UPWARDS)
        lowest = up + float(inside[0, 1]) + 0.12
        afloat = level + 2.0 * AFLOAT * up - up
        share = max(0.0, 1.1 * number / MOST_TRIES - 0.1)
        height = afloat - share * (afloat - lowest)
        if afloat <= lowest:  # too shallow to float in: it stands, or leans higher
            height = lowest + 2.0 * share * up
        room = float(np.interp(height, inside[:, 1], inside[:, 0]))
        wide = float(half[0] if ball else np.hypot(*half[:2]))
        away = max(0.0, room - wide) * np.sqrt(at[1])
        turn = 2.0 * np.pi * at[0]
        middle = np.array([away * np.cos(turn), away * np.sin(turn), height])
        made = Floe(middle, axes, half, True)
        if made.within(inside) and not any(_touch(made, other) for other in others):
            return made
    return None


def floating(
    kind: str, share: float, inside: Floats, level: float, laid: Sequence[Floe] = ()
) -> Bodies:
    """The pieces of ice in a glass whose inside is (n, 2) radius and height, filled to `level`,
    beside what is `laid` in it.

    They take `share` (0-1) of the room below the level as nearly as whole pieces can: as large as
    their kind and the glass allow, the topmost afloat, none through another or through the wall.
    Of crushed ice there are none: it is told by what it does to the light (studio.py).
    """
    row = _table().get(kind)
    every = list(laid)
    if row is not None and share > 0.0 and level > 0.3:
        every += _heaped(row, share, inside, level, every)
    if not every:
        return NONE
    return Bodies(
        np.array([one.middle for one in every]),
        np.array([one.axes for one in every]),
        np.array([one.half for one in every]),
        np.array([one.frozen for one in every]),
    )


def _heaped(
    row: dict[str, Any], share: float, inside: Floats, level: float, others: list[Floe]
) -> list[Floe]:
    """Pieces of a heap, beside others."""
    wanted = share * _room(inside, level)
    heap: list[Floe] = []
    held = 0.0
    for number, at in enumerate(_places()):
        if held >= 0.97 * wanted or number >= MOST_TRIES:
            break
        made = _piece(row, number, at, inside, level, wanted - held, bool(heap))
        if made is None or any(_touch(made, other) for other in (*others, *heap)):
            continue
        heap.append(made)
        held += made.volume * (1.0 - AFLOAT if made.top > level else 1.0)
    return heap


@dataclass(frozen=True, slots=True, eq=False)
class Floe:
    """One piece in its place, as `Bodies` tell it."""

    middle: Floats
    axes: Floats
    half: Floats
    frozen: bool = False

    @property
    def ball(self) -> bool:
        """Whether it is one, not a box."""
        return not self.axes.any()

    @property
    def volume(self) -> float:
        """Millilitres of it."""
        return float(np.prod(self.half)) * (4.0 / 3.0 * np.pi if self.ball else 8.0)

    @property
    def top(self) -> float:
        """The height of its highest point."""
        return float(self.middle[2] + self.reach(UPWARDS))

    @property
    def corners(self) -> Floats:
        """What must stay inside the wall, (n, 3)."""
        if self.ball:
            eighths, low = (one.ravel() for one in np.meshgrid(np.arange(8), np.arange(4)))
            wide, down = np.cos(low * np.pi / 7), -np.sin(low * np.pi / 7)
            turn = eighths * np.pi / 4
            rings = np.stack([wide * np.cos(turn), wide * np.sin(turn), down], axis=1)
            return np.asarray(self.middle + rings * self.half)
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

    def within(self, inside: Floats) -> bool:
        """Whether it is in a glass, off its wall and its bottom."""
        corners = self.corners
        room = np.interp(corners[:, 2], inside[:, 1], inside[:, 0])
        low = float(self.middle[2] - self.reach(UPWARDS)) < float(inside[0, 1]) + 0.1
        return not (low or np.any(np.hypot(corners[:, 0], corners[:, 1]) > room - 0.06))


def _piece(
    row: dict[str, Any],
    number: int,
    at: Floats,
    inside: Floats,
    level: float,
    wanted: float,
    others: bool,
) -> Floe | None:
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
    piece = Floe(np.zeros(3), axes, half)
    up = piece.reach(UPWARDS)
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
    moved = Floe(np.array([away * np.cos(turn), away * np.sin(turn), height]), axes, half)
    return moved if moved.within(inside) else None


def _shrunk(shape: Floats, most: Floats, wanted: float, ball: bool) -> Floats:
    """Half edges of one piece of a volume, no larger than `most`; a bar grows longer first."""
    whole = (4.0 / 3.0 * np.pi if ball else 8.0) * float(np.prod(most))
    if whole <= wanted:
        if shape[2] > 2.0 * shape[0]:
            return np.array([most[0], most[1], min(shape[2], wanted / (8.0 * most[0] * most[1]))])
        return most
    return np.asarray(most * (wanted / whole) ** (1.0 / 3.0))


def _touch(one: Floe, other: Floe) -> bool:
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
