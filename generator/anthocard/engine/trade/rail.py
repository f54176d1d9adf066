"""The rail: bottles that may stand in for another, and what each is poured for.

Belongs here: telling acids, buffers, sugars, spirits and colours apart, which are alike, and what a
batch is made with instead. Does not belong here: the dose in a drink (stand_ins.py), which
bottles hold what is missing (on_the_shelf.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, Final

from anthocard.diagnostics.tables import read_table
from anthocard.engine.mix import acidity
from anthocard.engine.mix.bottle import Bottle
from anthocard.engine.mix.shelf import Shelf
from anthocard.facts.chemistry.liquid import PLANT_COLUMNS
from anthocard.facts.chemistry.titration import titratable_acidity_g_per_l
from anthocard.facts.chemistry.volume import abv_percent, sugar_g_per_l

_CHIEF: Final = {
    "spirit": abv_percent, "acid": titratable_acidity_g_per_l, "sugar": sugar_g_per_l,
}  # fmt: skip


class Rail:
    """Bottles that may stand in, each with what it is poured for; worked out once for all drinks.

    `offered` are names of bottles of a shelf that hold nothing of what is missing.
    """

    def __init__(self, shelf: Shelf, offered: Sequence[str]) -> None:
        self.shelf = shelf
        self._offered = [shelf[name] for name in offered]
        self._known: dict[str, tuple[str, float]] = {}

    def there_for(self, bottle: Bottle) -> str:
        """What a bottle is poured for; its kind where it is for none of the four."""
        return self._purpose(bottle)[0]

    def alike(self, missing: Bottle) -> list[Bottle]:
        """Those that are poured for the same thing, near enough in strength where that counts."""
        there_for, percent = self._purpose(missing)
        if there_for == "dry":
            return []
        near = _row()["percent_apart"]
        offered = [(bottle, *self._purpose(bottle)) for bottle in self._offered]
        return [
            bottle
            for bottle, its, abv in offered
            if its == there_for
            and (there_for not in ("spirit", "colour") or abs(abv - percent) <= near)
        ]

    def _purpose(self, bottle: Bottle) -> tuple[str, float]:
        """What it is poured for, and its strength in % vol."""
        if bottle.name not in self._known:
            dry = bottle.density_g_per_ml is None
            strength = 0.0 if dry else float(abv_percent(bottle.per_ml))
            self._known[bottle.name] = (_there_for(bottle), strength)
        return self._known[bottle.name]


def in_a_batch(missing: Bottle, rail: Rail) -> tuple[tuple[str, float], ...]:
    """What a kitchen takes in the place of a bottle when it makes more of something: so many ml of
    each for 100 ml, by what the bottle is there for, the nearest first.
    """
    there_for = rail.there_for(missing)
    if there_for not in _CHIEF:
        return ()
    chief, near = _CHIEF[there_for], _row()["batch_share"]
    much = float(chief(missing.per_ml))
    shares = ((b.name, 100.0 * much / float(chief(b.per_ml))) for b in rail.alike(missing))
    kept = [(name, ml) for name, ml in shares if 100.0 / near <= ml <= 100.0 * near]
    return tuple(sorted(kept, key=lambda one: (abs(one[1] - 100.0), one[0])))


def _there_for(bottle: Bottle) -> str:
    if bottle.density_g_per_ml is None:
        return "dry"
    one, row = bottle.per_ml, _row()
    if float(one.amounts[PLANT_COLUMNS].sum()) > row["coloured_au_ml"]:
        return "colour"
    if float(abv_percent(one)) >= row["strong_percent"]:
        return "spirit"
    if float(titratable_acidity_g_per_l(one)) >= row["sour_g_per_l"]:
        return "buffer" if float(acidity.read(one, 20.0).ph) >= row["buffer_ph"] else "acid"
    return "sugar" if float(sugar_g_per_l(one)) >= row["sweet_g_per_l"] else bottle.kind


@cache
def _row() -> dict[str, Any]:
    row: dict[str, Any] = read_table("anthocard.engine.trade", "standing_in.yaml")["classes"][
        "alike"
    ]
    return row
