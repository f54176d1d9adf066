"""Sodium and potassium with citrate: whether the model should count pairs, by data that score nothing.

Concentration constants of citric acid in two salts (Serjeant & Dempsey 1979, as digitised by IUPAC in 2022,
entries C9 and T41, read): pK3 5.68 in 0.1 mol/l NaClO4 at 20 °C, 5.34 in 1 mol/l KNO3 at 25 °C. Pair constants
(log K at no strength, sodium and potassium alike) of minteq.v4.dat (read): about 1.03, and 0.75 that suits NaClO4.
"""

from __future__ import annotations

import numpy as np
import pytest
from anthocard.facts.chemistry.acids import acid
from anthocard.facts.chemistry.activity import debye_hueckel_slope, screening

SALTS = ((0.1, 20.0, 5.68), (1.0, 25.0, 5.34))


def error(ionic: float, at_c: float, published: float, log_k: float | None) -> float:
    """The third concentration constant as the model has it, less the published one.

    log10 gamma = -A z² s, so HCit2- -> H+ + Cit3- gains A s (1 + 9 - 4) in K; a pair M+ + Cit3- -> MCit2- loses as
    much, and takes a share K I / (1 + K I) of Cit3- away.
    """
    gained = 6.0 * float(debye_hueckel_slope(0.0, at_c) * screening(ionic))
    pk = float(acid("citric").pk_of_t(at_c)[2]) - gained
    if log_k is not None:
        pk -= float(np.log10(1.0 + 10.0 ** (log_k - gained) * ionic))
    return pk - published


@pytest.mark.parametrize("log_k", [0.75, 1.03])
def test_no_pair_is_asked_for(log_k: float) -> None:
    """What helps in one salt harms more in the other: over both, counting pairs is worse."""
    without = sum(error(*salt, None) ** 2 for salt in SALTS)
    assert sum(error(*salt, log_k) ** 2 for salt in SALTS) > 2.0 * without


def test_the_two_salts_disagree() -> None:
    """In sodium the third constant asks for a pair, in potassium for the opposite of one."""
    assert error(*SALTS[0], None) > 0.0 > error(*SALTS[1], None)
