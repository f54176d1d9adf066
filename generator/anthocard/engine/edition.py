"""The edition stamp: five signs that change whenever anything a paper shows has changed.

Belongs here: what a stamp is made from. Does not belong here: where it is printed.
"""

from __future__ import annotations

from collections.abc import Iterable

from anthocard.digest import digest
from anthocard.engine.results import Computed

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


def printed(figures: Computed) -> list[object]:
    """What a paper shows, rounded as finely as it could ever be printed."""
    shown: list[object] = [
        figures.recipe.model_copy(
            update={"price": None, "picture": None} if figures.is_drink else {}
        ),
        [(m.name, m.text, None if m.ml is None else round(m.ml, 2)) for m in figures.measures],
        [round(reveal.ml or 0.0, 2) for reveal in figures.revealed],
        figures.glassful and [(round(one.ml), one.colour.hex) for one in figures.glassful.layers],
        [(c.key, c.guest, c.staff, c.label, c.on) for c in figures.cautions],
    ]
    for one in figures.states:
        shown.append(
            (one.ph_shown, round(one.abv_percent, 1), round(one.volume_ml), *one.seen.hexes)
        )
    return shown
