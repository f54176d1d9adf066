"""A turn on the guest page: its strip, what a script needs to move along it, and a flat glass for
where there is no traced picture.

Belongs here: the shared outlines, one drink's filling, the strip. Does not belong here: the
measured shape itself (glass.py), pictures (traced.py), the script (the themes).

The colour is the drawing's `color`, so a script changes one property and liquid, surface and glow
follow. Without a script the drawing stands as the drink leaves the bar.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from anthocard.engine.mix.appearance import along
from anthocard.engine.optics.outline import fill_height_mm, glass_profile
from anthocard.engine.results import Computed, Turn
from anthocard.house.settings import Glass
from anthocard.press.draw.glass import GAP, WALL, glass_wall, outline_path, thinned

SCALE = 1.25  # CSS pixels a millimetre: all glasses of a page at one scale, as they stand on a bar
FINE_MM = 0.2  # what an outline may leave out: a quarter of a pixel
STEPS = 15  # places along a pour that are told apart; a script runs smoothly between them
#: Of a pour for each ΔE00 of its turn, s: 300 ms show ΔE00 5, though a picture turns by less.
PACE_S = 0.034
SHORTEST_S, LONGEST_S = 0.6, 2.6  # what a tap plays
_NONE = "transparent"  # the colour of what nobody can tell
TILT = 0.09  # height of a surface over its width, as it is seen


@dataclass(frozen=True, slots=True)
class GlassSymbol:
    """A kind of glass as the page shares it: its box in mm and its drawn parts."""

    key: str
    box: tuple[float, float, float, float]  # left, top, width, height
    parts: str


@dataclass(frozen=True, slots=True)
class Rung:
    """One place along the pour: share poured, colour, its name, pH, height and radius in mm.

    From one to the next the colour changes by the same: equal time is equal change.
    """

    share: float
    hex: str
    name: str
    ph: float
    level_mm: float
    radius_mm: float


def shape_of(glass: Glass, key: str) -> GlassSymbol:
    """The wall, stem and inside of a glass, to be used by every drink served in it."""
    profile = thinned(glass_profile(glass), FINE_MM)
    top = profile[-1][1]
    wall = WALL * (top + glass.stem)
    gap = GAP * wall
    widest = max(r for r, _ in profile) + gap + wall
    foot = gap + wall / 2 + glass.stem
    line = outline_path(glass_wall(profile, gap + wall / 2))
    if glass.stem:
        half = 0.58 * max(r for r, _ in profile)
        start = foot - glass.stem
        line += f"M0 {_n(start)}V{_n(foot)}M{_n(-half)} {_n(foot)}H{_n(half)}"
    parts = (
        f'<clipPath id="in-{key}"><path d="{outline_path(profile)}Z"/></clipPath>'
        f'<path id="wall-{key}" d="{line}" stroke-width="{_n(wall)}"/>'
    )
    # A surface seen from above bulges over the rim, and a stream of the pour comes from there.
    return GlassSymbol(key, (-widest, -top - 10, 2 * widest, top + 10 + foot + 2 * wall), parts)


def rungs_of(computed: Computed, glass: Glass) -> tuple[Rung, ...]:
    """The way from the glass as served to everything poured; one rung for a drink with no pour."""
    profile = glass_profile(glass)
    before, after, turn = computed.before, computed.after, computed.turn
    dose = computed.revealed_ml
    if after is None or turn is None or not dose:
        level = fill_height_mm(profile, before.volume_ml)
        colour = before.seen.above
        return (Rung(0.0, colour.shown, colour.name, before.ph, level, _at(profile, level)),)
    made = []
    for share in along(before, after, turn, STEPS).share:
        near = int(np.argmin(np.abs(turn.poured_ml - share * dose)))
        volume = before.volume_ml + share * (after.volume_ml - before.volume_ml)
        level = fill_height_mm(profile, volume)
        ends = {0.0: before, 1.0: after}
        if share in ends:
            state = ends[float(share)]
            hex_, name, ph = state.seen.above.shown, state.seen.above.name, state.ph
        else:
            hex_, name, ph = turn.hexes[near], turn.names[near], _ph(turn, share * dose)
        made.append(Rung(float(share), hex_, name, ph, level, _at(profile, level)))
    return tuple(made)


def draw_filled(shape: GlassSymbol, rung: Rung, title: str) -> str:
    """One drink's glass filled up to a rung; `title` is what a screen reader speaks."""
    left, top, wide, tall = shape.box
    y, rx = _n(-rung.level_mm), rung.radius_mm
    rim = f'cy="{y}" rx="{_n(rx)}" ry="{_n(rx * TILT)}"'
    return (
        f'<svg role="img" class="glass" viewBox="{_n(left)} {_n(top)} {_n(wide)} {_n(tall)}"'
        f' width="{_n(wide * SCALE)}" height="{_n(tall * SCALE)}" color="{rung.hex or _NONE}">'
        f"<title>{escape(title)}</title>"
        f'<g class="liquid"><g clip-path="url(#in-{shape.key})">'
        f'<rect class="body" x="{_n(left)}" y="{y}" width="{_n(wide)}" height="{_n(tall)}"/></g>'
        f'<ellipse class="body" {rim}/></g>'
        f'<ellipse class="shine" {rim}/><path class="stream" d="M0 {_n(top)}V{y}"/>'
        f'<use class="wall" href="#wall-{shape.key}"/></svg>'
    )


