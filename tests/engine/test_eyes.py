"""The house's light, and guests who see colours otherwise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from anthocard.engine.mix.line import Line
from anthocard.engine.optics.sight import sample_tube
from anthocard.engine.together import alone
from anthocard.engine.trust.colour_vision import eyes
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour.colours import delta_e_2000
from anthocard.facts.colour.pigments import coloured

from tests.engine.conftest import HOUSE, Computer
from tests.engine.test_dial import acid_per_ml, blue, water
from tests.engine.test_uncertainty import FILES


def test_daylight_needs_no_second_swatch(computer: Computer) -> None:
    """A house in daylight has one colour for each state."""
    one = computer(FILES)["d"]
    assert one.ours_before is None
    assert one.ours_after is None


def test_our_light_is_another_colour_but_a_settled_eye(computer: Computer) -> None:
    """Under a warm lamp a blue drink shifts; a clear one stays white, for the eye adapts."""
    house = HOUSE + "light: 2700\n"
    one = computer(FILES, house)["d"]
    assert one.ours_before is not None
    assert float(delta_e_2000(one.ours_before.lab, one.before.colour.lab)) > 0.5
    clear = {"drinks/d.md": "kind: drink\nname: d\nglass: small glass\nmethod: built\n"
             "pours: [100 ml still water]\n"}  # fmt: skip
    plain = computer(clear, house)["d"]
    assert plain.ours_before is not None
    assert plain.ours_before.lab == pytest.approx((100.0, 0.0, 0.0), abs=0.5)


def test_everyone_sees_a_large_turn() -> None:
    """Black carrot from grey to red is seen by every eye, and nothing is advised."""
    standing = water(90.0) + Liquid.of(strong_cation_mmol=0.2) + coloured("black_carrot", 60.0)
    line = Line(standing, acid_per_ml(60.0), 20.0, 20.0, sample_tube(60.0), view="side")
    found = alone(eyes(line, 10.0))
    assert dict(found.seen)["normal"] > 20.0
    assert (found.unseen, found.mends) == ((), ())


def test_who_does_not_see_it_is_named_with_a_way_out() -> None:
    """Violet to purple is lost on red-blind eyes: a larger dose or another plant is named."""
    found = alone(eyes(blue(), 1.0))
    seen = dict(found.seen)
    assert set(seen) == {"normal", "protan", "deutan", "tritan"}
    assert "protan" in found.unseen
    mend = found.mends[found.unseen.index("protan")]
    assert "ml they would see it" in mend or "would show it" in mend


def test_no_pigment_no_turn() -> None:
    """Nothing turns in plain water, for any eye."""
    found = alone(eyes(replace(blue(), before=water(90.0)), 5.0))
    assert all(value == pytest.approx(0.0, abs=1e-6) for _, value in found.seen)
    assert np.array_equal(sorted(found.unseen), ["deutan", "protan", "tritan"])
