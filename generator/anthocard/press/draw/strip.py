"""The turn strip: colour against millilitres poured, with ticks that never collide.

Belongs here: which ticks stand on the strip and how it is drawn. Does not belong here: the pour
curve itself (the engine).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from html import escape

import numpy as np

from anthocard.engine.results import Turn
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import fixed, tidy

NEAREST = 0.22  # of the axis between two ticks: a label of 13 mm and air, on a card 105 mm wide
LEVELS = 2.0  # of 255: under a percent of a channel is not seen between neighbours; chosen
INSET = 100 * 7 / 105  # percent left plain at either end: the safe edge of a card to be trimmed


@dataclass(frozen=True, slots=True)
class Stop:
    """A colour of the strip ("#rrggbb") and where it stands ("37.5", percent of the width)."""

    hex: str
    percent: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the strip: "9 ml", "pH 3.9", its percent, how its label is anchored.

    `dose` says that this is the amount to pour, not a mere step.
    """

    ml: str
    ph: str
    percent: str
    anchor: str
    dose: bool


def make_stops(turn: Turn) -> tuple[Stop, ...]:
    """As few colours of the curve as show all of it, its two ends always among them."""
    end_ml = float(turn.poured_ml[-1]) or 1.0
    return tuple(
        Stop(turn.hexes[i], _percent(float(turn.poured_ml[i]) / end_ml)) for i in telling(turn)
    )


def telling(turn: Turn) -> list[int]:
    """Which points of a curve a gradient needs: it is nowhere more than LEVELS off, in R, G or B.

    Between two points that are kept, the one that is furthest off is kept too, and so on (Ramer
    1972, Douglas and Peucker 1973). A turn is steep where it is looked at, and flat elsewhere.
    """
    rgb = np.array([[int(hex_[n : n + 2], 16) for n in (1, 3, 5)] for hex_ in turn.hexes], float)
    at = np.asarray(turn.poured_ml, float)
    kept, between = {0, len(at) - 1}, [(0, len(at) - 1)]
    while between:
        first, last = between.pop()
        if last - first < 2 or at[last] <= at[first]:
            continue
        inside = slice(first + 1, last)
        share = (at[inside, None] - at[first]) / (at[last] - at[first])
        off = np.abs(rgb[inside] - rgb[first] - share * (rgb[last] - rgb[first])).max(axis=1)
        worst = first + 1 + int(off.argmax())
        if off.max() > LEVELS:
            kept.add(worst)
            between += [(first, worst), (worst, last)]
    return sorted(kept)


def make_ticks(turn: Turn, dose_ml: float, dose_text: str, tongue: Language) -> tuple[Tick, ...]:
    """Nothing poured, the dose, all of the curve, and round amounts between; never too near.

    `dose_text` is the dose as the card prints it, so that the two never differ.
    """
    end_ml = float(turn.poured_ml[-1])
    room_ml = end_ml * NEAREST
    stand = [0.0, dose_ml]
    if end_ml - dose_ml >= room_ml:
        stand.append(end_ml)
    step_ml = _round_step(room_ml)
    for n in range(1, math.ceil(end_ml / step_ml)):
        if all(abs(n * step_ml - ml) >= room_ml - 1e-9 for ml in (*stand, end_ml)):
            stand.append(n * step_ml)
    texts = {dose_ml: dose_text}
    return tuple(_tick(turn, ml, end_ml, texts.get(ml, ""), tongue) for ml in sorted(stand))


def run_over(stops: tuple[Stop, ...]) -> str:
    """A strip's stops for a rectangle from -5 to 105 % of its width: where it ends, a press that
    paints in tiles may begin the next, and that must not be on the card.

    Shares are of the rectangle, which browsers and WeasyPrint take alike; of a drawing they do not.
    """
    return "".join(
        f'<stop offset="{(float(s.percent) + 5.0) / 1.1:.2f}%" stop-color="{s.hex}"/>'
        for s in stops
    )


def seen_from_right(
    stops: tuple[Stop, ...], ticks: tuple[Tick, ...]
) -> tuple[tuple[Stop, ...], tuple[Tick, ...]]:
    """The same strip with nothing poured at its right end; ticks stay in their order."""
    anchors = {"start": "end", "end": "start", "middle": "middle"}
    return (
        tuple(Stop(stop.hex, _from_right(stop.percent)) for stop in reversed(stops)),
        tuple(
            replace(tick, percent=_from_right(tick.percent), anchor=anchors[tick.anchor])
            for tick in ticks
        ),
    )


def _from_right(percent: str) -> str:
    return f"{100 - float(percent):.2f}".rstrip("0").rstrip(".")


def draw_strip(
    stops: tuple[Stop, ...], ticks: tuple[Tick, ...], title: str, key: str, runs: str = "ltr"
) -> str:
    """An SVG as wide as its place: labels above, colour below; `key` is a unique id on the page.

    Lengths are shares of the width and font sizes, so any card uses the same drawing; where words
    run from the right (`runs` is rtl) so does it.
    """
    if runs == "rtl":
        stops, ticks = seen_from_right(stops, ticks)
    colours = run_over(stops)
    labels = "".join(_label(tick) for tick in ticks)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" class="strip" width="100%"'
        f' height="25mm"><title>{escape(title)}</title>'
        f'<defs><linearGradient id="{key}">{colours}</linearGradient></defs>'
        f'<rect x="-5%" y="10.5mm" width="110%" height="15mm" fill="url(#{key})"/>{labels}</svg>'
    )


def _label(tick: Tick) -> str:
    at = f'x1="{tick.percent}%" x2="{tick.percent}%"'
    if tick.dose:  # a pale line under a dark one is seen on any colour
        mark = (
            f'<line {at} y1="10.5mm" y2="25mm" stroke="#ffffff" stroke-width="1.3mm"/>'
            f'<line {at} y1="8.7mm" y2="10.5mm" stroke="currentColor" stroke-width="0.5mm"/>'
            f'<line {at} y1="10.5mm" y2="25mm" stroke="#17131f" stroke-width="0.5mm"/>'
        )
    else:
        mark = f'<line {at} y1="8.9mm" y2="12.6mm" stroke="currentColor" stroke-width="0.35mm"/>'
    text = f'x="{tick.percent}%" text-anchor="{tick.anchor}" fill="currentColor"'
    weight = 700 if tick.dose else 500
    return (
        f'{mark}<text {text} y="3.6mm" font-size="11.5pt" font-weight="{weight}">{tick.ml}</text>'
        f'<text {text} y="7.8mm" font-size="9.6pt">{tick.ph}</text>'
    )


def _tick(turn: Turn, ml: float, end_ml: float, dose_text: str, tongue: Language) -> Tick:
    ph = float(np.interp(ml, turn.poured_ml, turn.ph))
    anchor = "start" if ml == 0 else "end" if ml == end_ml else "middle"
    label = dose_text or f"{tidy(ml, 1, tongue)} ml"
    return Tick(label, f"pH {fixed(ph, 1, tongue)}", _percent(ml / end_ml), anchor, bool(dose_text))


def _round_step(least_ml: float) -> float:
    """The smallest of 1, 2, 2.5, 5 times a power of ten that is not below `least_ml`."""
    power = 10.0 ** math.floor(math.log10(least_ml))
    return next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= least_ml - 1e-9)


def _percent(share: float) -> str:
    return f"{INSET + (100 - 2 * INSET) * share:.2f}".rstrip("0").rstrip(".")
