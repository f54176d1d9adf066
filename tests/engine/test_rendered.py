"""Our pictures beside those of an outside ray tracer: see rendered.py."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import yaml
from anthocard.engine.optics.camera import view
from anthocard.engine.optics.maps import Maps, traced
from anthocard.engine.optics.scene import Filling
from anthocard.engine.optics.sight import VIEWS

from tests.engine.rendered import ABSORBANCES, FULL, TALL, WIDE, as_told, glasses, kept, left_half
from tests.engine.white_room import paint_white

FINER = 4  # our pictures are close to the size that pages have, and laid together after
BOUNDS = yaml.safe_load(
    (Path(__file__).parents[1] / "press" / "picture_bounds.yaml").read_text("utf-8")
)["rendered"]
NAMES = list(glasses())


def test_the_renders_are_of_the_glasses_of_the_demo() -> None:
    """If not, `sh .ci/rendered` makes them anew."""
    _, told = kept()
    assert told["glasses"] == {name: as_told(glass) for name, glass in glasses().items()}
    assert (told["absorbance_per_cm"], told["full"]) == (list(ABSORBANCES), FULL)


@pytest.mark.parametrize("which", VIEWS)
@pytest.mark.parametrize("name", NAMES)
def test_a_picture_is_what_another_tracer_makes_of_it(
    name: str, which: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a white room, half full of grey drinks from pale to dark: the mean light of all pixels
    that show the drink within 3 %, and pixel by pixel alike.
    """
    ours, drink = _in_a_white_room(name, which, monkeypatch)
    theirs = kept()[0][NAMES.index(name), VIEWS.index(which)]
    for n in range(len(ABSORBANCES)):
        one, other = ours[drink][:, n], theirs[drink][:, n]
        assert abs(one.mean() / other.mean() - 1.0) <= BOUNDS["mean"]["at_most"]
        assert np.corrcoef(one, other)[0, 1] >= BOUNDS["alike"]["at_least"]


def _in_a_white_room(
    name: str, which: str, monkeypatch: pytest.MonkeyPatch
) -> tuple[np.ndarray, np.ndarray]:
    """Light (TALL, WIDE / 2, absorbances) of our picture, and which pixels show the drink."""
    paint_white(monkeypatch)
    glass = glasses()[name]
    filling, elevation = Filling((FULL * glass.holds,)), view(which).elevation_deg
    maps = traced(glass, filling, elevation, FINER * WIDE, FINER * TALL)
    light = _together(np.stack([_grey(maps, absorbs) for absorbs in ABSORBANCES], axis=2))
    return left_half(light), left_half(_together(maps.drink[..., np.newaxis]))[..., 0] > 0.99


def _grey(maps: Maps, absorbs: float) -> np.ndarray:
    """Beer and Lambert: what is left of the light, (tall, wide)."""
    straight, mirrored = (10.0 ** -(absorbs * way[..., 0]) for way in (maps.way, maps.way_back))
    light = maps.clear + maps.tinted * straight[..., None] + maps.back * mirrored[..., None]
    return np.asarray(light[..., 0])


def _together(fine: np.ndarray) -> np.ndarray:
    """(FINER tall, FINER wide, k) as (tall, wide, k)."""
    return fine.reshape(TALL, FINER, WIDE, FINER, -1).mean(axis=(1, 3))
