"""Light through a glass: the laws it keeps, and the ways it takes."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from anthocard.engine.compute import compute
from anthocard.engine.optics import rays, scene as scenes, sight, tracer
from anthocard.engine.optics.camera import camera, view
from anthocard.engine.optics.floating import NONE
from anthocard.engine.optics.outline import defects
from anthocard.engine.optics.scene import AIR, LIQUID, Filling, Scene, make_scene
from anthocard.engine.optics.surfaces import Surface, skin_of
from anthocard.facts.colour import colours
from anthocard.facts.colour.optics import transmittance_through
from anthocard.facts.colour.spectra import NM, band
from anthocard.house.reader import read_house
from anthocard.house.settings import Glass
from hypothesis import given, settings, strategies as st


def _glass(width: float, holds: float, stem: float = 0.0, outline: object = None) -> Glass:
    told = {"width": f"{width} mm", "holds": f"{holds} ml", "outline": outline}
    return Glass.model_validate(told | ({"stem": f"{stem} mm"} if stem else {}))


COUPE = _glass(
    width=92.0, holds=198.0, stem=72.0,
    outline=((3.0, 0.0), (15.0, 2.0), (27.0, 7.0), (37.0, 15.0), (43.0, 25.0), (45.5, 35.0), (46.0, 43.0)),
)  # fmt: skip
TUMBLER = _glass(
    width=82.0, holds=352.0, outline=((32.0, 0.0), (36.0, 4.0), (38.0, 30.0), (41.0, 76.0))
)
FLUTE = _glass(
    width=46.0, holds=174.0, stem=66.0,
    outline=((2.0, 0.0), (7.0, 6.0), (13.0, 22.0), (18.0, 48.0), (21.5, 82.0), (23.0, 112.0), (22.5, 138.0), (21.5, 150.0)),
)  # fmt: skip
THIMBLE = _glass(
    width=39.0, holds=37.0, outline=((12.0, 0.0), (15.0, 3.0), (17.0, 18.0), (19.5, 40.0))
)
HEAD = "name: A\nplace: GB\ncurrency: GBP\n"
DRINK = "---\nkind: drink\nname: d\nglass: small glass\nice: none\nmethod: built\npours:\n  - 40 ml water\n---\n"

GLASSES = {"coupe": COUPE, "tumbler": TUMBLER, "flute": FLUTE, "thimble": THIMBLE}


def _alone(line: np.ndarray, index: float) -> Scene:
    """A body of liquid alone in the air, its outline turned about the axis."""
    surfaces = (Surface(line, (AIR, LIQUID)),)
    n = np.ones(LIQUID + 1)
    n[LIQUID] = index
    return Scene(
        surfaces, {m: skin_of(surfaces, m) for m in (AIR, LIQUID)}, (scenes.INNER,), n, NONE,
        line, (1e9,), 1e9, -9.0, 9.0, 9.0, 9.0, 0.0, 0.0,
    )  # fmt: skip


def _ball(radius: float, points: int = 400) -> np.ndarray:
    turn = np.linspace(0, np.pi, points)
    return np.stack([radius * np.sin(turn), -radius * np.cos(turn)], axis=1)


def _everywhere(count: int, radius: float, seed: int = 7) -> tuple[np.ndarray, np.ndarray]:
    """Lines from all sides, as many through every part of a ball: isotropic and even."""
    random = np.random.default_rng(seed)
    d = random.normal(size=(count, 3))
    d /= np.linalg.norm(d, axis=1, keepdims=True)
    across = np.cross(d, random.normal(size=(count, 3)))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    away = radius * np.sqrt(random.random((count, 1)))
    return away * across - 20.0 * d, d


def _chords(body: Scene, count: int, radius: float) -> np.ndarray:
    found = rays.follow(body, rays.eye_rays(*_everywhere(count, radius), 1), 4)
    return found.path[found.hit, 0]


def test_the_mean_chord_of_a_ball() -> None:
    """4R/3 (Dirac P.A.M., 1943; Cauchy's theorem): unbent light through a ball of 2 cm."""
    assert _chords(_alone(_ball(2.0), 1.0), 40_000, 2.1).mean() == pytest.approx(8 / 3, rel=0.01)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.5, 3), st.floats(0.5, 3), st.floats(0.5, 4))
def test_the_mean_chord_of_a_convex_body(low: float, high: float, tall: float) -> None:
    """4V/S of a frustum, whatever its shape (Cauchy 1850)."""
    line = np.array([[0, 0], [low, 0], [high, tall], [0, tall]], dtype=float)
    volume = np.pi * tall * (low**2 + low * high + high**2) / 3
    surface = np.pi * (low**2 + high**2 + (low + high) * np.hypot(high - low, tall))
    found = _chords(_alone(line, 1.0), 60_000, float(np.hypot(max(low, high), tall)) + 0.1)
    assert found.mean() == pytest.approx(4 * volume / surface, rel=0.03)


