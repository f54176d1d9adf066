"""A figure whose point slipped: the same text ten, a hundred or a thousand times smaller or larger.

Belongs here: finding the number in what an author wrote, and writing it anew. Does not belong here:
what is too large or too small (units.py, the engine's table of what is usual).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

FACTORS: Final = (0.1, 10.0, 0.01, 100.0, 0.001, 1000.0)
_NUMBER: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
#: A thousandth of one is one of the other.
_UNITS: Final = (("kg", "g"), ("g", "mg"), ("l", "ml"))


def set_right(text: str, fits: Callable[[float], bool]) -> str | None:
    """The text with its first number times the first factor that `fits`; None where none does. A
    thousandth is tried first where that is another unit: grams for kilograms.
    """
    found = _NUMBER.search(text)
    if found is None:
        return None
    before, after = text[: found.start()], text[found.end() :]
    value = float(found[0].replace(",", "."))
    unit = re.match(r"\s*([a-zA-Z]+)\b", after)
    swapped = [0.001] if unit is not None and unit[1] in [large for large, _ in _UNITS] else []
    factor = next((factor for factor in (*swapped, *FACTORS) if fits(factor)), None)
    if factor is None:
        return None
    for large, small in _UNITS:
        swap = {(0.001, large): small, (1000.0, small): large}.get(
            (factor, unit[1] if unit else "")
        )
        if swap is not None and unit is not None:
            return f"{before}{value:g}{after[: unit.start(1)]}{swap}{after[unit.end(1) :]}"
    return f"{before}{value * factor:.6g}{after}"
