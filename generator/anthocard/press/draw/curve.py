"""The pour curve: pH against millilitres poured, over the colours the glass runs through.

Belongs here: the plot of a spec page and the table that says the same in words. Does not belong
here: the curve itself (line.py), the strip of cards (strip.py).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

import numpy as np

from anthocard.engine.results import Computed, Turn
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import fixed, tidy
from anthocard.press.draw.strip import telling

WIDE, TALL = 360, 252  # user units: about a phone's pixels, so 13 is read without a glass
LEFT, RIGHT, TOP, FOOT = 34, 12, 24, 58
MOST_ROWS = 9


@dataclass(frozen=True, slots=True)
class CurveRow:
    """One line of the table beside the plot."""

    ml: str
    ph: str
    colour: str
    hex: str
    dose: bool


@dataclass(frozen=True, slots=True)
class Curve:
    """The plot and its table; `window` says in words which doses still look right."""

    drawing: str
    rows: tuple[CurveRow, ...]
    window: str


def make_curve(computed: Computed, tongue: Language) -> Curve | None:
    """The pour curve of a drink, or None where nothing is poured by volume."""
    turn, dose = computed.turn, computed.revealed_ml
    if turn is None or not dose or len(turn.poured_ml) < 2:
        return None
    return Curve(
        _draw(computed, turn, dose, tongue), _rows(turn, dose, tongue), _window(computed, tongue)
    )


def _window(computed: Computed, tongue: Language) -> str:
    window = computed.window
    if window is None:
        return ""
    low = tidy(window.low_ml, 1, tongue)
    if window.high_ml is None:
        return tongue.gettext("from %(low)s ml on the colour is right", low=low)
    high = tidy(window.high_ml, 1, tongue)
    return tongue.gettext("from %(low)s to %(high)s ml the colour is right", low=low, high=high)


def _rows(turn: Turn, dose_ml: float, tongue: Language) -> tuple[CurveRow, ...]:
    end = float(turn.poured_ml[-1])
    places = {*np.linspace(0.0, end, MOST_ROWS - 1).tolist(), dose_ml}
    rows = []
    for ml in sorted(places):
        near = int(np.argmin(np.abs(turn.poured_ml - ml)))
        if abs(ml - dose_ml) > 1e-9 and abs(ml - dose_ml) < end / (2 * MOST_ROWS):
            continue  # the dose stands in its place
        ph = float(np.interp(ml, turn.poured_ml, turn.ph))
        rows.append(
            CurveRow(
                ml=tidy(ml, 1, tongue),
                ph=fixed(ph, 2, tongue),
                colour=tongue.word("colour", turn.names[near]),
                hex=turn.hexes[near],
                dose=ml == dose_ml,
            )
        )
    return tuple(rows)


def _draw(computed: Computed, turn: Turn, dose: float, tongue: Language) -> str:
    end = float(turn.poured_ml[-1])
    low, high = math.floor(float(turn.ph.min())), math.ceil(float(turn.ph.max()))
    high = max(high, low + 1)

    def x(ml: float) -> float:
        return LEFT + (WIDE - LEFT - RIGHT) * ml / end

    def y(ph: float) -> float:
        return TALL - FOOT - (TALL - FOOT - TOP) * (ph - low) / (high - low)

    key, floor = f"{computed.slug}-curve", TALL - FOOT
    stops = "".join(
        f'<stop offset="{turn.poured_ml[i] / end:.3f}" stop-color="{turn.hexes[i]}"/>'
        for i in telling(turn)
    )
    line = "L".join(f"{x(m):.1f} {y(p):.1f}" for m, p in zip(turn.poured_ml, turn.ph, strict=True))
    grid = "".join(
        f'<path class="grid" d="M{LEFT} {y(n):.1f}H{WIDE - RIGHT}"/>'
        f'<text x="{LEFT - 6}" y="{y(n) + 4.5:.1f}" text-anchor="end">{n}</text>'
        for n in range(low, high + 1, 1 if high - low <= 6 else 2)
    )
    step = _step(end)
    ticks = "".join(
        f'<path class="grid" d="M{x(n * step):.1f} {floor}v5"/>'
        f'<text x="{x(n * step):.1f}" y="{floor + 18}" text-anchor="middle">'
        f"{tidy(n * step, 1, tongue)}</text>"
        for n in range(int(end / step + 1e-9) + 1)
    )
    window = ""
    if computed.window is not None:
        first = x(min(computed.window.low_ml, end))
        past = computed.window.high_ml
        until = x(min(end if past is None else past, end))
        window = (
            f'<path class="window" d="M{first:.1f} {floor + 25}v6H{until:.1f}'
            f'{"" if past is None or past > end else "v-6"}"/>'
        )
    ph = float(np.interp(dose, turn.poured_ml, turn.ph))
    title = tongue.gettext(
        "Pour curve: pH %(first)s and %(colour)s with nothing poured, pH %(ph)s at %(dose)s ml."
        " The table below says the same.",
        first=fixed(float(turn.ph[0]), 1, tongue),
        colour=tongue.word("colour", turn.names[0]),
        ph=fixed(ph, 1, tongue),
        dose=tidy(dose, 1, tongue),
    )
    poured = tongue.gettext("ml poured")
    return (
        f'<svg role="img" class="curve" viewBox="0 0 {WIDE} {TALL}" aria-labelledby="{key}-title">'
        f'<title id="{key}-title">{escape(title)}</title>'
        f'<linearGradient id="{key}" gradientUnits="userSpaceOnUse" x1="{LEFT}" y1="0"'
        f' x2="{WIDE - RIGHT}" y2="0">{stops}</linearGradient>'
        f'<path d="M{LEFT} {floor}L{line}L{x(end):.1f} {floor}Z" fill="url(#{key})"/>'
        f'{grid}{ticks}<path class="line" d="M{line}"/>'
        f'<path class="dose" d="M{x(dose):.1f} {TOP}V{floor}"/>'
        f'<circle class="dose" cx="{x(dose):.1f}" cy="{y(ph):.1f}" r="5"/>{window}'
        f'<text x="{LEFT - 6}" y="12" text-anchor="end">pH</text>'
        f'<text x="{WIDE - RIGHT}" y="{TALL - 6}" text-anchor="end">{poured}</text></svg>'
    )


def _step(end_ml: float) -> float:
    """A round step that leaves four to eight ticks."""
    power = 10.0 ** math.floor(math.log10(end_ml / 4))
    return next(m * power for m in (5.0, 2.5, 2.0, 1.0) if m * power <= end_ml / 4 + 1e-9)
