"""Figures of pigments as a laboratory writes them down."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.liquid import Liquid
from anthocard.facts.colour.pigment_figures import peak, pigment_figures
from anthocard.facts.colour.pigments import FORMS, absorbance_per_cm, coloured, fractions
from anthocard.facts.colour.spectra import NM, band

from tests.facts import laboratory


def water_with(plant: str, au_per_cm: float) -> Liquid:
    """100 ml of water with so much of a plant's colour."""
    return Liquid.of(water_g=99.82) + coloured(plant, 100.0 * au_per_cm)


@pytest.mark.parametrize("nm", [520.0, 546.3, 618.0])
def test_a_peak_between_two_steps_is_found(nm: float) -> None:
    """The top of one band to half a nanometre and a thousandth of its height."""
    at, height = peak(band(nm, 0.8, 1500.0, 1500.0))
    assert at == pytest.approx(nm, abs=0.5)
    assert height == pytest.approx(0.8, rel=1e-3)


def test_the_figures_are_those_of_the_model() -> None:
    """Shares add to one and are the plant's own; the peak is the laboratory's."""
    liquid = water_with("butterfly_pea", 1.0)
    found = pigment_figures(liquid, 3.2)
    assert found is not None
    ((plant, forms),) = found.shares
    assert (plant, [form for form, _ in forms]) == ("butterfly_pea", list(FORMS))
    assert [share for _, share in forms] == pytest.approx(list(fractions(plant, 3.2)))
    assert sum(share for _, share in forms) == pytest.approx(1.0)
    absorbed = absorbance_per_cm(liquid, 100.0, 3.2)
    assert found.lambda_max_nm == pytest.approx(float(laboratory.peak_nm(absorbed)), abs=0.1)
    assert dict(found.spectrum)[540] == pytest.approx(
        float(absorbed[np.flatnonzero(NM == 540.0)[0]]), rel=2e-3
    )


def test_twice_the_colour_is_twice_the_absorbance_at_one_peak() -> None:
    """Beer's law."""
    one, two = (pigment_figures(water_with("hibiscus", au), 2.5) for au in (0.5, 1.0))
    assert one is not None
    assert two is not None
    assert two.absorbance == pytest.approx(2.0 * one.absorbance)
    assert two.lambda_max_nm == pytest.approx(one.lambda_max_nm)


def test_without_a_plant_or_a_ph_there_is_nothing_to_tell() -> None:
    """Water, and a dry powder."""
    assert pigment_figures(Liquid.of(water_g=1.0), 7.0) is None
    assert pigment_figures(coloured("rose", 1.0), float("nan")) is None
