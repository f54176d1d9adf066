"""A drink put into the maps of its glass: each pixel's light, as a screen shows it.

Belongs here: absorption along every way, backdrops, how a picture fades into its page. Does not
belong here: tracing (maps.py), how a turn goes on (entering.py), which drink, files (the press).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.maps import Maps, traced
from anthocard.engine.optics.scene import Filling
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour import colours
from anthocard.guard.compiling import note_kept
from anthocard.house.settings import Glass

STEPS = 160  # of a ramp: between them light follows a line, within ΔE00 0.1
LONGER = 1.0  # cm: ramps are as long as a whole number of these
SHADES, BRIGHTEST = 4097, 3.0  # of light told apart, by its root; all above is white
SPARSE = 4  # what fades softly around a glass is worked out at every so-manieth pixel
KNEE = 0.93  # lamps on glass are brighter than the page: above this light is bent, not cut off


@dataclass(frozen=True, slots=True)
class Backdrop:
    """What a picture is painted for: shares 0-1 of page, glow and lamps, how far and how much of
    what is around the glass is seen, and whether the page itself is, `through` clear glass.
    """

    page: float
    glow: float
    lamp: float
    fade: float
    around: float
    through: float


@cache
def backdrop(name: str) -> Backdrop:
    """A backdrop of the table, one of `backdrops`. Raises KeyError."""
    row = read_table("anthocard.engine.optics", "optics.yaml")["backdrops"][name]
    return Backdrop(*(float(row[key]) for key in Backdrop.__slots__))


def backdrops() -> tuple[str, ...]:
    """What pictures can be painted for."""
    return tuple(read_table("anthocard.engine.optics", "optics.yaml")["backdrops"])


class Plate:
    """The maps of a glass made ready for a backdrop: any drink is then soon put into it."""

    def __init__(self, maps: Maps, on: Backdrop) -> None:
        lights = np.array([on.page, on.glow, on.lamp], dtype=np.float32)
        self.shape = maps.shape
        self._linear = np.repeat((maps.clear @ lights).reshape(-1, 1), 3, axis=1)
        self._parts = []
        for weight, way in ((maps.tinted, maps.way), (maps.back, maps.way_back)):
            light = (weight @ lights).ravel()
            where = np.flatnonzero(light > 1e-5)
            self._parts.append((where, light[where], way.reshape(len(light), -1)[where]))
        longest = max((float(way.max()) for _, _, way in self._parts if len(way)), default=0.0)
        self._longest = LONGER * np.ceil(longest / LONGER + 1e-6)  # few, so that ramps are shared
        self.cover = _fading(maps, on)
        self.kept = np.minimum(maps.drink, self.cover) if on.through else self.cover

    def linear(self, absorbances: Floats, turned: Floats | float = 0.0) -> Floats:
        """Linear sRGB ≥ 0, (tall, wide, 3), of a drink whose liquids absorb (n, liquids, 81) per cm
        at n even stops along its turn; `turned` is how far it has come, 0-1, one or (tall, wide).
        """
        from anthocard.engine.optics import compositor  # slow to load, as rays.py says

        absorbed = absorbances.astype(np.float64)
        ramps = _ramps_of(absorbed.tobytes(), absorbed.shape, self._longest)
        out = self._linear.copy()
        come = np.empty(len(out), dtype=np.float32)
        come[:] = np.ravel(turned)
        for where, light, way in self._parts:
            compositor.add_left(out, where, light, way, ramps, self._longest, come)
        return out.reshape(*self.shape, 3)


def covered(seen: Floats, cover: Floats, shares_known: Floats) -> Floats:
    """How much of its page a picture covers, 0-1 (…): as little as lets it look, over white, like
    what is `seen` (…, 3), but all of what is `shares_known` (…); `cover` (…) is a plate's.
    """
    darkest = np.minimum(np.minimum(seen[..., 0], seen[..., 1]), seen[..., 2])
    return np.asarray(np.maximum((1.0 - darkest) * cover, shares_known))


def painted(seen: Floats, cover: Floats, shares_known: Floats) -> Floats:
    """What a screen takes of what is `seen`, encoded sRGB (…, 3): sRGB and how much of the page is
    covered, 0-1 (…, 4).

    Clear glass is let through: over white it looks as it would painted whole, over any other light
    page as if that page had lit it. What is `shares_known` has the colour it has over white.
    """
    from anthocard.engine.optics import compositor

    out = np.empty((*cover.shape, 4), dtype=np.float32)
    most = covered(seen, cover, shares_known)
    given = (np.ascontiguousarray(one, dtype=np.float32) for one in (seen, cover, most))
    pixels, covers, mosts = given
    compositor.over_page(pixels.reshape(-1, 3), covers.ravel(), mosts.ravel(), out.reshape(-1, 4))
    return out


def shown(linear: Floats) -> Floats:
    """Encoded sRGB 0-1 of linear light, its brightest parts bent below white."""
    from anthocard.engine.optics import compositor

    out: Floats = np.empty(np.shape(linear), dtype=np.float32)
    light = np.ascontiguousarray(linear, dtype=np.float32)
    compositor.look_up(light.ravel(), _bent(), BRIGHTEST, out.reshape(-1))
    return out


@cache
def _bent() -> Floats:
    """What `shown` gives, at even steps of the root of light up to the brightest."""
    light, high = BRIGHTEST * np.linspace(0.0, 1.0, SHADES) ** 2, 1.0 - KNEE
    over = KNEE + high * (1.0 - np.exp(np.minimum(KNEE - light, 0.0) / high))
    found = colours.encode(np.where(light > KNEE, over, light))
    return np.asarray(found, dtype=np.float32)


def ramp(absorbances: Floats, longest_cm: float) -> Floats:
    """Linear sRGB (n, STEPS, 3) of light after ways from none to the longest, for n absorbances.

    They stand closer where ways are short: the way is the square of the place.
    """
    way = longest_cm * np.linspace(0.0, 1.0, STEPS) ** 2
    light = 10.0 ** -(way[:, np.newaxis] * absorbances[:, np.newaxis, :])
    found = colours.into_gamut(colours.linear_of_xyz(colours.to_xyz(light)))
    return np.asarray(found, dtype=np.float32)


@lru_cache(maxsize=4)
def _ramps_of(absorbances: bytes, shape: tuple[int, ...], longest_cm: float) -> Floats:
    """Ramps (liquids, n, STEPS, 3) of absorbances (n, liquids, 81), float64: a turn asks for the
    same ones for every frame.
    """
    whole = np.frombuffer(absorbances, dtype=np.float64).reshape(shape)
    return np.stack([ramp(whole[:, k], longest_cm) for k in range(shape[1])])


def _fading(maps: Maps, on: Backdrop) -> Floats:
    """How much of a picture covers its page, 0-1 (tall, wide): the glass, and softly around it."""
    tall, wide = maps.shape
    if not on.fade:
        return maps.glass
    reach = max(1, round(3 * on.fade * wide))
    bell = np.exp(-((np.arange(-reach, reach + 1) / (on.fade * wide)) ** 2) / 2)
    bell /= bell.sum()
    coarse = _blurred(_blurred(maps.glass, bell).T, bell)
    spread = _between(_between(coarse, tall).T, wide)
    place = [np.minimum(np.arange(n), np.arange(n)[::-1]) / (0.06 * n) for n in (tall, wide)]
    edge = np.minimum(1.0, place[0])[:, np.newaxis] * np.minimum(1.0, place[1])
    return np.asarray(np.maximum(on.around * np.minimum(1.0, 1.5 * spread) * edge, maps.glass))


def _blurred(rows: Floats, bell: Floats) -> Floats:
    """Rows (n, m) spread along them, at every SPARSE-th place and one beyond the last."""
    from anthocard.engine.optics import compositor

    out = np.empty((len(rows), (rows.shape[1] - 1) // SPARSE + 2))
    compositor.blur(np.ascontiguousarray(rows), bell, SPARSE, out)
    return out


def _between(coarse: Floats, count: int) -> Floats:
    """So many values a row of rows that are known at every SPARSE-th place."""
    low, part = np.divmod(np.arange(count), SPARSE)
    share = part / SPARSE
    return np.asarray(coarse[:, low] * (1.0 - share) + coarse[:, low + 1] * share)


def compile_ahead() -> None:
    """Trace and paint a small glass, so that all that is compiled for it is kept."""
    glass = Glass.model_validate({"width": "80 mm", "holds": "300 ml"})
    plate = Plate(traced(glass, Filling((100.0,)), 12.0, 16, 20), backdrop("paper"))
    light = plate.linear(np.zeros((2, 1, 81)), np.zeros(plate.shape))
    painted(shown(light), plate.cover, plate.kept)
    note_kept()
