"""Every area that is scored, in the order of the table: one line an area's module."""

from __future__ import annotations

from functools import cache

from tests.score import buffers, ethanol, ice, juices, plants
from tests.score.outside import Area


@cache
def areas() -> tuple[Area, ...]:
    """All of them, worked out once."""
    return (*buffers.areas(), *ethanol.areas(), *ice.areas(), *juices.areas(), *plants.areas())