def draw_turn(rungs: Sequence[Rung], key: str) -> str:
    """The turn as a strip of colour, the words for it standing beside it on the page."""
    last = len(rungs) - 1
    stops = "".join(
        f'<stop offset="{_n(n / last)}" stop-color="{rungs[n].hex}"/>'
        for n in range(0, last + 1, 2)
    )
    return (
        '<svg class="turn" width="100%" height="100%" aria-hidden="true">'
        f'<linearGradient id="{key}">{stops}</linearGradient>'
        f'<rect width="100%" height="100%" fill="url(#{key})"/></svg>'
    )


def seconds_of(computed: Computed) -> float:
    """How long a tap plays a turn, s: so that it is seen to turn at once."""
    return float(np.clip(PACE_S * (computed.delta_e00 or 0.0), SHORTEST_S, LONGEST_S))


def for_script(
    rungs: Sequence[Rung], names: Sequence[str], sharp: Sequence[str], seconds: float, flat: bool
) -> str:
    """What a script needs to pour: JSON of equally long lists, to stand in single quotes.

    `at` has two places a rung in the lists of words, `s` is how long it plays. A `flat` glass is
    filled by `hex` (six digits a rung, strung together), `y` and `rx`; a picture has them in it.
    """
    called, tasted = list(dict.fromkeys(names)), list(dict.fromkeys(sharp))
    filled = {
        "hex": "".join(r.hex.removeprefix("#") for r in rungs),
        "y": [round(-r.level_mm, 1) for r in rungs],
        "rx": [round(r.radius_mm, 1) for r in rungs],
    }
    values = {
        **(filled if flat else {}),
        "name": called,
        "sharp": tasted,
        "s": round(seconds, 2),
        "at": [
            place
            for name, taste in zip(names, sharp, strict=True)
            for place in (called.index(name), tasted.index(taste))
        ],
    }
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"))
    return text.replace("&", "&amp;").replace("'", "&#39;").replace("<", "&lt;")


def _ph(turn: Turn, poured_ml: float) -> float:
    return float(np.interp(poured_ml, turn.poured_ml, turn.ph))


def _at(profile: list[tuple[float, float]], level_mm: float) -> float:
    heights = [h for _, h in profile]
    return float(np.interp(level_mm, heights, [r for r, _ in profile]))


def _n(value: float) -> str:
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")
