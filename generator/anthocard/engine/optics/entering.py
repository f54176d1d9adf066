"""How a drink turns in its picture: where what turns it comes in, how that moves on, then stirred.

Belongs here: how far each pixel has turned at a moment, by the way it is poured. Does not belong
here: colours (paint.py), how long a turn plays (the press), what is poured (house/serving).

A front goes through the drink in an order of its own to each way of pouring; what it has not
reached is then stirred in, everywhere alike. Time is the share of the change that is done, so that
equal time is equal change whichever way it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.camera import Camera
from anthocard.engine.optics.scene import Scene
from anthocard.facts.chemistry.liquid import Floats
from anthocard.house.serving.pours import How

TURN: Final = np.pi * (3.0 - np.sqrt(5.0))  # points turned by it lie evenly and repeat nowhere
FINE: Final = 256  # moments and shares told apart; between them all follows a line


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where in the drink each pixel (tall, wide) looks.

    `x` goes from -1 at the left wall to 1, `y` from -1 at the far wall to 1 at the near one, `deep`
    from 0 at the surface to 1 at the bottom of the near wall.
    """

    x: Floats
    y: Floats
    deep: Floats


def places(scene: Scene, eye: Camera) -> Places:
    """Where pixels look: on the drink's surface, and beneath its near edge on the wall."""
    level = scene.level
    radius = float(np.interp(level, scene.inside[:, 1], scene.inside[:, 0]))
    across, down = eye.spot(np.array([0.0, 0.0, level]))
    wide = eye.spot(np.array([radius, 0.0, level]))[0] - across
    near = max(eye.spot(np.array([0.0, -radius, level]))[1] - down, 0.5)
    bottom = eye.spot(np.array([0.0, -float(scene.inside[1, 0]), 0.0]))[1]
    column, row = np.meshgrid(np.arange(eye.wide) + 0.5, np.arange(eye.tall) + 0.5)
    x = np.clip((column - across) / wide, -1.0, 1.0)
    edge = np.sqrt(1.0 - x * x)
    y = np.clip((row - down) / near, -edge, edge)
    deep = np.clip((row - down - near * edge) / max(bottom - down - near, 1.0), 0.0, 1.0)
    return Places(x, y, deep)


class Entering:
    """One way of pouring into the drink of a picture.

    `changes` (tall, wide) ≥ 0 is how much each pixel changes by the whole turn, in any unit.
    """

    def __init__(self, how: How, seen: Places, changes: Floats) -> None:
        row = _row(how)
        self._reach, self._soft = float(row["reach"]), float(row["soft"])
        self._changes = changes > 0.0
        self._late = _even(WAYS[how](seen), changes)
        self._moments = np.linspace(0.0, 2.0, 2 * FINE + 1)
        even = (np.arange(FINE) + 0.5) / FINE
        self._come = np.array([self._at(one, even).mean() for one in self._moments])

    def come(self, time: float) -> Floats:
        """How far each pixel has turned at a time 0-1, 0-1 (tall, wide); `time` where none does."""
        moment = float(np.interp(time, self._come, self._moments))
        return np.asarray(np.where(self._changes, self._at(moment, self._late), time))

    def _at(self, moment: float, late: Floats) -> Floats:
        """How far what the front gets to so late has turned: poured until 1, stirred until 2."""
        gone = min(moment, 1.0) * (self._reach + self._soft)
        come = np.clip((gone - late) / self._soft, 0.0, 1.0)
        return np.asarray(come + (1.0 - come) * max(0.0, moment - 1.0))


def _even(raw: Floats, changes: Floats) -> Floats:
    """Lateness as the share of the change that comes before, 0-1: its order alone counts."""
    order = np.argsort(raw, axis=None, kind="stable")
    before = np.cumsum(changes.ravel()[order])
    out = np.empty(raw.size)
    out[order] = before / max(float(before[-1]), 1e-9)
    return out.reshape(raw.shape)


