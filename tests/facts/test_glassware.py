"""Glasses of the trade: each holds what it says, is found by its names, and goes by size."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from anthocard.facts.glassware import LARGEST, SMALLEST, Shape, shape_called, shapes
from anthocard.facts.units.written_numbers import MeasureError
from hypothesis import given, strategies as st


def holds_ml(shape: Shape) -> float:
    """Frustums turned about the axis, V = pi h (a^2 + ab + b^2) / 3."""
    return sum(
        math.pi * (top - low) * (a * a + a * b + b * b) / 3000.0
        for (a, low), (b, top) in pairwise(shape.outline)
    )


@pytest.mark.parametrize("name", shapes())
def test_a_shape_holds_what_it_says(name: str) -> None:
    """The outline, turned, has its stated volume within one in a hundred, and only rises."""
    shape = shapes()[name]
    assert holds_ml(shape) == pytest.approx(shape.holds_ml, rel=0.01)
    heights = [h for _, h in shape.outline]
    assert heights == sorted(heights)
    assert min(shape.sizes_ml) * 0.99 <= shape.holds_ml <= max(shape.sizes_ml) * 1.01


@given(st.sampled_from(sorted(shapes())), st.floats(0.0, 1.0))
def test_any_size_is_the_same_shape(name: str, share: float) -> None:
    """Of any size between the bounds: so much it holds, and width keeps its ratio to height."""
    shape = shapes()[name]
    low, high = SMALLEST * min(shape.sizes_ml), LARGEST * max(shape.sizes_ml)
    other = shape.sized(low + share * (high - low))
    assert holds_ml(other) == pytest.approx(other.holds_ml, rel=0.03)  # lengths to a tenth of a mm
    ratio = shape.width_mm / shape.outline[-1][1]
    assert other.width_mm / other.outline[-1][1] == pytest.approx(ratio, rel=0.02)


# (what a bar says, whose shape, ml to the brim)
CALLED = [
    ("Nick & Nora", "nick and nora", 150), ("coupe", "coupe", 210), ("Sektschale", "coupe", 210),
    ("rocks", "rocks glass", 300), ("Tumbler", "rocks glass", 300),
    ("double old-fashioned", "double rocks glass", 400), ("highball", "highball glass", 330),
    ("Longdrinkglas", "highball glass", 330), ("collins 350 ml", "collins glass", 350),
    ("flute", "flute", 190), ("Sektflöte", "flute", 190), ("Sektfloete", None, 0),
    ("tulip", "tulip", 210), ("sour", "sour glass", 160), ("small coupe", "coupe", 150),
    ("wine glass", "wine glass", 450), ("kleines Weinglas", "wine glass", 250),
    ("hurricane", "hurricane glass", 480), ("mug", "mug", 400), ("snifter", "snifter", 400),
    ("Cognacschwenker", "snifter", 400), ("shot", "shot glass", 40), ("shot 2 cl", "shot glass", 20),
    ("mule mug", "copper mug", 500), ("Kupferbecher", "copper mug", 500),
    ("pint", "pint glass", 568), ("Pousse-Café glass", "pousse café glass", 110),
    ("julep", "julep cup", 400), ("coupe 2 l", None, 0), ("bucket", None, 0), ("", None, 0),
]  # fmt: skip


@pytest.mark.parametrize(("text", "name", "ml"), CALLED)
def test_it_is_found_by_what_people_call_it(text: str, name: str | None, ml: float) -> None:
    """In English and German, with a size or without; what is no glass, or no such size, is told."""
    if name is None:
        with pytest.raises(MeasureError) as told:
            shape_called(text)
        assert told.value.mend
    else:
        found = shape_called(text)
        assert (found.name, found.holds_ml) == (name, pytest.approx(ml))


def test_the_tasting_glass_is_that_of_the_standard() -> None:
    """ISO 3591:1977 as quoted: 215 ml, widest 65 mm and rim 46 mm outside, 155 mm high."""
    one = shapes()["tasting glass"]
    assert one.holds_ml == 215
    assert one.width_mm + 2 * one.wall_mm == pytest.approx(65, abs=1.5)
    assert 2 * one.outline[-1][0] + 2 * one.wall_mm == pytest.approx(46, abs=2)
    assert one.outline[-1][1] + one.stem_mm == pytest.approx(155, abs=5)


def test_no_word_means_two_glasses() -> None:
    """Each word is one shape's alone."""
    words = [word.casefold() for one in shapes().values() for word in (one.name, *one.words)]
    assert len(words) == len(set(words))
