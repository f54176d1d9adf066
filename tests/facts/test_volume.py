"""Volume at 20 °C and everything told per volume."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.alcohol import spirit
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.volume import (
    abv_percent,
    brix,
    density_g_per_ml,
    per_litre,
    sugar_g_per_l,
    volume_ml,
)
from hypothesis import given, strategies as st

from tests.facts import laboratory


def test_sugar_solution_densities() -> None:
    """25 and 60 % sucrose: 1.1036 and 1.2865 g/ml at 20 °C (NBS Circular 440, memory), between and
    not at the rows of the table.
    """
    sugar = np.array([25.0, 60.0])
    density = density_g_per_ml(Liquid.of(water_g=100.0 - sugar, sugar_g=sugar))
    assert density == pytest.approx([1.1036, 1.2865], abs=6e-4)


def test_contraction_of_a_highball() -> None:
    """50 ml of 40 % and 50 ml water fill 99.96 ml at 20.01 % vol (OIML R 22)."""
    mixed = spirit(50.0, 40.0) + spirit(50.0, 0.0)
    assert volume_ml(mixed) == pytest.approx(99.96, abs=0.01)
    assert abv_percent(mixed) == pytest.approx(20.01, abs=0.01)


def test_empty_glass_divides_by_nothing() -> None:
    """An empty glass has no volume, strength, density or sugar, also inside a batch."""
    glasses = Liquid.of(water_g=[0.0, 10.0])
    for told in (volume_ml, abv_percent, density_g_per_ml, sugar_g_per_l, brix):
        assert told(Liquid.of()) == 0.0
        assert np.all(np.isfinite(told(glasses)))
    assert per_litre(Liquid.of(), "caffeine_mg") == 0.0


def test_per_litre() -> None:
    """10 mg in 250 ml is 40 mg/l; an unknown component is a KeyError."""
    cup = laboratory.top_up(Liquid.of(caffeine_mg=10.0), 250.0)
    assert per_litre(cup, "caffeine_mg") == pytest.approx(40.0)
    with pytest.raises(KeyError):
        per_litre(cup, "gold_mg")


@given(st.floats(0.0, 60.0), st.floats(0.0, 80.0), st.floats(0.0, 5.0), st.floats(0.1, 9.0))
def test_volume_scales_and_solids_only_add(
    ethanol_g: float, sugar_g: float, solutes_ml: float, factor: float
) -> None:
    """A batch has the volume of its parts, and sugar or solutes never shrink a drink."""
    plain = Liquid.of(water_g=50.0, ethanol_g=ethanol_g)
    full = plain + Liquid.of(sugar_g=sugar_g, solutes_ml=solutes_ml)
    assert volume_ml(full * factor) == pytest.approx(factor * float(volume_ml(full)), rel=1e-12)
    assert volume_ml(full) >= volume_ml(plain) + solutes_ml + 0.6 * sugar_g


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.floats(150.0, 2000.0))
def test_top_up_fills_to_the_mark(ethanol_g: float, sugar_g: float, mark_ml: float) -> None:
    """A flask made up with water reads its mark, and only water was added."""
    start = Liquid.of(ethanol_g=ethanol_g, sugar_g=sugar_g)
    full = laboratory.top_up(start, mark_ml)
    assert volume_ml(full) == pytest.approx(mark_ml, abs=1e-6)
    assert full.having(water_g=0.0).amounts == pytest.approx(start.amounts)


def test_top_up_refuses_a_full_flask() -> None:
    """There is no taking out."""
    with pytest.raises(ValueError, match="no room"):
        laboratory.top_up(Liquid.of(water_g=100.0), 50.0)
