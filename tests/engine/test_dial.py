"""Dialling in: closed forms, laws, trade figures (dial_checks.yaml), and what cannot be had."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from anthocard.engine.mix.line import Line
from anthocard.engine.mix.reach import Unreachable
from anthocard.engine.mix.search import accuracy_ml, dial
from anthocard.engine.optics.sight import sample_tube
from anthocard.engine.together import alone
from anthocard.facts.chemistry import titration
from anthocard.facts.chemistry.alcohol import spirit, water_density_g_per_ml
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.substances import dissolve
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.colour.colours import lch_of_lab
from anthocard.facts.colour.names import name_of, wanted
from anthocard.facts.colour.pigments import coloured
from anthocard.house.wish import parse_wish
from hypothesis import given, settings, strategies as st

from tests.engine.conftest import Computer

CHECKS: dict[str, dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("dial_checks.yaml").read_text(encoding="utf-8")
)["checks"]


def water(ml: float) -> Liquid:
    return Liquid.of(water_g=ml * water_density_g_per_ml())


def acid_per_ml(g_per_l: float) -> Liquid:
    """A millilitre of citric acid solution: w/v, its own volume left out."""
    return water(1.0) + dissolve("citric", g_per_l / 1000.0)


def blue(ml: float = 90.0, buffer_g_per_l: float = 0.5, au_per_cm: float = 0.5) -> Line:
    """Butterfly-pea water with a little trisodium citrate, and 6 % citric acid to pour."""
    standing = water(ml) + dissolve("trisodium_citrate", ml * buffer_g_per_l / 1000.0)
    standing = standing + coloured("butterfly_pea", ml * au_per_cm)
    return Line(standing, acid_per_ml(60.0), 25.0, 25.0, sample_tube(60.0), view="side")


def after(text: str, line: Line | None = None, most_ml: float = 60.0) -> Any:
    return alone(dial(line or blue(), parse_wish(text, "after"), "acid", most_ml))


def test_a_dose_for_acidity_is_the_rule_of_mixing() -> None:
    """Into plain water, V = V0 t / (c - t): acidity mixes linearly by volume."""
    line = replace(blue(), before=water(100.0))
    found = after("acidity 6 g/l", line)
    at_all = float(titration.titratable_acidity_g_per_l(line.per_ml))
    poured_ml = found.exact_ml * float(volume_ml(line.per_ml))  # the acid takes up room too
    assert poured_ml == pytest.approx(100.0 * 6.0 / (at_all - 6.0), rel=0.002)


def test_a_dose_for_ph_is_the_closed_form_of_a_strong_acid() -> None:
    """A strong acid into water: [H+] = c V / (V0 + V), to within what activities change."""
    hydrochloric = water(1.0) + Liquid.of(strong_anion_mmol=0.1)
    line = Line(water(100.0), hydrochloric, 25.0, 25.0, sample_tube(60.0), view="side")
    found = after("pH 3", line)
    assert found.exact_ml == pytest.approx(100.0 * 1e-3 / (0.1 - 1e-3), rel=0.05)


@settings(max_examples=20, deadline=None)
@given(ph=st.floats(2.6, 5.5), ml=st.floats(30.0, 150.0))
def test_the_exact_dose_gives_the_ph_it_was_asked_for(ph: float, ml: float) -> None:
    """Whatever pH lies on the line is met to the thousandth, whatever the volume."""
    found = after(f"pH {ph:.3f}", blue(ml), most_ml=200.0)
    assert found.exact_ph == pytest.approx(float(f"{ph:.3f}"), abs=0.002)


@settings(max_examples=15, deadline=None)
@given(high=st.floats(3.0, 5.0), fall=st.floats(0.1, 0.4))
def test_a_sharper_wish_takes_more(high: float, fall: float) -> None:
    """The dose grows as the pH asked for falls."""
    assert after(f"pH {high - fall:.3f}").exact_ml > after(f"pH {high:.3f}").exact_ml


def test_twice_the_drink_takes_twice_the_dose() -> None:
    """Doses are extensive: two glasses poured together are dialled in by two doses."""
    one, two = after("pH 3.2", blue(90.0)), after("pH 3.2", blue(180.0))
    assert two.exact_ml == pytest.approx(2.0 * one.exact_ml, rel=1e-4)


def test_half_the_strength_takes_more_than_twice_the_dose() -> None:
    """A weaker acid brings its own water: the dose more than doubles."""
    weak = replace(blue(), per_ml=acid_per_ml(30.0))
    assert after("pH 3", weak).exact_ml > 2.0 * after("pH 3").exact_ml


@pytest.mark.parametrize("word", ["blue", "violet", "purple", "magenta", "deep purple"])
def test_a_colour_is_kept_by_a_short_pour(word: str) -> None:
    """The dose for a colour bears its name, and so does one that is poured a little short."""
    line = blue(au_per_cm=0.7)
    try:
        found = after(word, line)
    except Unreachable:
        names = {name_of(lab) for lab in line.at(np.linspace(0.0, 60.0, 400)).lab}
        assert not names & set(wanted(word).names)
        return
    assert wanted(word).holds(np.array(found.lab))
    if found.exact_ml > accuracy_ml(found.exact_ml):
        short = line.at(np.array([found.exact_ml - 0.2 * accuracy_ml(found.exact_ml)]))
        assert wanted(word).holds(short.lab)[0]


def test_a_hue_is_met() -> None:
    """A hue on the way is crossed where it should be."""
    line = blue()
    found = after("hue 310", line)
    assert lch_of_lab(line.at(np.array([found.exact_ml])).lab[0])[2] == pytest.approx(310, abs=1)


def test_as_blue_as_can_be_keeps_its_bound() -> None:
    """A superlative goes as far as its bounds let it."""
    sour = Line(
        spirit(60.0, 30.0) + dissolve("citric", 0.05) + coloured("butterfly_pea", 30.0),
        water(1.0) + dissolve("trisodium_citrate", 0.1),
        0.0, 0.0, sample_tube(60.0), view="side",
    )  # fmt: skip
    free, held = (
        alone(dial(sour, parse_wish(text, "before"), "buffer", 20.0))
        for text in ("as blue as can be", "as blue as can be while pH stays at most 4.5")
    )
    assert held.exact_ml < free.exact_ml
    assert held.exact_ph <= 4.5 + 1e-6 < free.exact_ph


def test_bounds_that_bind_are_kept_and_told() -> None:
    """A wish beyond its bounds gets the nearest dose inside, and says what gave way."""
    found = after("pH 2.5 with acidity 2-4 g/l")
    assert found.acidity_g_per_l <= 4.0 + 1e-6
    assert "beyond acidity 2-4 g/l" in found.gave_way.words
    assert found.exact_ml == pytest.approx(after("acidity 4 g/l").exact_ml, rel=0.01)


@pytest.mark.parametrize(
    ("text", "message", "mend"),
    [
        ("pH 1.2", "out of reach", "stronger solution"),
        ("pH 9.5", "out of reach", "moves it the other way"),
        ("green", "no dose of acid", "another plant"),
        ("hue 120", "no dose of acid", "another plant"),
        ("rose with sugar at least 50 g/l", "reachable 0.0 to 0.0", "widen"),
    ],
)
def test_what_no_dose_reaches_says_what_is(text: str, message: str, mend: str) -> None:
    """An unreachable wish names the range or the colours that can be had, and why."""
    with pytest.raises(Unreachable) as error:
        after(text)
    assert message in error.value.message
    assert mend in error.value.mend


def test_a_colour_that_is_there_already_is_told() -> None:
    """A wish that is granted before anything is poured says so."""
    assert "before any acid" in after(name_of(blue().at(0.0).lab)).gave_way.words


def test_a_full_glass_takes_nothing() -> None:
    """No room, no dose."""
    with pytest.raises(Unreachable, match="full"):
        after("pH 3", most_ml=0.0)


@settings(max_examples=15, deadline=None)
@given(ph=st.floats(2.7, 4.5))
def test_rounding_stays_near_the_wish(ph: float) -> None:
    """What is poured is a step of a measure, within 0.05 pH where a tenth of a ml can bring it."""
    found = after(f"pH {ph:.2f}")
    assert found.ml / 0.05 == pytest.approx(round(found.ml / 0.05), abs=1e-6)
    assert abs(found.ph - found.exact_ph) <= 0.05 or found.exact_ml < 1.0


def test_the_side_pour_of_the_trade() -> None:
    """3.56 ml of 6 % citric bring 90 ml of weak buffer to pH 3, as an ideal model says."""
    row = CHECKS["side_pour"]
    found = after("pH 3")
    assert found.exact_ml == pytest.approx(row["expect"]["ml"], abs=row["tolerance"])


def test_the_curve_of_the_side_pour() -> None:
    """5 ml give pH 2.84 and 10 ml 2.58, and it falls all the way."""
    row = CHECKS["side_pour_curve"]
    for ml, ph in row["expect"].items():
        assert float(blue().at(float(ml)).ph) == pytest.approx(ph, abs=row["tolerance"])
    assert (np.diff(blue().at(np.linspace(0.0, 30.0, 50)).ph) < 0.0).all()


def test_every_check_is_run_and_sourced() -> None:
    """The table has a source on every row, and no row that no test reads."""
    assert all(row["source"] and row["how"] for row in CHECKS.values())
    assert set(CHECKS) == {"side_pour", "side_pour_curve"}


def test_orange_is_made_as_sour_as_lime_by_a_powder(computer: Computer) -> None:
    """A powder wished for is weighed: what lime has beyond orange, in grams, by hand within a twentieth.

    50 ml of orange juice at its own acidity a and so much citric acid that a litre holds 50 g as citric.
    """
    drink = "kind: drink\nname: d\nglass: small glass\nmethod: built\nice: none\npours: [{}]\n"
    plain = computer({"drinks/d.md": drink.format("50 ml orange juice")})["d"].before
    text = drink.format("50 ml orange juice, citric acid until acidity 50 g/l")
    made = computer({"drinks/d.md": text})["d"]
    (found,) = made.dialled
    needed_g = 0.050 * (50.0 - plain.titratable_acidity_g_per_l)
    assert found.unit == "g"
    assert found.exact_ml == pytest.approx(needed_g, rel=0.05)
    assert made.before.titratable_acidity_g_per_l == pytest.approx(50.0, abs=1.5)
    assert made.measures[1].g == pytest.approx(found.ml)
    assert made.before.ph < plain.ph - 1.0
