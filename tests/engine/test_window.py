"""The window of a pour: where its edges lie, and what widens it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from anthocard.engine.together import alone
from anthocard.engine.trust.tolerance import window, with_mend
from anthocard.facts.colour.colours import delta_e_2000
from hypothesis import given, settings, strategies as st

from tests.engine.test_dial import acid_per_ml, blue, water


@settings(max_examples=15, deadline=None)
@given(dose=st.floats(0.5, 20.0))
def test_the_edges_are_five_away(dose: float) -> None:
    """At each edge the colour is ΔE00 5 from the dose's, and inside it is nearer."""
    line = blue()
    found = alone(window(line, dose))
    at = line.at(np.array([dose])).lab[0]
    assert found.low_ml < dose
    inside = np.linspace(found.low_ml, found.high_ml or dose, 40)[1:-1]
    assert (delta_e_2000(line.at(inside).lab, at) <= 5.1).all()
    for edge in (found.low_ml, found.high_ml):
        if edge:
            assert float(delta_e_2000(line.at(edge).lab, at)) == pytest.approx(5.0, abs=0.3)


def test_the_ph_of_the_edges() -> None:
    """The pH range is that of the two edges."""
    line, found = blue(), alone(window(blue(), 5.0))
    assert found.high_ml is not None
    assert found.high_ph == pytest.approx(float(line.at(found.low_ml).ph), abs=0.02)
    assert found.low_ph == pytest.approx(float(line.at(found.high_ml).ph), abs=0.02)


def test_slopes_are_those_of_the_curve() -> None:
    """ΔE00 a ml times the ml of a tenth of pH is ΔE00 a tenth of pH."""
    line, found = blue(), alone(window(blue(), 3.0))
    step = 0.05
    ph = line.at(np.array([3.0 - step, 3.0 + step])).ph
    ml_per_tenth = 0.1 / abs(float(ph[1] - ph[0])) * 2.0 * step
    wanted = found.delta_e00_per_ml * ml_per_tenth
    assert found.delta_e00_per_tenth_ph == pytest.approx(wanted, rel=0.02)


def test_a_plain_drink_has_no_edge() -> None:
    """What has no colour to lose may be poured as one likes."""
    found = alone(window(replace(blue(), before=water(90.0)), 5.0))
    assert (found.low_ml, found.high_ml, found.narrow) == (0.0, None, False)


def test_twice_the_drink_has_twice_the_window() -> None:
    """Edges are extensive."""
    one, two = alone(window(blue(90.0), 3.0)), alone(window(blue(180.0), 6.0))
    assert two.low_ml == pytest.approx(2.0 * one.low_ml, rel=1e-6)
    assert two.delta_e00_per_ml == pytest.approx(0.5 * one.delta_e00_per_ml, rel=1e-3)


def test_a_narrow_window_is_flagged_and_widened_by_water() -> None:
    """Concentrated acid in a small pale drink leaves no room for a hand; half the strength does."""
    line = replace(blue(20.0, 2.0), per_ml=acid_per_ml(400.0))
    dose = 0.1
    found = alone(with_mend(line, dose))
    assert found.narrow
    assert found.wider_ml is not None
    assert found.wider_low_ml is not None
    assert found.wider_ml > 1.8 * dose
    assert found.wider_ml - found.wider_low_ml > 1.5 * (dose - found.low_ml)
    assert alone(with_mend(blue(), 10.0)).wider_ml is None
