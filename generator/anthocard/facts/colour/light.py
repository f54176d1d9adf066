"""Other lights and other eyes: a drink under the house's lamps, a turn seen with colour blindness.

Belongs here: lamp spectra as weights, adaptation to daylight, the Machado matrices. Does not belong
here: the standard view, D65 and a standard observer (colours).
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Mapping
from functools import cache
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.colours import (
    adapt,
    decode,
    delta_e_2000,
    encode,
    lab_of_linear,
    lab_of_xyz,
    white,
)
from anthocard.facts.colour.spectra import NM

Lamp = Literal["planckian", "led"]

#: Range of colour temperature in kelvin: candle flame to north sky.
CCT_RANGE_K = (1500.0, 10000.0)


def xyz_in_our_light(transmittance: Floats, cct_k: float, lamp: Lamp = "planckian") -> Floats:
    """XYZ (…, 3) of spectra (…, 81) under a lamp, adapted to D65 by CAT02, white Y = 100.

    Adaptation is full: the eye has settled, clear water is white. `cct_k` in kelvin, 1500-10000,
    or ValueError. `planckian` is a filament or a candle; `led` takes the CIE phosphor LED nearest
    in temperature.
    """
    low, high = CCT_RANGE_K
    if not low <= cct_k <= high:
        raise ValueError(f"cct_k must lie between {low} and {high} K")
    weights = _weights(lamp, float(cct_k))
    return adapt(100.0 * (transmittance @ weights), 100.0 * weights.sum(axis=0), white())


def in_our_light(transmittance: Floats, cct_k: float, lamp: Lamp = "planckian") -> Floats:
    """CIELAB (…, 3) of spectra (…, 81) under a lamp; see `xyz_in_our_light`."""
    return lab_of_xyz(xyz_in_our_light(transmittance, cct_k, lamp))


def deficiencies() -> tuple[str, ...]:
    """The kinds of colour blindness known here: protan, deutan, tritan."""
    return tuple(_eyes())


def seen_by(srgb: ArrayLike, deficiency: str) -> Floats:
    """Encoded sRGB (…, 3) as a colour-blind eye takes it, 0-1 (Machado et al. 2009, severity 1).

    Raises KeyError for a deficiency not in `deficiencies()`.
    """
    return encode(np.clip(decode(srgb) @ _eyes()[deficiency].T, 0, 1))


def turn_seen_by(srgb_before: ArrayLike, srgb_after: ArrayLike) -> dict[str, Floats]:
    """CIEDE2000 between two screen colours (…, 3), for `normal` sight and each deficiency."""
    before, after = np.asarray(srgb_before), np.asarray(srgb_after)
    pairs = {"normal": (before, after)}
    for deficiency in deficiencies():
        pairs[deficiency] = (seen_by(before, deficiency), seen_by(after, deficiency))
    return {
        who: delta_e_2000(lab_of_linear(decode(one)), lab_of_linear(decode(other)))
        for who, (one, other) in pairs.items()
    }


@cache
def _eyes() -> Mapping[str, Floats]:
    rows = read_table("anthocard.facts.colour", "light.yaml")["eyes"]
    return {kind: np.array(row["values"]) for kind, row in rows.items()}


@cache
def _weights(lamp: Lamp, cct_k: float) -> Floats:
    """Lamp times 10° observer on NM, Y summing to one, shape (81, 3)."""
    if lamp == "led":
        lamps = read_table("anthocard.facts.colour", "lamps.yaml")["weights"]
        nearest = min(lamps, key=lambda name: abs(1 / lamps[name]["cct_k"] - 1 / cct_k))
        return np.array(lamps[nearest]["values"])
    colour = library()
    shape = colour.SpectralShape(NM[0], NM[-1], NM[1] - NM[0])
    observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape)
    weights = observer.values * colour.sd_blackbody(cct_k, shape).values[:, np.newaxis]
    return np.asarray(weights / weights[:, 1].sum())


def library() -> Any:
    """colour-science, loaded without a word. Where SciPy or Matplotlib are not installed it leaves
    mocks under their names: taken away here, as whoever asks next would think them there.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of optional libraries at import
        import colour

    for name, module in [*sys.modules.items()]:
        if type(module).__module__ == "unittest.mock":
            del sys.modules[name]
    return colour
