"""What is laid on a traced picture: garnish, bubbles, a crust of salt. Drawn, not traced.

Belongs here: which shape a garnish has by its words, what lies over what. Does not belong here: how
each shape is drawn (shapes.py), light (engine/optics), a recipe's garnish (shown_glass.py).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from anthocard.diagnostics.tables import read_table
from anthocard.engine.optics.camera import Camera
from anthocard.engine.optics.scene import Filling, Scene
from anthocard.press.draw.shapes import FINER, Pen, bubbles, crust, shards

if TYPE_CHECKING:
    from PIL.Image import Image

_OF: Final = re.compile(r"\b(?:of|from|von|vom|aus)\b")


@dataclass(frozen=True, slots=True)
class Garnish:
    """A shape of the table and the name of its colours."""

    shape: str
    colour: str


def garnish_of(words: str) -> Garnish | None:
    """How a garnish is drawn, by its words; None if nobody can tell."""
    table = read_table("anthocard.press.draw", "garnish.yaml")
    text = words.lower()
    # “A line of drops from the lavender bitters” is drops: what stands first of what can be drawn.
    parts = (_named(table["shapes"], part) for part in _OF.split(text))
    found = next(filter(None, parts), None)
    if found is None:
        return None
    shape, tints = max(found)[1], _named(table["colours"], text)
    return Garnish(shape, min(tints)[1] if tints else str(table["shapes"][shape]["colour"]))


def shapes() -> tuple[str, ...]:
    """What can be drawn, each by a word that is known."""
    return tuple(read_table("anthocard.press.draw", "garnish.yaml")["shapes"])


def overlay(
    scene: Scene, eye: Camera, garnishes: tuple[Garnish, ...], rim: Garnish | None, filling: Filling
) -> Image:
    """What is drawn over a picture of that scene, RGBA, clear where there is nothing."""
    from PIL import Image, ImageDraw

    big = Image.new("RGBA", (eye.wide * FINER, eye.tall * FINER), (0, 0, 0, 0))
    pen = Pen(ImageDraw.Draw(big, "RGBA"), scene, eye)
    if filling.ice == "crushed":
        shards(pen)
    if filling.sparkling:
        bubbles(pen)
    for number, one in enumerate(garnishes):
        pen.whole(one.shape, _colours(one.colour), 1 if number % 2 == 0 else -1)
    if rim is not None:
        crust(pen, _colours(rim.colour))
    return big.resize((eye.wide, eye.tall), Image.Resampling.LANCZOS)


def _named(rows: dict[str, dict[str, Any]], text: str) -> list[tuple[int, str]]:
    """Where words of each row stand in a text, with the row's name."""
    return [
        (found.start(), name)
        for name, row in rows.items()
        for word in row["words"]
        for found in [re.search(rf"\b{re.escape(word.lower())}", text)]
        if found
    ]


@cache
def _colours(name: str) -> dict[str, str]:
    row: dict[str, str] = read_table("anthocard.press.draw", "garnish.yaml")["colours"][name]
    return row
