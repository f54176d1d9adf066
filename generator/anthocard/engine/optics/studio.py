"""What stands around a glass in a picture: the page as a lit sweep, a glow behind it, lamps.

Belongs here: their measures, as the table tells them, around one glass. Does not belong here: the
glass (scene.py), what a ray sees of them (compositor.py), colours of page and lamps.

Every light is given as weights: of the page's own colour, of the glow, of the lamps.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.scene import Scene


class Studio(NamedTuple):
    """A room and the glass in it. What the glass lends it is in cm, `loose` 0-1, `shade` how deep
    the drink is that lights the table through it, cm; all else is a row of the table and a key of
    it, in heights of the glass or shares of light.
    """

    tall: float
    floor: float
    height: float
    foot: float
    wide: float
    loose: float
    shade: float
    liquids: int
    sweep_back: float
    sweep_fade: float
    sweep_floor: float
    sweep_climb: float
    sweep_dip: float
    rest_page: float
    rest_glow: float
    glow_up: float
    glow_wide: float
    glow_tall: float
    strips_light: float
    strips_at: float
    strips_half: float
    strips_soft: float
    pool_light: float
    pool_wide: float
    pool_behind: float
    ambient_page: float
    ambient_glow: float
    beside_page: float
    beside_glow: float
    foam_page: float
    foam_glow: float
    foam_lamp: float
    caustic_share: float
    window_light: float
    window_away: float
    window_half: float
    window_behind: float
    window_up: float
    lamp_light: float
    lamp_away: float
    lamp_half: float
    lamp_up: float
    lamp_tall: float
    overhead_light: float
    overhead_above: float
    overhead_half: float
    overhead_deep: float
    shadow_foot: float
    shadow_bowl: float


def studio_around(scene: Scene) -> Studio:
    """The room of the table around a glass."""
    rows = read_table("anthocard.engine.optics", "optics.yaml")["studio"]
    made: dict[str, Any] = {
        "tall": scene.tall,
        "floor": scene.floor,
        "height": scene.height,
        "foot": scene.foot,
        "wide": float(scene.inside[:, 0].max()),
        "loose": scene.loose,
        "shade": 1.5 * float(np.interp(scene.level, *scene.inside.T[::-1])),
        "liquids": scene.liquids,
    }
    for name in Studio._fields[len(made) :]:
        row, key = name.split("_")
        made[name] = float(rows[row][key])
    return Studio(**made)
