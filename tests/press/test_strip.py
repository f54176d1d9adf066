"""The turn strip: ticks that never collide, colours that stand where they belong."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.bench.figures import Turn
from generator.press.strip import INSET, NEAREST, make_stops, make_ticks


def curve(end_ml: float, points: int = 31) -> Turn:
    poured = np.linspace(0, end_ml, points)
    hexes = tuple(f"#{i:02x}0000" for i in range(points))
    return Turn(poured, 6 - 3 * poured / end_ml, np.zeros((points, 3)), hexes, ("red",) * points)


@given(st.floats(0.3, 400), st.sampled_from([1.0, 1.25, 1.5, 2.0]))
def test_no_two_labels_are_nearer_than_their_width(dose_ml: float, overshoot: float) -> None:
    """Whatever the dose, neighbouring ticks keep NEAREST of the axis apart."""
    ticks = make_ticks(curve(dose_ml * overshoot), dose_ml, "dose")
    shares = [(float(t.percent) - INSET) / (100 - 2 * INSET) for t in ticks]
    assert all(b - a >= NEAREST - 1e-3 for a, b in pairwise(shares))


@given(st.floats(0.3, 400))
def test_nothing_poured_and_the_dose_always_have_a_tick(dose_ml: float) -> None:
    """The two ticks a bartender needs are never crowded out by round numbers."""
    ticks = make_ticks(curve(dose_ml * 1.5), dose_ml, "dose")
    assert ticks[0].ml == "0 ml"
    assert [t.ml for t in ticks if t.dose] == ["dose"]


def test_ticks_of_a_known_curve_in_hand_algebra() -> None:
    """12 ml on a curve to 18 ml with pH falling evenly from 6 to 3: ticks at 0, 5, 12 and 18.

    Round step: the smallest of 1, 2, 2.5, 5 not below 0.22 x 18 = 3.96 is 5; 5 ml is free, 10 is
    nearer than 3.96 to 12, 15 to 18. pH at 5 ml is 6 - 3 x 5/18 = 5.17.
    """
    ticks = make_ticks(curve(18.0), 12.0, "12 ml")
    assert [(t.ml, t.ph) for t in ticks] == [
        ("0 ml", "pH 6.0"),
        ("5 ml", "pH 5.2"),
        ("12 ml", "pH 4.0"),
        ("18 ml", "pH 3.0"),
    ]
    assert [t.anchor for t in ticks] == ["start", "middle", "middle", "end"]


@pytest.mark.parametrize("points", [2, 24, 31, 200])
def test_stops_keep_both_ends_and_stay_few(points: int) -> None:
    """The first and the last colour of the curve are on the strip, exactly."""
    turn = curve(10.0, points)
    stops = make_stops(turn)
    assert (stops[0].hex, stops[-1].hex) == (turn.hexes[0], turn.hexes[-1])
    assert len(stops) <= 24
    percents = [float(stop.percent) for stop in stops]
    assert percents == sorted(percents)
    assert percents[0] == pytest.approx(INSET, abs=0.01)
    assert percents[-1] == pytest.approx(100 - INSET, abs=0.01)