def _plain_pour(at: Places) -> Floats:
    """A plume sinks down the middle, lies on the bottom and rises; on the surface it spreads."""
    plume = 0.10 + 0.30 * at.deep + 0.5 * (at.x / (0.16 + 0.25 * at.deep)) ** 2
    pool = 0.45 + 0.55 * (1.0 - at.deep) + 0.1 * np.abs(at.x)
    under = np.minimum(plume, pool)
    return np.where(at.deep > 0.0, under, 0.9 * np.hypot(at.x, at.y))


def _drops(at: Places, count: int, side: float, wait: float, broad: float, sinks: float) -> Floats:
    """So many drops one after the other, each spreading where it fell and sinking beneath it.

    They fall around `side` (-1 to 1) across; `wait` is how long after the first the last one falls,
    `broad` how fast a drop spreads, `sinks` how slowly it gets to the bottom.
    """
    found = np.full(at.x.shape, np.inf)
    for number in range(count):
        out = (1.0 - abs(side)) * 0.75 * np.sqrt((number + 0.5) / count)
        x, y = side + out * np.cos(TURN * number), 0.75 * out * np.sin(TURN * number)
        there = np.hypot(at.x - x, at.y - y) / broad
        beneath = np.abs(at.x - x) / broad + 0.25 * (1.0 - y) + sinks * at.deep
        fell = wait * number / count
        found = np.minimum(found, fell + np.where(at.deep > 0.0, beneath, there))
    return found


def _dropped(at: Places) -> Floats:
    """Five drops, one after the other, each a cloud of its own."""
    return _drops(at, 5, 0.0, 1.0, 0.8, 0.5)


def _squeezed(at: Places) -> Floats:
    """A spray from a piece of fruit at the right: many fine threads, soon one after another."""
    return _drops(at, 26, 0.35, 0.5, 0.3, 0.6) + 0.5 * np.maximum(0.0, 0.35 - at.x)


def _frozen(at: Places) -> Floats:
    """What melts off ice sinks from it in veils, on both sides of the middle."""
    veils = [
        np.where(
            at.deep > 0.0,
            0.7 * np.abs(at.x - x) + 0.45 * at.deep + 0.08 * np.sin(19.0 * at.x + 3.0 * at.deep),
            0.8 * np.hypot(at.x - x, at.y - y) - 0.1,
        )
        for x, y in ((-0.42, 0.15), (0.38, -0.1))
    ]
    return np.minimum(*veils)


def _layered(at: Places) -> Floats:
    """It lies beneath, and its level boundary comes up: on the near wall from the bottom, and seen
    through the surface from the near edge, where one sees deepest, to the far one.
    """
    return np.where(at.deep > 0.0, 1.0 - at.deep, 0.5 * (1.0 - at.y))


def _topped(at: Places) -> Floats:
    """A stream goes to the bottom and comes up again, and sets all of it turning."""
    out = np.hypot(at.x, at.y)
    eddy = 0.6 + 0.3 * out + 0.3 * np.sin(2.0 * np.arctan2(at.y, at.x) + 5.0 * out)
    under = 0.9 * (1.0 - at.deep) + 0.2 * np.sin(5.0 * at.x + 4.0 * at.deep)
    return np.where(at.deep > 0.0, under, eddy)


def _mist(at: Places) -> Floats:
    """Specks all over the surface, drawn in from the wall, along which it sinks evenly."""
    specks = 0.4 * _drops(at, 60, 0.0, 0.3, 0.4, 0.0)
    return np.where(at.deep > 0.0, 0.3 + 0.7 * at.deep, specks + 0.6 * (1.0 - np.hypot(at.x, at.y)))


#: The order in which each way of pouring gets to the places of a drink: late is larger.
WAYS: Final[dict[How, Callable[[Places], NDArray[Any]]]] = {
    "poured": _plain_pour,
    "dropped": _dropped,
    "squeezed": _squeezed,
    "frozen": _frozen,
    "layered": _layered,
    "topped": _topped,
    "mist": _mist,
}


def _row(how: How) -> dict[str, float]:
    row: dict[str, float] = read_table("anthocard.engine.optics", "optics.yaml")["ways"][how]
    return row
