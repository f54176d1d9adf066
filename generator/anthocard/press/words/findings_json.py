"""What the engine found out about a recipe, as plain values for its JSON (figures_json.py).

Belongs here: windows, spreads, lights, eyes, wishes and calibrations. Does not belong here: any
calculation.
"""

from __future__ import annotations

from typing import Any

from anthocard.engine.findings import (
    Doubt,
    Spread,
    Window,
)
from anthocard.engine.results import Computed
from anthocard.facts.colour.colours import Colour


def found(computed: Computed) -> dict[str, Any]:
    """The keys from `window` to `calibrations`."""
    first, last = computed.doubt_before, computed.doubt_after
    ours = computed.ours_before, computed.ours_after
    return {
        "window": _window(computed.window) if computed.window else None,
        "uncertainty": (
            {"before": _doubt(first), "after": _doubt(last) if last else None} if first else None
        ),
        "in_our_light": (
            {
                "before": _colour(ours[0]),
                "after": _colour(ours[1]) if ours[1] else None,
            }
            if ours[0]
            else None
        ),
        "seen_by": (
            {who: number(value) for who, value in computed.eyes.seen} if computed.eyes else None
        ),
        "dialled": [
            {
                "name": one.name,
                "wish": one.wish.text,
                "exact_ml": number(one.exact_ml),
                "ml": number(one.ml),
                "ph": number(one.ph),
                "delta_e00": number(one.delta_e00),
                "trade_off": one.trade_off,
            }
            for one in computed.dialled
        ],
        "calibrations": [
            {
                "what": one.what,
                "unit": one.unit,
                "table": number(one.table),
                "fitted": number(one.fitted),
                "measured": number(one.measured),
                "on": one.on.isoformat(),
            }
            for one in computed.fits
        ],
    }


def number(value: float | None) -> float | None:
    """Six significant digits, and never minus nought."""
    return None if value is None else float(f"{value:.6g}") + 0.0


def _window(window: Window) -> dict[str, Any]:
    return {
        "low_ml": number(window.low_ml),
        "high_ml": number(window.high_ml),
        "low_ph": number(window.low_ph),
        "high_ph": number(window.high_ph),
        "delta_e00_per_ml": number(window.delta_e00_per_ml),
        "delta_e00_per_tenth_ph": number(window.delta_e00_per_tenth_ph),
        "accuracy_ml": number(window.accuracy_ml),
        "narrow": window.narrow,
    }


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return {
        "ph": _spread(doubt.ph),
        "abv_percent": _spread(doubt.abv_percent),
        "lab": [_spread(part) for part in doubt.lab],
        "delta_e00": number(doubt.delta_e00),
        "shades": [shade.hex for shade in doubt.strip],
        "ph_hangs_on": _inputs(doubt.ph_by),
        "colour_hangs_on": _inputs(doubt.colour_by),
    }


def _inputs(inputs: tuple[tuple[str, float], ...]) -> list[dict[str, Any]]:
    return [{"input": what, "share": number(share)} for what, share in inputs]


def _spread(spread: Spread) -> list[float | None]:
    return [number(spread.p5), number(spread.p50), number(spread.p95)]


def _colour(colour: Colour) -> dict[str, Any]:
    return {
        "name": colour.name,
        "hex": colour.hex,
        "lab": [number(value) for value in colour.lab],
    }
