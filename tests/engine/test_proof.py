"""Bringing a strength down by mass: the published sum, the law of what is kept, what is refused."""

from __future__ import annotations

from functools import cache

import pytest
from anthocard.engine.trade.dilution import bring_down, bring_down_to
from hypothesis import given, strategies as st

from tests.engine.opened import Opened, opened

FILES = {
    "stock.yaml": "strong rum: {kind: spirit, abv_percent: 57}\n"
    "sweet liqueur: {kind: liqueur, abv_percent: 24, sugar_g_per_l: 300}\n",
    "infusions/x.md": "kind: infusion\nname: x\nplant: butterfly pea\ninto: gin\n"
    "dose: 8 g per litre\ntime: 100 min\n",
}


@cache
def there() -> Opened:
    return opened(FILES)


def test_the_water_for_a_navy_rum() -> None:
    """700 ml of 57 % vol to 40 %: 305.2 ml, where volumes alone say 297.5 (OIML R 22, trade row O14)."""
    found = bring_down(there().shelf["strong rum"], 40.0, 700.0)
    assert found.water_ml == pytest.approx(305.2, abs=0.5)
    assert found.mixed_as_volumes_ml == pytest.approx(297.5, abs=0.1)
    assert found.total_g == pytest.approx(found.strong_g + found.water_g)
    assert found.total_ml < found.strong_ml + found.water_ml
    assert found.density_g_per_ml == pytest.approx(0.94805, abs=1e-4)  # 40 % vol, OIML R 22


@given(st.sampled_from(["strong rum", "sweet liqueur", "x"]), st.floats(1.0, 23.0))
def test_ethanol_is_kept_whatever_else_is_in_it(name: str, target: float) -> None:
    """Strength times volume is the same before and after; sugar and colour change nothing in that."""
    found = bring_down(there().shelf[name], target, 500.0)
    assert found.abv_percent == pytest.approx(target, abs=1e-6)
    assert found.total_ml * found.abv_percent == pytest.approx(500.0 * found.strong_abv, rel=1e-6)


def test_so_much_in_the_end() -> None:
    """Three litres at 30 % are three litres at 30 %, and twice the water is twice the rum."""
    found = bring_down_to(there().shelf["x"], 30.0, 3000.0)
    assert found.total_ml == pytest.approx(3000.0)
    assert found.abv_percent == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("target", "ml"), [(57.1, 700.0), (60.0, 700.0), (0.0, 700.0), (40.0, 0.0)]
)
def test_water_makes_nothing_stronger(target: float, ml: float) -> None:
    """Nor nothing out of something, nor something out of nothing."""
    with pytest.raises(ValueError, match=r"lowers|something"):
        bring_down(there().shelf["strong rum"], target, ml)
    with pytest.raises(ValueError, match="weighed"):
        bring_down(there().shelf["dried rose buds"], 20.0, 100.0)
