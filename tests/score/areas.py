"""Every area that is scored, in the order of the table: one line an area's module."""

from __future__ import annotations

from functools import cache

from tests.score import bottles, buffers, ethanol, gas, ice, juices, peaks, plants
from tests.score.outside import Area


@cache
def areas() -> tuple[Area, ...]:
    """All of them, worked out once."""
    rooms = (buffers, ethanol, ice, juices, bottles, gas, plants, peaks)
    return tuple(area for room in rooms for area in room.areas())