def test_a_slab_is_as_thick_as_it_is() -> None:
    """Straight through a dish 1 cm deep, and at 30° over its bent way, sin 30° = n sin t."""
    dish = _alone(np.array([[0, 0], [8, 0], [8, 1], [0, 1]], dtype=float), 1.333)
    down = np.array([[0.0, 0.0, -1.0], [0.5, 0.0, -np.sqrt(0.75)]])
    start = np.array([[1.0, 0.5, 5.0], [-1.0, 0.5, 3.0]])
    found = rays.follow(dish, rays.eye_rays(start, down, 1), 4).path[:, 0]
    assert found == pytest.approx([1.0, 1 / np.sqrt(1 - (0.5 / 1.333) ** 2)], rel=1e-3)


def test_a_cuvette_is_straight() -> None:
    """At right angles through the middle of a straight tube nothing is bent: its inner width."""
    tube = _glass(width=40.0, holds=60.0)
    stood = make_scene(tube, Filling((40.0,)))
    level = np.array([[0.0, -30.0, 1.5]])
    found = rays.follow(stood, rays.eye_rays(level, np.array([[0.0, 1.0, 0.0]]), 1), 8)
    assert found.done.all()
    assert found.path[0, 0] == pytest.approx(4.0, abs=2e-3)


# Born M., Wolf E., Principles of Optics, 1.5: R at normal incidence is ((n-1)/(n+1))², and for
# glass of 1.52 one half at 85° (their figure 1.12 and table, second-hand; the values are computed
# from the two amplitudes by hand).
FRESNEL = [
    (0.0, 1.0, 1.52, 0.04258),
    (0.0, 1.345, 1.52, 0.00373),
    (45.0, 1.0, 1.5, 0.05024),
    (60.0, 1.0, 1.5, 0.08919),
    (56.3099, 1.0, 1.5, 0.07396),  # Brewster's angle: half of the other one, ((n²-1)/(n²+1))²/2
    (85.0, 1.0, 1.5, 0.61280),
]


@pytest.mark.parametrize(("degrees", "n1", "n2", "back"), FRESNEL)
def test_what_a_surface_turns_back(degrees: float, n1: float, n2: float, back: float) -> None:
    """Fresnel's equations for unpolarised light at handbook angles."""
    _, found = tracer.refract(np.cos(np.radians(degrees)), n1, n2)
    assert float(found) == pytest.approx(back, abs=2e-5)


@pytest.mark.parametrize(("n1", "n2", "degrees"), [(1.5, 1.0, 41.81), (1.333, 1.0, 48.61)])
def test_beyond_the_critical_angle_all_is_turned_back(n1: float, n2: float, degrees: float) -> None:
    """arcsin(n2/n1): 41.8° in glass, 48.6° in water."""
    below, beyond = (
        tracer.refract(np.cos(np.radians(degrees + off)), n1, n2)[1] for off in (-0.05, 0.05)
    )
    assert below < 0.9 < beyond == 1.0


@given(st.floats(0.01, 1), st.floats(1, 2), st.floats(1, 2))
def test_light_goes_both_ways(cos: float, n1: float, n2: float) -> None:
    """What a surface turns back is the same from either side (Stokes 1849)."""
    ahead, back = tracer.refract(cos, n1, n2)
    if float(back) < 1.0:
        assert tracer.refract(ahead, n2, n1)[1] == pytest.approx(float(back), abs=1e-9)


@cache
def _followed(name: str, which: sight.Which, share: float = 0.45) -> rays.Rays:
    glass = GLASSES[name]
    stood = make_scene(glass, Filling((glass.holds * share,)))
    eye = camera(stood, view(which).elevation_deg, 40, 48)
    start = rays.eye_rays(eye.eye, eye.directions(1).reshape(-1, 3), 1)
    return rays.follow(stood, start, 64, depth=5, least=0.03)


@pytest.mark.parametrize("which", sight.VIEWS)
@pytest.mark.parametrize("name", GLASSES)
def test_no_light_is_made_or_lost(name: str, which: sight.Which) -> None:
    """What goes on, what is mirrored and what is counted as lost add up to the light that came."""
    found = _followed(name, which)
    assert len(found.of) > 40 * 48  # some is mirrored
    total = np.bincount(found.of, found.weight + found.lost + found.within)
    np.testing.assert_allclose(total, 1.0, atol=1e-3)


@pytest.mark.parametrize("which", sight.VIEWS)
@pytest.mark.parametrize("name", GLASSES)
def test_nearly_all_light_through_the_drink_is_followed(name: str, which: sight.Which) -> None:
    """Less than 3 % of it is still on its way when no more is asked."""
    found = _followed(name, which)
    drink = (found.path[:, 0] > 0) & (np.arange(len(found.of)) < 40 * 48)
    caught = float(found.weight[drink & ~found.done].sum())
    assert caught < 0.03 * float(found.weight[drink].sum())


