"""A glass in a list: drawn once a kind and level, and used in the colour of each drink.

Belongs here: the shape a long list shares. Does not belong here: the glass of a page (glass.py) or
of the guest's pour (filled_glass.py). The colour is the drawing's `color`.
"""

from __future__ import annotations

from anthocard.engine.optics.outline import fill_height_mm, glass_profile
from anthocard.house.settings import Glass
from anthocard.press.draw.glass import GAP, WALL, filled_to, glass_wall, outline_path, thinned

LEVELS = 8  # fillings told apart in a list: at its size a finer step is no pixel
FINE_MM = 0.3  # what an outline may leave out at 3 rem; chosen: a quarter of a pixel


def level_of(glass: Glass, volume_ml: float) -> int:
    """Which of LEVELS fillings a volume is, from 1 (a sip) to LEVELS (the brim)."""
    return max(1, min(LEVELS, round(LEVELS * volume_ml / glass.holds)))


def draw_symbol(glass: Glass, level: int, key: str) -> str:
    """An SVG symbol of that glass, filled to a level of LEVELS in `currentColor`."""
    profile = thinned(glass_profile(glass), FINE_MM)
    top = profile[-1][1]
    wall = 1.6 * WALL * (top + glass.stem)  # small drawings need a stronger line
    away = GAP * wall + wall / 2
    half = max(r for r, _ in profile) + away + wall
    foot = away + glass.stem
    liquid = filled_to(profile, fill_height_mm(profile, glass.holds * level / LEVELS))
    line = outline_path(glass_wall(profile, away))
    if glass.stem:
        plate = 0.58 * max(r for r, _ in profile)
        line += f"M0 {away:.1f}V{foot:.1f}M{-plate:.1f} {foot:.1f}H{plate:.1f}"
    box = f"{-half:.1f} {-top - wall:.1f} {2 * half:.1f} {top + foot + 2 * wall:.1f}"
    return (
        f'<symbol id="{key}" viewBox="{box}"><path d="{outline_path(liquid)}Z"/>'
        f'<path class="outline" d="{line}" stroke-width="{wall:.2f}"/></symbol>'
    )
