"""Turns in pictures: what comes in goes its own way, at an even pace, and never back."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
import yaml
from anthocard.engine.optics.camera import camera
from anthocard.engine.optics.entering import WAYS, Entering, Places, places
from anthocard.engine.optics.scene import Filling, make_scene
from anthocard.house.serving.pours import How
from hypothesis import given, settings, strategies as st

from tests.engine.test_pictures import COUPE, TUMBLER

HERE = Path(__file__).parents[1]
BOUNDS = yaml.safe_load((HERE / "press" / "picture_bounds.yaml").read_text("utf-8"))["pour"]
ELEVATIONS = (12.0, 55.0)


@cache
def _seen(elevation: float) -> tuple[Places, np.ndarray]:
    scene = make_scene(TUMBLER, Filling((150.0,)))
    found = places(scene, camera(scene, elevation, 60, 72))
    drink = np.zeros((72, 60))
    drink[30:66, 12:48] = 1.0
    drink[66, 12:48] = 0.3  # an edge shows it in part
    return found, drink


def test_every_way_of_pouring_has_its_own() -> None:
    """Whatever an author may write under “how” is known here, and nothing else."""
    assert set(WAYS) == set(get_args(How))


@pytest.mark.parametrize("how", get_args(How))
@pytest.mark.parametrize("elevation", ELEVATIONS)
def test_the_pace_is_even(how: How, elevation: float) -> None:
    """At every time that share of the drink has turned, whichever way; none at first, all at last."""
    seen, drink = _seen(elevation)
    turn = Entering(how, seen, drink)
    for time in (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0):
        come = turn.come(time)
        assert float((come * drink).sum() / drink.sum()) == pytest.approx(time, abs=0.01)
        assert np.all(come[drink == 0.0] == time)
    half = BOUNDS["half"]
    mean = float((turn.come(0.5) * drink).sum() / drink.sum())
    assert half["at_least"] < mean < half["at_most"]
    assert turn.come(0.0)[drink > 0].max() == 0.0
    assert turn.come(1.0).min() == pytest.approx(1.0)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(get_args(How)), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_no_place_turns_back(how: How, one: float, other: float) -> None:
    """Later is never less, anywhere."""
    turn = Entering(how, *_seen(55.0))
    early, late = sorted((one, other))
    apart = turn.come(late) - turn.come(early)
    assert apart.min() >= BOUNDS["once"]["at_least"]


@pytest.mark.parametrize("elevation", ELEVATIONS)
def test_each_way_differs_from_every_other(elevation: float) -> None:
    """At half of the time a fifth of the drink, at least, has come less than half as far."""
    seen, drink = _seen(elevation)
    half = {how: Entering(how, seen, drink).come(0.5)[drink > 0] for how in get_args(How)}
    for one, other in combinations(half, 2):
        assert np.abs(half[one] - half[other]).mean() > 0.15, (one, other)


@pytest.mark.parametrize("how", [how for how in get_args(How) if how != "frozen"])
def test_there_is_a_front_and_then_a_stir(how: How) -> None:
    """Early on some of it has turned whole while some has not begun; later the rest moves alike."""
    seen, drink = _seen(55.0)
    turn = Entering(how, seen, drink)
    early, late = (turn.come(time)[drink > 0] for time in (0.35, 0.95))
    assert early.max() == 1.0
    assert early.min() == 0.0
    assert late.min() > 0.3


def test_where_it_comes_in() -> None:
    """Poured, in the middle of the surface; beneath, at the bottom; squeezed, at its side."""
    scene = make_scene(COUPE, Filling((90.0,)))
    eye = camera(scene, 55.0, 60, 72)
    seen = places(scene, eye)
    assert seen.deep.min() == 0.0
    assert seen.deep.max() == 1.0
    across, down = (int(one) for one in eye.spot(np.array([0.0, 0.0, scene.level])))
    drink = np.zeros((72, 60))
    drink[(seen.deep == 0.0) & (np.hypot(seen.x, seen.y) < 0.95)] = 1.0
    first = {how: Entering(how, seen, drink).come(0.25) for how in get_args(How)}
    assert first["poured"][down, across] == 1.0
    assert first["poured"][seen.y < -0.8].mean() < 0.3
    near, far = (first["layered"][(seen.y * side > 0.5) & (drink > 0)].mean() for side in (1, -1))
    assert near > far + 0.5
    right, left = (
        first["squeezed"][(seen.x * side > 0.2) & (drink > 0)].mean() for side in (1, -1)
    )
    assert right > left + 0.3
