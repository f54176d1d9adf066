"""Pictures of filled glasses: what light they keep, what stands in them, how finely they are told."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest
from anthocard.engine.optics import floating, maps, tracer
from anthocard.engine.optics.bodies import Bodies
from anthocard.engine.optics.camera import camera
from anthocard.engine.optics.maps import Maps, unpacked
from anthocard.engine.optics.meshes import meshes
from anthocard.engine.optics.outline import brim_ml, fill_height_mm, glass_profile, near_level_ml
from anthocard.engine.optics.paint import Plate, backdrop, backdrops, painted, shown
from anthocard.engine.optics.scene import Filling, make_scene
from anthocard.engine.optics.surfaces import GLASS
from anthocard.facts.colour import colours
from anthocard.facts.colour.spectra import band
from anthocard.house.settings import Glass
from hypothesis import given, settings, strategies as st

from tests.engine.white_room import paint_white

TUMBLER = Glass(
    width="82 mm", holds="352 ml", outline=((32.0, 0.0), (36.0, 4.0), (38.0, 30.0), (41.0, 76.0))
)
COUPE = Glass(
    width="92 mm", holds="198 ml", stem="72 mm",
    outline=((3.0, 0.0), (15.0, 2.0), (27.0, 7.0), (37.0, 15.0), (43.0, 25.0), (45.5, 35.0), (46.0, 43.0)),
)  # fmt: skip
BLUE = (0.3 * band(590.0, 1.0, 1400.0, 1600.0) + 0.01)[np.newaxis, np.newaxis]
KINDS = ("cubed", "cracked", "block", "clear spear", "sphere")


@cache
def _maps(name: str, elevation: float, ice: str = "none", foam: float = 0.0) -> Maps:
    glass = {"coupe": COUPE, "tumbler": TUMBLER}[name]
    share = 0.0 if ice == "none" else 0.4
    return maps.traced(glass, Filling((90.0,), ice, share, foam, pieces=True), elevation, 48, 58)


@pytest.mark.parametrize("elevation", [12.0, 55.0])
@pytest.mark.parametrize(
    ("name", "ice"), [("coupe", "none"), ("tumbler", "none"), ("tumbler", "block")]
)
def test_in_a_white_room_everything_is_white(
    name: str, ice: str, elevation: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No light is made or lost: with the same white all around, a clear drink is not seen at all."""
    paint_white(monkeypatch)
    _maps.cache_clear()
    try:
        found = _maps(name, elevation, ice)
    finally:
        _maps.cache_clear()
    total = (found.clear + found.tinted + found.back)[..., 0]
    np.testing.assert_allclose(total, 1.0, atol=1e-3)


def test_a_picture_darkens_as_its_ways_say() -> None:
    """Beer and Lambert in every pixel: ten times the way is the tenth power of the light."""
    found = _maps("tumbler", 12.0)
    plate = Plate(found, backdrop("paper"))
    grey = np.full((1, 1, 81), 0.05)
    light = plate.linear(grey) - Plate(found, backdrop("paper")).linear(np.full((1, 1, 81), 60.0))
    only = (found.drink > 0.999) & (found.way[..., 0] > 0.5)
    assert only.sum() > 50
    wanted = sum(
        (weight[only][:, 0] + weight[only][:, 2]) * 10 ** -(0.05 * way[only][:, 0])
        for weight, way in ((found.tinted, found.way), (found.back, found.way_back))
    )
    np.testing.assert_allclose(light[only][:, 1] / wanted, 1.0, atol=0.02)


def test_the_far_half_is_the_near_one_in_a_mirror() -> None:
    """What is in a glass of revolution is the same on both sides; only the room is not."""
    found = _maps("coupe", 55.0)
    np.testing.assert_allclose(found.glass, found.glass[:, ::-1], atol=1e-6)
    assert np.abs(found.clear - found.clear[:, ::-1]).max() > 0.05