@pytest.mark.parametrize("name", GLASSES)
def test_left_and_right_are_the_same(name: str) -> None:
    """A glass of revolution looks the same from both sides."""
    path = _followed(name, "side").path[: 48 * 40, 0].reshape(48, 40)
    same = np.abs(path - path[:, ::-1]) < 0.02
    assert same.mean() > 0.99  # a ray along an edge may fall on either side of it


ABSORBING = [
    strength * (band(peak, 1.0, 1400.0, 1600.0) + 0.05 * np.exp(-(NM - 400.0) / 90.0))
    for strength in (0.05, 0.2, 0.4)
    for peak in (520.0, 574.0, 618.0)
]


@pytest.mark.parametrize("which", sight.VIEWS)
@pytest.mark.parametrize("name", GLASSES)
@pytest.mark.parametrize("share", [0.35, 0.52, 0.68])
def test_the_table_of_ways_is_the_traced_mean(name: str, which: sight.Which, share: float) -> None:
    """Within ΔE00 0.5 of every ray of a fine picture, from pale to dark, between its levels."""
    glass = GLASSES[name]
    volume = glass.holds * share
    stood = make_scene(glass, Filling((volume,)))
    eye = camera(stood, view(which).elevation_deg, 160, 160, view(which).through)
    start = rays.eye_rays(eye.eye, eye.directions(1, slice(0, 80)).reshape(-1, 3), 1)
    found = rays.follow(stood, start, 64)
    seen = (found.surface if which == "above" else found.wall) & found.done
    weight = found.weight[seen] / found.weight[seen].sum()
    ways = sight.Sight(glass).paths(which, volume)
    for absorbance in ABSORBING:
        light = 10 ** -(found.path[seen] * absorbance)
        told = transmittance_through(absorbance, ways)
        off = colours.delta_e_2000(colours.to_lab(told), colours.to_lab(weight @ light))
        assert float(off) <= 0.5


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(sorted(GLASSES)), st.sampled_from(sight.VIEWS), st.integers(6, 18),
    st.integers(0, 7), st.floats(-0.05, 0.05), st.floats(-0.05, 0.05),
)  # fmt: skip
def test_a_glass_a_hair_wider_shows_the_same_colour(
    name: str, which: sight.Which, level: int, point: int, wider: float, higher: float
) -> None:
    """A point of the outline moved by up to 0.05 mm each way moves no colour by ΔE00 1.

    In glasses from a third full: less is told by few rays.
    """
    outline = [list(one) for one in GLASSES[name].outline or ()]
    at = point % len(outline)
    outline[at][0] += wider
    outline[at][1] += higher if at else 0.0
    moved = GLASSES[name].model_copy(update={"outline": tuple(map(tuple, outline))})
    one, other = (
        sight.ways_of(
            sight.quantiles(sight.GlassView(glass, which, view(which).elevation_deg), level)
        )
        for glass in (GLASSES[name], moved)
    )
    for absorbance in ABSORBING:
        lab = [colours.to_lab(transmittance_through(absorbance, ways)) for ways in (one, other)]
        assert float(colours.delta_e_2000(*lab)) <= 1.0


TULIP = _glass(
    width=50.0, holds=118.0, stem=60.0,
    outline=((2.0, 0.0), (10.0, 4.0), (19.0, 13.0), (24.0, 26.0), (25.0, 38.0), (22.0, 54.0), (19.5, 66.0), (21.0, 76.0), (24.0, 84.0)),
)  # fmt: skip


@pytest.mark.parametrize("ml", [99.0, 102.0, 104.0, 108.0, 110.0])
def test_the_thin_edge_of_a_dark_drink_is_told_between_levels(ml: float) -> None:
    """Under a wall that flares, ways at the edge go to none: what light comes, comes there. The
    table is within ΔE00 0.6 of every ray of a fine picture.
    """
    dark = band(590.0, 1.0, 1400.0, 1600.0) + 0.1 * np.exp(-(NM - 400.0) / 90.0)
    stood = make_scene(TULIP, Filling((ml,)))
    eye = camera(stood, view("above").elevation_deg, 120, 120, "surface")
    start = rays.eye_rays(eye.eye, eye.directions(1, slice(0, 60)).reshape(-1, 3), 1)
    found = rays.follow(stood, start, 48)
    seen = found.surface & found.done
    weight = found.weight[seen] / found.weight[seen].sum()
    light = weight @ 10 ** -(found.path[seen] * dark)
    told = transmittance_through(dark, sight.Sight(TULIP).paths("above", ml))
    assert float(colours.delta_e_2000(colours.to_lab(told), colours.to_lab(light))) <= 0.6


