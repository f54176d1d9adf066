"""How soon a glass is traced and a drink put into it; see conftest.py for how to run it."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from anthocard.engine.optics.camera import view
from anthocard.engine.optics.maps import traced
from anthocard.engine.optics.paint import Plate, backdrop, painted, shown
from anthocard.engine.optics.scene import Filling
from anthocard.engine.optics.sight import VIEWS
from anthocard.house.reader import read_house

DEMO = Path(__file__).parents[2] / "recipes"
WIDE, TALL = 400, 480
Row = Callable[..., None]


def _took(make: Callable[[], Any]) -> tuple[Any, float]:
    """What was made, and the processor seconds it took."""
    start = time.process_time()
    made = make()
    return made, time.process_time() - start


def test_a_glass_is_traced(row: Row) -> None:
    """Every glass of the demo in both views, half full; the first is traced once before."""
    glasses = read_house(DEMO).house.glasses
    traced(glasses["coupe"], Filling((50.0,)), 12.0, 40, 48)
    for ice, share, of in (("none", 0.0, tuple(glasses)), ("cubed", 0.3, ("rocks glass",))):
        spent = {}
        for name in of:
            filling = Filling((glasses[name].holds * 0.5 * (1 - share),), ice, share, pieces=True)
            spent[name] = sum(
                _took(lambda f=filling, g=glasses[name], v=which: traced(
                    g, f, view(v).elevation_deg, WIDE, TALL
                ))[1]
                for which in VIEWS
            )  # fmt: skip
        most = max(spent, key=lambda name: spent[name])
        told = "without ice, the slowest" if ice == "none" else "with cubes"
        row(f"both views of a glass of the demo traced, {WIDE} × {TALL}, {told}", "≤ 3 s",
            f"{spent[most]:.1f} s ({most})", spent[most] <= 3.0)  # fmt: skip


def test_a_drink_is_put_into_its_glass(row: Row) -> None:
    """Maps known, at the size of a page's picture: from what it absorbs to what a screen takes."""
    from anthocard.press.draw.traced import TALL as HIGH, WIDE as BROAD

    glass = read_house(DEMO).house.glasses["coupe"]
    maps = traced(glass, Filling((90.0,)), view("above").elevation_deg, BROAD, HIGH)
    absorbs = np.linspace(0.05, 0.5, 81)[np.newaxis, np.newaxis]

    def composed() -> Any:
        plate = Plate(maps, backdrop("paper"))
        return painted(shown(plate.linear(absorbs)), plate.cover, plate.kept)

    least = min(_took(composed)[1] for _ in range(7))
    row(f"a drink put into a traced glass, {BROAD} × {HIGH}", "≤ 50 ms",
        f"{1e3 * least:.0f} ms", least <= 0.05)  # fmt: skip
