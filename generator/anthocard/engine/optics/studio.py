"""What stands around a glass in a picture: the page as a lit sweep, a glow behind it, lamps.

Belongs here: how much of each of the three a ray that has left the glass sees, the shadow on the
table. Does not belong here: the glass (scene.py), following rays, colours of page and lamps.

Every light is given as weights (n, 3): of the page's own colour, of the glow, of the lamps.
"""

from __future__ import annotations

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.scene import Scene
from anthocard.facts.chemistry.liquid import Floats

PAGE, GLOW, LAMP = range(3)


def lights(scene: Scene, origin: Floats, direction: Floats) -> Floats:
    """What rays (n, 3) that go on in the air see, as weights (n, 3) ≥ 0."""
    tall = scene.tall
    high, deep = direction[:, 2], direction[:, 1]
    back = _row("sweep")["back"] * tall
    with np.errstate(all="ignore"):
        down = np.where(high < -1e-6, (scene.floor - origin[:, 2]) / high, np.inf)
        away = np.where(deep > 1e-6, (back - origin[:, 1]) / deep, np.inf)
    down = np.maximum(down, 0.0)
    table = down < away
    wall = ~table & np.isfinite(away)
    way = np.where(table, down, np.where(wall, away, 0.0))
    x, y, z = (origin + way[:, np.newaxis] * direction).T
    out = np.empty((len(origin), 3))
    out[:] = (_row("rest")["page"], _row("rest")["glow"], 0.0)
    middle = scene.floor + _row("glow")["up"] * tall
    climb = np.clip((z[wall] - middle) / (3.0 * tall), 0.0, 1.0)
    out[wall, PAGE] = _sides(x[wall], tall) * (1.0 - 0.2 * climb)
    out[wall, GLOW] = _glow(x[wall], z[wall], middle, tall)
    strips = _row("strips")
    out[wall, GLOW] += strips["light"] * _box(
        np.abs(x[wall]), strips["at"] * tall, strips["half"] * tall, strips["soft"] * tall
    )
    out[table] = on_table(scene, x[table], y[table])
    out[:, LAMP] = np.where(table, 0.0, _lamps(scene, origin, direction))
    return out


def on_table(scene: Scene, x: Floats, y: Floats) -> Floats:
    """The lit table at points of it (n,), with what the glass takes from it: weights (n, 3)."""
    tall = scene.tall
    back = _row("sweep")["back"] * tall
    shade = _shadow(scene, x, y)
    pool = _row("pool")
    glow = pool["light"] * np.exp(
        -((x / (pool["wide"] * tall)) ** 2) - ((y - pool["behind"] * tall) / tall) ** 2
    ) + _glow(x, np.full(len(x), scene.floor), scene.floor + _row("glow")["up"] * tall, tall) * (
        np.exp(-(((y - back) / (0.55 * back)) ** 2))
    )
    far = np.clip(y / back, -2.0, 1.0)
    page = _sides(x, tall) * (1.0 - 0.1 * np.exp(-((far / 0.5) ** 2)))
    return np.stack([page * shade, glow * shade, np.zeros(len(x))], axis=1)


def unfollowed() -> Floats:
    """What light that no ray was followed for is taken for, weights (3,)."""
    row = _row("ambient")
    return np.array([row["page"], row["glow"], 0.0])


def beside() -> Floats:
    """How much of each light is seen beside the glass, where no glass gathers it, weights (3,)."""
    row = _row("beside")
    return np.array([row["page"], row["glow"], 0.0])


def on_foam() -> Floats:
    """What a head of foam sends back of the room around it, weights (3,)."""
    row = _row("foam")
    return np.array([row["page"], row["glow"], row["lamp"]])


def thrown(scene: Scene, x: Floats, y: Floats) -> Floats:
    """The share 0-1 of the table's light that reached it through the drink."""
    wide = float(scene.inside[:, 0].max())
    spot = ((x - 0.45 * wide) / (0.95 * wide)) ** 2 + ((y + 0.75 * wide) / (0.75 * wide)) ** 2
    return np.asarray(_row("caustic")["share"] * np.exp(-spot))


def _lamps(scene: Scene, o: Floats, d: Floats) -> Floats:
    """A window to the left and behind the eye, a strip to the right, a soft box above."""
    tall, base = scene.tall, scene.floor
    window, lamp, above = _row("window"), _row("lamp"), _row("overhead")
    with np.errstate(all="ignore"):
        far = np.where(d[:, 0] < -1e-6, (-window["away"] * tall - o[:, 0]) / d[:, 0], np.nan)
        p = o + far[:, np.newaxis] * d
        half, behind = window["half"] * tall, -window["behind"] * tall
        pane = _box(p[:, 1], behind, half, 0.05 * tall) * _box(
            p[:, 2], base + window["up"] * tall, half, 0.05 * tall
        )
        bar = 1.0 - np.exp(-(((p[:, 1] - behind) / (0.06 * tall)) ** 4))
        far = np.where(d[:, 0] > 1e-6, (lamp["away"] * tall - o[:, 0]) / d[:, 0], np.nan)
        p = o + far[:, np.newaxis] * d
        strip = _box(p[:, 1], 0.3 * tall, lamp["half"] * tall, 0.06 * tall) * _box(
            p[:, 2], base + lamp["up"] * tall, lamp["tall"] * tall, 0.1 * tall
        )
        ceiling = scene.height + above["above"] * tall
        far = np.where(d[:, 2] > 1e-6, (ceiling - o[:, 2]) / d[:, 2], np.nan)
        p = o + far[:, np.newaxis] * d
        soft = _box(p[:, 0], -0.4 * tall, above["half"] * tall, 0.15 * tall) * _box(
            p[:, 1], 1.2 * tall, above["deep"] * tall, 0.15 * tall
        )
    return np.asarray(
        window["light"] * np.nan_to_num(pane * bar)
        + lamp["light"] * np.nan_to_num(strip)
        + above["light"] * np.nan_to_num(soft)
    )


def _shadow(scene: Scene, x: Floats, y: Floats) -> Floats:
    """What is left of the table's light under a glass: the foot's shade and the bowl's."""
    row, wide = _row("shadow"), float(scene.inside[:, 0].max())
    off = np.maximum(np.hypot(x, y) - 0.85 * scene.foot, 0.0)
    foot = row["foot"] * np.exp(-((off / (0.22 * scene.foot)) ** 2))
    spot = ((x - 0.35 * wide) / (1.15 * wide)) ** 2 + ((y + 0.55 * wide) / (1.25 * wide)) ** 2
    return np.asarray((1.0 - foot) * (1.0 - row["bowl"] * np.exp(-spot)))


def _sides(x: Floats, tall: float) -> Floats:
    row = _row("sweep")
    return np.asarray(
        row["floor"] + (1.0 - row["floor"]) * np.exp(-(np.abs(x / (row["fade"] * tall)) ** 3))
    )


def _glow(x: Floats, z: Floats, middle: float, tall: float) -> Floats:
    row = _row("glow")
    return np.asarray(
        np.exp(-((x / (row["wide"] * tall)) ** 2) - ((z - middle) / (row["tall"] * tall)) ** 2)
    )


def _box(x: Floats, middle: float, half: float, soft: float) -> Floats:
    """One inside, nought outside, with soft edges."""
    return np.asarray(1.0 / (1.0 + np.exp(np.minimum((np.abs(x - middle) - half) / soft, 60.0))))


def _row(key: str) -> dict[str, float]:
    row: dict[str, float] = read_table("anthocard.engine.optics", "optics.yaml")["studio"][key]
    return row
