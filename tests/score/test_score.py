"""The score keeps its word: coverage, what is held apart, and README prints what it says."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import yaml
from anthocard.diagnostics.tables import read_table

from tests.score import gas
from tests.score.areas import areas
from tests.score.bottles import bought_sugar_factor
from tests.score.outside import LEAST, SHARE, held, table


def test_no_fit_used_what_is_held_apart() -> None:
    """A value is held apart by its name alone, and no fit has seen one that is."""
    for area in areas():
        assert len({one.key for one in area.values}) == len(area.values), area.name
        assert not [one.key for one in area.values if one.fitted and held(one.key)]


def test_a_third_is_held_apart() -> None:
    """Of all values together a third, but for chance (binomial: four standard deviations)."""
    keys = [one.key for area in areas() for one in area.values]
    apart = sum(held(key) for key in keys)
    assert abs(apart - len(keys) / 3) < 4 * (len(keys) * 2 / 9) ** 0.5


def test_the_plus_minus_keeps_its_word() -> None:
    """Of 15 values or more p5-p95 holds 85 to 95 %: neither too little nor idly much."""
    shares = {area.name: area.share() for area in areas() if len(area.values) >= LEAST}
    assert len(shares) > 3
    low, high = SHARE
    assert {
        name: one for name, one in shares.items() if not low - 0.005 <= one <= high + 0.005
    } == {}


def test_readme_prints_the_score() -> None:
    """README has the table as it is today: `sh .ci/score --write` puts it there."""
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert table(areas()) in readme


def test_simple_buffers_stay() -> None:
    """What was right stays right: rms 0.015 at most in simple buffers."""
    (simple,) = (area for area in areas() if area.name == "pH, simple buffers")
    assert simple.rms <= 0.015


def test_what_is_said_to_be_sure_is_the_table() -> None:
    """`explain` names the ± that the score holds against published values."""
    said = yaml.safe_load(
        (files("anthocard.commands") / "explain.yaml").read_text(encoding="utf-8")
    )["words"]
    rows = read_table("anthocard.engine.trust", "uncertainty.yaml")["density"]
    assert f"±{rows['usual']['half']} g/ml on defaults" in said["layers"]["sure"]
    assert f"{rows['liqueur']['half']} on liqueurs" in said["layers"]["sure"]
    assert f"× or ÷ {bought_sugar_factor()} on defaults" in said["sugar"]["sure"]
    assert f"±{100 * gas.uncertainty(False):g} % of the solubility" in said["carbonate"]["sure"]
