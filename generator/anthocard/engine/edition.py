"""The edition stamp: five signs that change whenever anything a paper shows has changed.

Belongs here: what a stamp is made from. Does not belong here: where it is printed.
"""

from __future__ import annotations

from collections.abc import Iterable

from anthocard.digest import digest

SIGNS = "23456789BCDFGHJKMNPQRTVWXYZ"  # no vowels, so no words; nothing that reads as 0, 1 or S


def stamp(parts: Iterable[object]) -> str:
    """Five signs from the printed forms of `parts`; the same everywhere, always.

    Twenty-seven signs to the fifth are 14 million: two editions of one card that share a stamp by
    chance are not to be expected in a bar's life.
    """
    number = int.from_bytes(digest("\x1f".join(map(repr, parts)).encode(), 8))
    signs = []
    for _ in range(5):
        number, rest = divmod(number, len(SIGNS))
        signs.append(SIGNS[rest])
    return "".join(signs)
