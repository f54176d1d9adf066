"""What was fitted is what the values it was fitted to ask for; the third held apart never took part."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry import activity
from anthocard.facts.chemistry.alcohol import mass_fraction_of_abv
from anthocard.facts.chemistry.equilibrium import measure_ph
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.chemistry.substances import dissolve

from tests.facts.laboratory import top_up
from tests.score import ethanol
from tests.score.buffers import Flask, flasks
from tests.score.ethanol import quadratics
from tests.score.outside import held


def filled(flask: Flask) -> Liquid:
    dry = Liquid.mix(dissolve(name, grams) for name, grams in flask.grams.items())
    return dry + Liquid.of(water_g=1000.0) if flask.per == "kg" else top_up(dry, 1000.0)


def test_the_size_of_ions_is_the_one_that_fits_simple_buffers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A tenth more or less fits two thirds of the simple buffers worse,."""
    told = activity._size()
    some = [flask for flask in flasks("simple") if not held(flask.key)]
    liquids = Liquid.stack(filled(flask) for flask in some)
    heat, ph = (np.array([getattr(flask, key) for flask in some]) for key in ("at_c", "published"))

    def rms(size: float) -> float:
        monkeypatch.setattr(activity, "_size", lambda: size)
        return float(np.sqrt(np.mean((measure_ph(liquids, heat).ph - ph) ** 2)))

    assert rms(told) < 0.015
    assert rms(told) < min(rms(told - 0.1), rms(told + 0.1))


@pytest.mark.parametrize("kind", ["first", "second", "acetic"])
def test_ethanol_moves_a_step_as_fitted(kind: str) -> None:
    """Least squares over what is not held apart gives the coefficient to a few units (its s.d. 15)."""
    some = [s for s in quadratics() if s.kind == kind and not held(s.key)]
    gain = activity.of_solvent([one.mass_fraction for one in some])[1]
    moved = np.array([one.published for one in some])
    fitted = float(gain @ moved / (gain @ gain))
    assert activity.ethanol_coefficient(kind) == pytest.approx(fitted, abs=4.0)


@pytest.mark.parametrize(("key", "steps"), [("lactic", 1), ("succinic", 2), ("tartaric", 2)])
def test_acids_of_wine_at_12_percent_vol(key: str, steps: int) -> None:
    """Within 0.03 of what is published at 12 % vol: the middle of Prenesti's values at one ionic
    strength where there are any, else of Usseglio-Tomasset & Bosia's.
    """
    values = [one for one in ethanol.areas()[0].values if one.key.startswith(key)]
    for step in range(1, steps + 1):
        of_step = [one for one in values if one.key.startswith(f"{key} {step} ")]
        measured = [one for one in of_step if "0.05" in one.key]
        some = measured or [one for one in of_step if one.key.endswith("at 12 %")]
        assert abs(np.mean([one.error for one in some])) < 0.03


def test_beyond_20_percent_vol_the_doubt_grows() -> None:
    """Where nothing was measured the ± of a step is wider: 0.08 at least at 40 % vol."""
    wine, spirit = mass_fraction_of_abv([15.0, 40.0])
    for kind in ("first", "second", "acetic"):
        assert activity.ethanol_uncertainty(kind, wine) == activity.ethanol_uncertainty(kind)
        assert activity.ethanol_uncertainty(kind, spirit) > 1.4 * activity.ethanol_uncertainty(kind)
        assert activity.ethanol_uncertainty(kind, spirit) * activity.of_solvent(spirit)[1] > 0.08
