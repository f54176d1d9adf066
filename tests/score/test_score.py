"""The score keeps its word: coverage, what is held apart, and README prints what it says."""

from __future__ import annotations

import pytest

from tests.score.areas import areas
from tests.score.outside import Area, held


@pytest.mark.parametrize("area", areas(), ids=lambda area: area.name)
def test_no_fit_used_what_is_held_apart(area: Area) -> None:
    """A value is held apart by its name alone, and no fit has seen one that is."""
    assert len({one.key for one in area.values}) == len(area.values)
    assert not [one.key for one in area.values if one.fitted and held(one.key)]


def test_a_third_is_held_apart() -> None:
    """Of all values together a third, but for chance (binomial: four standard deviations)."""
    keys = [one.key for area in areas() for one in area.values]
    apart = sum(held(key) for key in keys)
    assert abs(apart - len(keys) / 3) < 4 * (len(keys) * 2 / 9) ** 0.5
