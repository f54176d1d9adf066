"""A verdict over a lot as plain values: an interface, keys are only ever added.

Belongs here: the shape of `anthocard lot --json`. Does not belong here: its words (words/).
"""

from __future__ import annotations

from typing import Any

from anthocard.engine.trade.lot_correction import Correction
from anthocard.engine.trade.lot_jar import SampleReading
from anthocard.engine.trade.lot_verdict import Verdict


def lot_json(said: Verdict) -> dict[str, Any]:
    """`of`, `lot`, `made`, `call`, `times`, `delta_e00`, `reads`, `wanted`, `reasons`, `ways`."""
    return {
        "of": said.lot.of,
        "lot": said.lot.lot,
        "made": str(said.lot.made),
        "in_use": None if said.lot.in_use is None else str(said.lot.in_use),
        "call": said.call,
        "times": None if said.times is None else round(said.times, 3),
        "delta_e00": None if said.delta_e00 is None else round(said.delta_e00, 2),
        "reads": _sample_json(said.reads),
        "wanted": _sample_json(said.wanted),
        "reasons": [
            {"what": one.what, "read": one.read, "wanted": one.wanted, "fails": one.fails}
            for one in said.reasons
        ],
        "ways": [_way(one) for one in said.ways],
    }


def _sample_json(sample: SampleReading) -> dict[str, Any]:
    return {
        "ph": round(sample.ph, 3),
        "abv_percent": round(sample.strength, 2),
        "brix": round(sample.brix, 2),
        "colour": sample.colour,
        "hex": sample.hex,
        "lab": [round(float(one), 2) for one in sample.lab],
    }


def _way(way: Correction) -> dict[str, Any]:
    return {
        "steps": [
            {
                "how": step.how,
                "name": step.name,
                "amount": step.amount,
                "unit": step.unit,
                "minutes": step.minutes,
            }
            for step in way.steps
        ],
        "reads": _sample_json(way.reads),
        "volume_ml": round(way.volume_ml, 1),
        "delta_e00": round(way.delta_e00, 2),
        "delta_ph": round(way.delta_ph, 3),
        "risks": [*way.risks],
    }
