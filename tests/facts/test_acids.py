"""The table of acids and its temperature law."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.acids import acid, acid_keys, clarke_glew, water_pk
from anthocard.facts.chemistry.activity import ethanol_uncertainty
from anthocard.facts.chemistry.liquid import ACIDS


def test_table_follows_the_liquid() -> None:
    """One row for each acid a liquid can hold, in the same order."""
    assert acid_keys() == ACIDS


@pytest.mark.parametrize("key", ACIDS)
def test_row_is_sound(key: str) -> None:
    """pK rise, at 25 °C they are the table's, charges have one sign, and a class is named."""
    one = acid(key)
    assert np.all(np.diff(one.pk) > 0)
    assert one.pk_of_t(25.0) == pytest.approx(one.pk, abs=1e-12)
    assert len(one.dh_kj_per_mol) == len(one.dcp_j_per_mol_k) == len(one.pk)
    charges = one.charge - np.arange(len(one.pk) + 1)
    assert np.all(charges >= 0) or np.all(charges <= 0)  # the solver sums each acid on one side
    assert 0 <= one.equivalents <= len(one.pk)
    assert one.pk_uncertainty > 0
    assert len(one.ethanol) == len(one.pk)
    assert all(ethanol_uncertainty(kind) > 0 for kind in one.ethanol)


def test_temperatures_broadcast() -> None:
    """Shape (…) of temperatures gives (steps, …)."""
    grid = np.linspace(0.0, 50.0, 12).reshape(3, 4)
    pk = acid("citric").pk_of_t(grid)
    assert pk.shape == (3, 3, 4)
    assert pk[1, 2, 3] == pytest.approx(acid("citric").pk_of_t(grid[2, 3])[1])


def test_enthalpy_sets_the_slope() -> None:
    """Van 't Hoff by hand: dpK/dT = -dH/(R ln10 T²) at 25 °C."""
    rise = clarke_glew([5.0], [10.0], [0.0], 25.01) - clarke_glew([5.0], [10.0], [0.0], 24.99)
    assert rise[0] / 0.02 == pytest.approx(
        -10000.0 / (8.314462618 * np.log(10) * 298.15**2), rel=1e-4
    )


def test_water() -> None:
    """pKw 14.94 at 0 °C and 13.26 at 50 °C (CRC Handbook, memory)."""
    assert water_pk([0.0, 50.0]) == pytest.approx([14.94, 13.26], abs=0.02)


def test_unknown_acid() -> None:
    """A key that is not in the table is a KeyError."""
    with pytest.raises(KeyError):
        acid("nitric")
