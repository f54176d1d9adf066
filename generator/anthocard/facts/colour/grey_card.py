"""The colour of a drink off a photograph in which a grey card lies beside it.

Belongs here: patches of a picture, brought to the light that the card is grey in, and how far off
they may be. Does not belong here: unpacking a picture (press/draw), what a reading changes (the
engine).

A camera's red, green and blue are taken as linear in light once sRGB's curve is undone (IEC
61966-2-1), and each is multiplied so that the card comes out as grey as it is: von Kries' scaling
in the camera's own primaries, as cameras do it for white. What the camera's own curve and primaries
add is what the printed strip of a card beside it tells, whose colours are known.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour import colours

#: Across and down, in percent of a picture's width and height from its upper left corner.
Spot: TypeAlias = tuple[float, float]
Dots: TypeAlias = NDArray[np.uint8]  # (high, wide, 3), sRGB


class PhotographError(ValueError):
    """A photograph that tells no colour: what is wrong with it, and how to take a better one."""

    def __init__(self, message: str, mend: str) -> None:
        super().__init__(message)
        self.message, self.mend = message, mend


@dataclass(frozen=True, slots=True)
class Patch:
    """A colour of a photograph: CIELAB (D65) where the card is grey, and one s.d. of its dots in
    CIELAB units, the mean of the three axes.
    """

    lab: tuple[float, float, float]
    spread: float


def read_patch(dots: Dots, at: Spot, card: Spot, percent: float | None = None) -> Patch:
    """The colour at a spot beside a card that reflects `percent` of the light (grey: 18 %).

    Raises PhotographError where either is cut off, in the dark or unevenly lit, or the card is no
    grey.
    """
    share = (_row("cards", "grey")["percent"] if percent is None else percent) / 100.0
    gains = share / _card(dots, card)
    linear = _square(dots, at, "what is read")
    labs = colours.lab_of_linear(linear * gains)
    centre = colours.lab_of_linear(np.median(linear, axis=0) * gains)
    spread = float(np.sqrt(np.mean(np.var(labs, axis=0))))
    return Patch((float(centre[0]), float(centre[1]), float(centre[2])), spread)


def strip_sd(
    dots: Dots, ends: tuple[Spot, Spot], known: Floats, card: Spot, percent: float | None = None
) -> float:
    """How far colours of this photograph are off, one s.d. in CIELAB units, by a printed strip.

    `known` are the strip's colours in CIELAB at equal steps from one end to the other, (n, 3).
    Raises PhotographError as read_patch does, and where they are too far off to be that strip.
    """
    row = _row("strip", "looks")
    shares = np.linspace(0.0, 1.0, int(row["count"]))
    spots = [(_between(ends, share, 0), _between(ends, share, 1)) for share in shares]
    read = np.array([read_patch(dots, spot, card, percent).lab for spot in spots])
    steps = np.linspace(0.0, 1.0, len(known))
    wanted = np.stack([np.interp(shares, steps, axis) for axis in known.T], axis=1)
    sd = float(np.sqrt(np.mean((read - wanted) ** 2)))
    if sd > _row("strip", "most")["sd"]:
        raise PhotographError(
            f"the strip in the picture is {sd:.0f} CIELAB units from the one of this card",
            "point at its first and its last dose, and let all of it lie in the same light",
        )
    return max(sd, float(_row("strip", "least")["sd"]))


def _between(ends: tuple[Spot, Spot], share: float, axis: int) -> float:
    return ends[0][axis] * (1.0 - share) + ends[1][axis] * share


def _card(dots: Dots, at: Spot) -> Floats:
    """The card's linear red, green and blue. Raises PhotographError."""
    linear = _square(dots, at, "the grey card")
    middle = np.median(linear, axis=0)
    if middle.min() < _row("patch", "dark")["linear"]:
        raise PhotographError("the grey card lies in the dark", "take it again in more light")
    low, high = np.percentile(linear.mean(axis=1), (16.0, 84.0))
    if (high - low) / 2.0 > _row("patch", "uneven")["share"] * linear.mean():
        raise PhotographError(
            "the grey card is not lit evenly, or its edge was pointed at",
            "point at its middle, and take it away from shadows",
        )
    if middle.max() > _row("patch", "tint")["times"] * middle.min():
        raise PhotographError(
            "what was pointed at as the grey card is not grey",
            "point at the card; by candles or coloured lamps take it again in daylight",
        )
    return np.asarray(middle)


def _square(dots: Dots, at: Spot, what: str) -> Floats:
    """The dots around a spot in linear light, (n, 3). Raises PhotographError where cut off."""
    high, wide = dots.shape[:2]
    half = max(1, round(min(high, wide) * _row("patch", "wide")["share"] / 2.0))
    x, y = round(at[0] / 100.0 * (wide - 1)), round(at[1] / 100.0 * (high - 1))
    rows, columns = slice(max(0, y - half), y + half + 1), slice(max(0, x - half), x + half + 1)
    square = dots[rows, columns].reshape(-1, 3) / 255.0
    row = _row("patch", "cut_off")
    if np.mean(square.max(axis=1) >= row["from"]) > row["share"]:
        raise PhotographError(
            f"{what} is too bright: the camera cut its colour off",
            "take it again a stop darker, without a glint in that place",
        )
    return colours.decode(square)


@cache
def _rows() -> dict[str, Any]:
    return read_table("anthocard.facts.colour", "grey_card.yaml")


def _row(section: str, name: str) -> dict[str, Any]:
    row: dict[str, Any] = _rows()[section][name]
    return row
