"""Glasses hold what they are said to hold, and every pattern of the vocabulary is drawn."""

import math
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from anthocard.engine.optics.outline import fill_height_mm
from anthocard.facts.colour.names import pattern_of, vocabulary
from anthocard.house.settings import Glass
from anthocard.press.draw.glass import draw_glass, thinned
from anthocard.press.draw.patterns import PATTERNS, draw_marks
from hypothesis import given, strategies as st

CONE = [(0.0, 0.0), (30.0, 60.0)]
CYLINDER = [(0.0, 0.0), (30.0, 0.0), (30.0, 100.0)]


def test_a_cylinder_fills_evenly() -> None:
    """V = pi r^2 h: 100 ml in a bore of 60 mm stands 100 000 / (pi 900) = 35.37 mm high."""
    assert fill_height_mm(CYLINDER, 100.0) == pytest.approx(100_000 / (math.pi * 900))


def test_a_cone_fills_with_the_cube_of_its_height() -> None:
    """V = pi h^3 / 12 for a cone whose radius is half its height; an eighth stands half as high."""
    full_ml = math.pi * 60**3 / 12 / 1000
    assert fill_height_mm(CONE, full_ml / 8) == pytest.approx(30.0)


def test_a_glass_never_overflows_its_rim() -> None:
    """A drink larger than its glass is drawn to the brim."""
    assert fill_height_mm(CONE, 10_000.0) == 60.0


@given(st.floats(1, 60), st.floats(1, 60))
def test_more_stands_higher(a_ml: float, b_ml: float) -> None:
    """The level never falls as volume grows."""
    low, high = sorted((a_ml, b_ml))
    assert (
        fill_height_mm(CONE, low) <= fill_height_mm(CONE, high) + 1e-9
    )  # rounding of the last digit


@given(
    st.lists(st.tuples(st.floats(1, 60), st.floats(1, 40)), min_size=1, max_size=8),
    st.floats(0, 500),
    st.sampled_from(sorted(PATTERNS)),
)
def test_any_outline_draws_well_formed_and_finite(
    steps: list[tuple[float, float]], volume_ml: float, pattern: str
) -> None:
    """Every outline that climbs gives an SVG that parses and holds no NaN or infinity."""
    height, outline = 0.0, [(10.0, 0.0)]
    for half_width, rise in steps:
        height += rise
        outline.append((half_width, height))
    glass = Glass(width="60 mm", holds="200 ml", outline=tuple(outline), stem="10 mm")
    svg = draw_glass(glass, volume_ml, "#445566", pattern, "a <glass> & more", "k")
    assert ElementTree.fromstring(svg)[0].text == "a <glass> & more"
    assert "nan" not in svg
    assert "inf" not in svg


def test_every_colour_name_has_a_pattern_that_is_drawn() -> None:
    """No name of the vocabulary can reach a card without a cue besides its colour."""
    box = (-20.0, -20.0, 20.0, 20.0)
    drawn = {pattern_of(name.word): draw_marks(pattern_of(name.word), box) for name in vocabulary()}
    marks = [path for pattern, path in drawn.items() if pattern != "plain"]
    assert all(marks)
    assert len(set(marks)) == len(marks)


@given(st.lists(st.tuples(st.floats(0, 50), st.floats(0, 3)), min_size=2, max_size=30))
def test_a_thinned_outline_stays_where_it_was(steps: list[tuple[float, float]]) -> None:
    """Ends stay, order stays, and no point left out lies further from the line than allowed."""
    height, points = 0.0, []
    for radius, rise in steps:
        height += rise + 0.1
        points.append((radius, height))
    kept = thinned(points, 0.5)
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    assert [p for p in points if p in kept] == kept
    for x, y in points:
        near = next(
            abs((b[0] - a[0]) * (a[1] - y) - (a[0] - x) * (b[1] - a[1])) / math.dist(a, b)
            for a, b in pairwise(kept)
            if a[1] <= y <= b[1]
        )
        assert near <= 0.5 + 1e-9