@pytest.mark.parametrize(("name", "ice"), [("coupe", "none"), ("tumbler", "cracked")])
def test_what_lies_between_is_what_would_be_seen_there(
    name: str, ice: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pixels that were not looked at are, but for one in two hundred, within ΔE00 1 of a look."""
    found = _maps(name, 12.0, ice)
    monkeypatch.setattr(maps, "_uneven", lambda sides: np.float64(-1.0))
    _maps.cache_clear()
    every = _maps(name, 12.0, ice)
    _maps.cache_clear()
    pair = [shown(Plate(one, backdrop("paper")).linear(BLUE)) for one in (found, every)]
    apart = colours.delta_e_2000(*(colours.lab_of_linear(colours.decode(one)) for one in pair))
    assert apart.max() > 0.0  # something was left out
    assert np.mean(apart > 1.0) < 0.005


@settings(max_examples=30, deadline=None)
@given(st.integers(2, 9), st.integers(2, 9), st.floats(-2, 2), st.floats(-2, 2))
def test_a_slope_is_filled_as_it_is(tall: int, wide: int, down: float, across: float) -> None:
    """Between crossings an even slope goes on evenly; a step has every pixel of its meshes seen."""
    net = meshes(tall, wide)
    row, column = np.divmod(np.arange(tall * wide), wide)
    slope = (down * row + across * column)[:, np.newaxis]
    told = np.zeros_like(slope)
    told[net.crossings] = slope[net.crossings]
    assert not len(net.uneven(told, np.array([9.0])))
    net.fill(told)
    np.testing.assert_allclose(told, slope, atol=1e-9)
    step = (row == tall - 1).astype(float)[:, np.newaxis]
    seen = {*net.crossings.tolist(), *net.uneven(step, np.array([0.5])).tolist()}
    before = net.rows[-2]
    assert seen >= set(np.flatnonzero(row >= before).tolist())


def test_maps_are_kept_whole() -> None:
    """Packed and unpacked, no pixel is off by as much as an eye could tell; the same bytes twice."""
    found = _maps("coupe", 55.0)
    again = unpacked(found.packed())
    pair = [shown(Plate(one, backdrop("paper")).linear(BLUE)) for one in (found, again)]
    apart = colours.delta_e_2000(*(colours.lab_of_linear(colours.decode(one)) for one in pair))
    assert apart.max() < 0.2
    assert found.packed() == found.packed()


def test_over_white_clear_glass_looks_as_if_it_were_painted_whole() -> None:
    """Let through or painted whole, over a white page each pixel is the same to half of a level,
    and a drink covers its page; cut out, nothing is left beside the glass.
    """
    maps_ = _maps("tumbler", 55.0)
    for name in ("paper", "clear"):
        plate = Plate(maps_, backdrop(name))
        light = plate.linear(BLUE)
        rgba = painted(shown(light), plate.cover, plate.kept)
        over = 1.0 - (1.0 - rgba[..., :3]) * rgba[..., 3:]
        whole = 1.0 - (1.0 - shown(light)) * plate.cover[..., np.newaxis]
        np.testing.assert_allclose(over, whole, atol=0.5 / 255)
        assert rgba[..., 3].min() >= 0.0
        assert rgba[..., 3][(maps_.drink > 0.999) & (plate.cover > 0.999)].min() > 0.999
        assert (rgba[..., 3] < 0.5).mean() > 0.5
    assert rgba[..., 3][maps_.glass == 0.0].max() == 0.0
    assert set(backdrops()) == {"paper", "bar", "clear"}


@pytest.mark.parametrize("on", ["paper", "bar"])
def test_eight_bits_are_enough(on: str) -> None:
    """Rounded to what a screen takes, no pixel is ΔE00 1 off."""
    whole = shown(Plate(_maps("coupe", 12.0), backdrop(on)).linear(BLUE))
    lab = [
        colours.lab_of_linear(colours.decode(one)) for one in (whole, np.round(whole * 255) / 255)
    ]
    assert colours.delta_e_2000(*lab).max() < 1.0


def _bodies(ice: str, glass: Glass = TUMBLER, ml: float = 120.0) -> tuple[Bodies, float, float]:
    scene = make_scene(glass, Filling((ml,), ice, 0.4, pieces=True))
    return scene.bodies, scene.level, scene.loose


@pytest.mark.parametrize("ice", KINDS)
def test_ice_lies_in_the_glass_and_in_no_other_ice(ice: str) -> None:
    """No corner through the wall or the bottom; between any two pieces an axis parts them."""
    bodies, level, loose = _bodies(ice)
    assert len(bodies)
    assert 0.0 <= loose < 0.4
    inside = make_scene(TUMBLER, Filling((120.0,))).inside
    for middle, axes, half in zip(bodies.middle, bodies.axes, bodies.half, strict=True):
        piece = floating.Floe(middle, axes, half)
        room = np.interp(piece.corners[:, 2], inside[:, 1], inside[:, 0])
        assert np.all(np.hypot(*piece.corners[:, :2].T) < room)
        assert piece.corners[:, 2].min() > 0.0
        assert middle[2] - piece.reach(np.array([0.0, 0.0, 1.0])) < level
    for one, other in combinations(range(len(bodies)), 2):
        pair = [
            floating.Floe(bodies.middle[k], bodies.axes[k], bodies.half[k]) for k in (one, other)
        ]
        assert not floating._touch(*pair)


@pytest.mark.parametrize("ice", KINDS)
@pytest.mark.parametrize("ml", [60.0, 120.0, 180.0])
def test_the_level_with_ice_is_where_drink_and_ice_reach(ice: str, ml: float) -> None:
    """Within 3 mm of where liquid and displaced ice stand together by the profile's own volume."""
    share = 0.4
    scene = make_scene(TUMBLER, Filling((ml,), ice, share, pieces=True))
    wanted = fill_height_mm(glass_profile(TUMBLER), ml / (1.0 - share))
    assert 10.0 * scene.level == pytest.approx(wanted, abs=3.0)


@given(st.floats(1.0, 200.0))
def test_pictures_share_levels_no_pixel_tells_apart(ml: float) -> None:
    """The level of a picture is within a quarter of a millimetre of the drink's, in the glass."""
    profile = glass_profile(COUPE)
    level = fill_height_mm(profile, ml)
    near = fill_height_mm(profile, near_level_ml(profile, ml, 0.5))
    assert abs(near - level) <= 0.2501 or level < 0.5
    assert near == pytest.approx(round(2 * near) / 2, abs=1e-6)


def test_ice_is_seen() -> None:
    """A cube in the drink shortens the way through its middle."""
    with_, without = _maps("tumbler", 12.0, "block"), _maps("tumbler", 12.0)
    rows = slice(30, 40)  # the body of the drink, below both surfaces
    assert with_.way[rows, 18:30].mean() < 0.8 * without.way[rows, 18:30].mean()


def test_foam_hides_what_is_under_it() -> None:
    """From above a head of foam is all there is of a drink; without it there is none."""
    found = _maps("tumbler", 55.0, foam=30.0)
    assert found.foam.max() > 0.99
    assert _maps("tumbler", 55.0).foam.max() == 0.0


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000))
def test_what_a_ray_passes_by_is_left_out_and_nothing_else(seed: int) -> None:
    """The nearest of the segments whose hollow cylinders a ray comes into is the nearest of all."""
    random = np.random.default_rng(seed)
    solids = make_scene(COUPE, Filling((90.0,))).solids
    room = np.empty(len(solids.beyond))
    for o in (random.normal(size=(20, 3)) * 4.0).tolist():
        d = random.normal(size=3)
        d /= np.linalg.norm(d)
        a, b, c = d[:2] @ d[:2], o[:2] @ d[:2], np.dot(o[:2], o[:2])
        every = [
            tracer.meeting(solids, n, o[2], d[2], a, b, c)
            for n in range(solids.first[GLASS], solids.first[GLASS + 1])
        ]
        found, _ = tracer.skin(solids, GLASS, tuple(o), tuple(d.tolist()), room)
        assert found == min(every)


def test_the_whole_glass_is_in_the_picture() -> None:
    """Nothing of it touches the edge, and what stands over its rim has room."""
    for glass in (COUPE, TUMBLER):
        scene = make_scene(glass, Filling((90.0,)))
        for elevation in (12.0, 55.0):
            eye = camera(scene, elevation, 216, 260)
            for x, z in ((scene.widest, scene.height), (scene.foot, scene.floor)):
                across, down = eye.spot(np.array([x, 0.0, z]))
                assert 8 < across < 208
                assert 8 < down < 252
    assert brim_ml(glass_profile(COUPE)) > 190