def test_ways_grow_with_the_level() -> None:
    """More in the glass is a longer way down, and nothing in it is none."""
    ways = sight.Sight(FLUTE).paths("above", np.array([0.0, 20.0, 60.0, 120.0]))
    assert ways.mean_mm[0] == 0.0
    assert np.all(np.diff(ways.mean_mm) > 0)
    assert ways.cm.shape == ways.weights.shape
    assert ways.weights.sum(axis=-1) == pytest.approx(np.ones(4))


def test_a_sample_is_looked_at_in_its_tube_and_over_white() -> None:
    """π/4 of the tube on the mean, and twice the depth of a white dish."""
    tube = sight.sample_tube(40.0)
    assert tube.paths("side", 500.0).mean_mm == pytest.approx(40 * np.pi / 4, rel=1e-3)
    assert tube.paths("above", np.array([1.0, 2.0])).mean_mm == pytest.approx([20.0, 20.0])


def test_what_cannot_be_a_glass_is_told_and_looked_at_in_a_plain_one() -> None:
    """A line that falls back, and a wall thicker than the glass: where, why, mend."""
    crossed = _glass(
        width=60.0, holds=200.0, outline=((20.0, 0.0), (30.0, 40.0), (25.0, 30.0), (30.0, 90.0))
    )
    assert [(one.kind, one.at) for one in defects(crossed, 1.2)] == [("outline-falls", 2)]
    for glass in (COUPE, _glass(width=60.0, holds=200.0)):
        thick = glass.model_copy(update={"wall": 50.0})
        assert [one.kind for one in defects(thick, 50.0)] == ["wall-too-thick"]
    plain = _glass(width=60.0, holds=200.0)
    found = sight.Sight(crossed).paths("side", 90.0)
    np.testing.assert_array_equal(found.cm, sight.Sight(plain).paths("side", 90.0).cm)


@pytest.mark.parametrize(
    ("outline", "kind", "at"),
    [
        (((30.0, 0.0), (20.0, 0.0), (30.0, 60.0)), "outline-crosses", 1),
        (
            ((20.0, 0.0), (30.0, 40.0), (10.0, 40.0), (25.0, 40.0), (30.0, 80.0)),
            "outline-crosses",
            3,
        ),
        (((20.0, 0.0), (-4.0, 40.0)), "outline-crosses", 1),
        (((20.0, 0.0), (20.0, 0.0), (30.0, 80.0)), "outline-stays", 1),
        (((20.0, 5.0), (30.0, 5.0)), "outline-flat", 1),
    ],
)
def test_what_is_wrong_with_an_outline_is_told_at_its_point(
    outline: tuple[tuple[float, float], ...], kind: str, at: int
) -> None:
    """Back along itself, beyond the middle, a point twice, no height."""
    told = defects(_glass(width=60.0, holds=100.0, outline=outline), 1.2)
    assert (kind, at) in [(one.kind, one.at) for one in told]


def test_a_ledge_and_a_lip_are_no_mistakes() -> None:
    """A level part that goes on as it began crosses nothing: a step outwards, a rim turned in."""
    ledge = ((12.0, 0.0), (20.0, 0.0), (20.0, 30.0), (30.0, 30.0), (30.0, 80.0), (24.0, 80.0))
    assert not defects(_glass(width=60.0, holds=140.0, outline=ledge), 1.2)


def test_an_author_is_told_where_why_and_how_to_mend(tmp_path: Path) -> None:
    """A crossing outline is a warning with its place; the drink is worked out all the same."""
    bad = "glasses:\n  small glass: {width: 60 mm, holds: 90 ml, outline: [[20, 0], [30, 30], [25, 20]]}\n"
    files = {"house.yaml": HEAD + bad, "drinks/d.md": DRINK}
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    figures, warnings = compute(read_house(tmp_path))
    told = next(one for one in warnings if one.kind == "outline-falls")
    assert told.place.line == 5
    assert told.place.text[told.place.column - 1 :].startswith("[25, 20]")
    assert "falls from 30 to 20 mm" in told.message
    assert "plain glass" in told.message
    assert "bottom up" in told.mend
    assert figures["d"].before.seen.side_mm > 0


def test_a_level_bottom_is_no_lens() -> None:
    """Plane up to where its corner begins: a ray straight down a tumbler is not bent there."""
    solids = make_scene(TUMBLER, Filling((200.0,))).solids
    room = np.empty(len(solids.beyond))
    for r in np.linspace(0.1, 1.5, 40).tolist():  # its corner, rounded, begins at 1.6
        distance, n = tracer.skin(solids, LIQUID, (r, 0.0, 1.0), (0.0, 0.0, -1.0), room)
        up = tracer.skin_normal(solids, n, r, 0.0, 1.0 - distance)[2]
        assert np.degrees(np.arccos(min(abs(up), 1.0))) < 0.05
