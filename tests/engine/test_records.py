"""Records: lots and probe calibration."""

from __future__ import annotations

from datetime import date

import pytest
from anthocard.engine.trade.records import calibrate, lot
from hypothesis import given, strategies as st


def test_a_lot_is_year_day_and_letter() -> None:
    """The 64th day of 2026, first batch; and the last day of a leap year."""
    assert lot(date(2026, 3, 5)) == "26064A"
    assert lot(date(2028, 12, 31), "C") == "28366C"
    with pytest.raises(ValueError, match="letter"):
        lot(date(2026, 3, 5), "ab")


@given(st.floats(50.0, 62.0), st.floats(-30.0, 30.0))
def test_a_line_through_two_buffers_is_found_again(slope: float, offset: float) -> None:
    """Millivolts made from a slope and an offset give them back."""

    def mv(ph: float) -> float:
        return offset - slope * (ph - 7.0)

    found = calibrate(4.01, mv(4.01), 7.0, mv(7.0))
    assert found.slope_mv_per_ph == pytest.approx(slope)
    assert found.offset_mv == pytest.approx(offset, abs=1e-9)
    assert found.accepted == (92.0 <= found.slope_percent <= 102.0)


def test_a_perfect_probe_is_nernsts() -> None:
    """59.16 mV a pH at 25 °C, 58.17 at 20 °C (R T ln 10 / F); a dull one is not accepted."""
    assert calibrate(4.0, 3 * 59.16, 7.0, 0.0).slope_percent == pytest.approx(100.0, abs=0.01)
    assert calibrate(4.0, 3 * 58.17, 7.0, 0.0, 20.0).slope_percent == pytest.approx(100.0, abs=0.02)
    assert not calibrate(4.0, 3 * 52.0, 7.0, 0.0).accepted


def test_one_buffer_twice_is_no_calibration() -> None:
    """Nor is anything below absolute zero."""
    with pytest.raises(ValueError, match="buffers"):
        calibrate(7.0, 0.0, 7.1, 1.0)
    with pytest.raises(ValueError, match="colder"):
        calibrate(4.0, 170.0, 7.0, 0.0, -300.0)
