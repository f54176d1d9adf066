"""The turn strip: ticks that never collide, colours that stand where they belong."""

from itertools import pairwise

import numpy as np
import pypdfium2
import pytest
from anthocard.engine.results import Turn
from anthocard.press.base.number_text import EN
from anthocard.press.base.sizes import POINTS_PER_MM
from anthocard.press.draw.strip import (
    INSET,
    LEVELS,
    NEAREST,
    draw_strip,
    make_stops,
    make_ticks,
    telling,
)
from anthocard.press.paper.job import HERE, paper_pdf
from hypothesis import given, strategies as st


def curve(end_ml: float, points: int = 31) -> Turn:
    poured = np.linspace(0, end_ml, points)
    hexes = tuple(f"#{i:02x}0000" for i in range(points))
    return Turn(poured, 6 - 3 * poured / end_ml, np.zeros((points, 3)), hexes, ("red",) * points)


@given(st.floats(0.3, 400), st.sampled_from([1.0, 1.25, 1.5, 2.0]))
def test_no_two_labels_are_nearer_than_their_width(dose_ml: float, overshoot: float) -> None:
    """Whatever the dose, neighbouring ticks keep NEAREST of the axis apart."""
    ticks = make_ticks(curve(dose_ml * overshoot), dose_ml, "dose", EN)
    shares = [(float(t.percent) - INSET) / (100 - 2 * INSET) for t in ticks]
    assert all(b - a >= NEAREST - 1e-3 for a, b in pairwise(shares))


@given(st.floats(0.3, 400))
def test_nothing_poured_and_the_dose_always_have_a_tick(dose_ml: float) -> None:
    """The two ticks a bartender needs are never crowded out by round numbers."""
    ticks = make_ticks(curve(dose_ml * 1.5), dose_ml, "dose", EN)
    assert ticks[0].ml == "0 ml"
    assert [t.ml for t in ticks if t.dose] == ["dose"]


def test_ticks_of_a_known_curve_in_hand_algebra() -> None:
    """12 ml on a curve to 18 ml with pH falling evenly from 6 to 3: ticks at 0, 5, 12 and 18.

    Round step: the smallest of 1, 2, 2.5, 5 not below 0.22 x 18 = 3.96 is 5; 5 ml is free, 10 is
    nearer than 3.96 to 12, 15 to 18. pH at 5 ml is 6 - 3 x 5/18 = 5.17.
    """
    ticks = make_ticks(curve(18.0), 12.0, "12 ml", EN)
    assert [(t.ml, t.ph) for t in ticks] == [
        ("0 ml", "pH 6.0"),
        ("5 ml", "pH 5.2"),
        ("12 ml", "pH 4.0"),
        ("18 ml", "pH 3.0"),
    ]
    assert [t.anchor for t in ticks] == ["start", "middle", "middle", "end"]


@pytest.mark.parametrize("points", [2, 24, 31, 200])
def test_stops_keep_both_ends(points: int) -> None:
    """The first and the last colour of the curve are on the strip, exactly."""
    turn = curve(10.0, points)
    stops = make_stops(turn)
    assert (stops[0].hex, stops[-1].hex) == (turn.hexes[0], turn.hexes[-1])
    percents = [float(stop.percent) for stop in stops]
    assert percents == sorted(percents)
    assert percents[0] == pytest.approx(INSET, abs=0.01)
    assert percents[-1] == pytest.approx(100 - INSET, abs=0.01)


def test_a_straight_run_of_colours_needs_its_ends_alone() -> None:
    """Red rising evenly by one level a point is one gradient, whatever its length."""
    assert len(make_stops(curve(10.0, 200))) == 2


@given(st.lists(st.integers(0, 0xFFFFFF), min_size=2, max_size=80))
def test_the_strip_is_nowhere_another_colour_than_the_curve(colours: list[int]) -> None:
    """A gradient through the stops is within LEVELS of every point of any curve, in R, G and B."""
    count = len(colours)
    hexes = tuple(f"#{colour:06x}" for colour in colours)
    poured = np.linspace(0.0, 10.0, count)
    turn = Turn(poured, 6 - 0.3 * poured, np.zeros((count, 3)), hexes, ("any",) * count)
    kept = telling(turn)
    rgb = np.array([[c >> 16, c >> 8 & 255, c & 255] for c in colours], float)
    for channel in range(3):
        drawn = np.interp(poured, poured[kept], rgb[kept, channel])
        assert np.abs(drawn - rgb[:, channel]).max() <= LEVELS + 1e-9


def test_a_sudden_turn_takes_more_stops_than_a_slow_one() -> None:
    """Where the colour jumps, it jumps on the strip: both points beside the jump are stops."""
    hexes = ("#2040c0",) * 30 + ("#c02060",) * 31
    poured = np.linspace(0.0, 12.0, 61)
    assert telling(Turn(poured, 6 - poured / 4, np.zeros((61, 3)), hexes, ("any",) * 61)) == [
        0, 29, 30, 60
    ]  # fmt: skip


def test_on_paper_each_colour_stands_where_its_dose_does() -> None:
    """A strip 105 mm wide, as WeasyPrint sets it and pdfium draws it: at every tenth of the curve the
    colour of that dose, to a level of red. A gradient by shares of the drawing ran 10 % too long.
    """
    stops = make_stops(curve(10.0, 256))
    drawn = draw_strip(stops, (), "strip", "key")
    style = "@page { size: 105mm 25mm; margin: 0 } body { margin: 0 } svg { display: block }"
    page = f"<html lang=en><title>strip</title><body>{drawn}"
    pdf = HERE.now(paper_pdf(lambda: page, style, (), "strip", HERE, safe_mm=0.0))
    with pypdfium2.PdfDocument(pdf) as document:
        pixels = document[0].render(scale=10 / POINTS_PER_MM).to_numpy()[200, :, :3]
    assert len(pixels) == pytest.approx(1050, abs=1)
    for share in np.linspace(0.0, 1.0, 11):
        at_mm = 105 * (INSET + share * (100 - 2 * INSET)) / 100
        assert pixels[round(10 * at_mm)].max() == pytest.approx(255 * share, abs=2.5)
