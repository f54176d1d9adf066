"""Permittivity, Debye-Hückel and the glass electrode against published figures."""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry import activity

from tests.facts import laboratory


def test_water_is_malmberg_and_maryott() -> None:
    """87.74, 78.30 and 69.9 at 0, 25 and 50 °C (Malmberg & Maryott 1956, memory)."""
    assert activity.permittivity_water([0.0, 25.0, 50.0]) == pytest.approx(
        [87.74, 78.30, 69.9], abs=0.05
    )


def test_ethanol_lowers_permittivity() -> None:
    """Falls with ethanol and with warmth; about 24.3 for ethanol at 25 °C (CRC, memory, ±0.7)."""
    eps = activity.permittivity(np.linspace(0, 1, 21)[:, np.newaxis], [0.0, 25.0, 50.0])
    assert np.all(np.diff(eps, axis=0) < 0)
    assert np.all(np.diff(eps, axis=1) < 0)
    assert activity.permittivity(1.0, 25.0) == pytest.approx(24.3, abs=0.7)


def test_debye_hueckel_slope() -> None:
    """A = 0.491, 0.511 and 0.534 at 0, 25 and 50 °C (Robinson & Stokes 1959, memory)."""
    assert activity.debye_hueckel_slope(0.0, [0.0, 25.0, 50.0]) == pytest.approx(
        [0.491, 0.511, 0.534], abs=0.004
    )


def test_screening_by_hand() -> None:
    """√0.04/(1+1.5·√0.04) = 0.2/1.3, and the limiting law √I for very little salt."""
    assert activity.screening(0.04) == pytest.approx(0.2 / 1.3)
    assert activity.screening(1e-8) == pytest.approx(1e-4, rel=2e-4)


def test_benzoic_evidence() -> None:
    """pK of benzoic acid rises 0.25, 0.68, 1.34 at 12.2, 25.2, 44.1 wt % ethanol (J. Res. NBS 71A
    (1967) 379, Table 1, read). The coefficient was fitted to these: arithmetic, not independence.
    """
    shift = laboratory.ethanol_shift_pk("benzoic", [0.122, 0.252, 0.441])
    assert shift == pytest.approx([0.25, 0.68, 1.34], abs=0.07)


def test_no_ethanol_no_shift() -> None:
    """In water nothing moves, and a cationic acid never does."""
    assert laboratory.ethanol_shift_pk("first", 0.0, 10.0) == pytest.approx(0.0, abs=1e-12)
    assert laboratory.ethanol_shift_pk("cationic", 0.4) == 0.0


def test_electrode_offset() -> None:
    """The NBS table at its own points (read), zero in water, held flat beyond the last."""
    fraction = [0.0, 0.122, 0.252, 0.441, 0.648, 0.9]
    offset = [0.0, -0.016, 0.03, 0.14, 0.21, 0.21]
    assert activity.electrode_offset(fraction) == pytest.approx(offset)
    assert activity.electrode_uncertainty() > 0
