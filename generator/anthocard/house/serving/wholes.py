"""The whole of a drink: does it go into its glass, and are there parts and percentages of one?

Belongs here: checks that need all pours of a drink. Does not belong here: what a share comes
to (engine/served/apportion.py), the grammar (facts/units/shares.py).
"""

from __future__ import annotations

from collections.abc import Mapping

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.facts.units.measures import to_ml
from anthocard.facts.units.shares import SHARES, TOP
from anthocard.facts.units.slipped_point import set_right
from anthocard.facts.units.units import units
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.serving.pours import GLASS, Pour


def check_reveals(collection: Collection, drink: Drink, log: MistakeLog) -> None:
    """Note reveals that are written in both ways."""
    if drink.reveal is not None and drink.reveals:
        log.add(
            "two-reveals",
            "“reveal” is for one and “reveals” for several, and here stand both",
            collection.at(drink, ("reveals",), key=True),
            "write all of them below “reveals”, in order",
        )


def check_whole(collection: Collection, drink: Drink, log: MistakeLog) -> None:
    """Note a share without a whole, shares that leave nothing, and a glass filled twice."""
    shared = [n for n, pour in enumerate(drink.pours) if pour.amount.unit in SHARES]
    tops = [n for n, pour in enumerate(drink.pours) if pour.amount.unit == TOP]
    if tops and drink.size == GLASS:
        log.add(
            "two-wholes",
            "the drink fills its glass already, so nothing is left to top up",
            collection.at(drink, ("pours", tops[0])),
            "write a size in ml, or give this pour a part",
        )
    if not shared:
        return
    if drink.size is None:
        first = drink.pours[shared[0]]
        log.add(
            "no-whole",
            f"“{first.amount.text}” of {first.name} is a share, and nothing says of how much",
            collection.at(drink, ("pours", shared[0])),
            "write the size of the drink before ice, such as “size: 90 ml”, or “size: glass” to "
            "fill the glass",
        )
        return
    if isinstance(drink.size, float):
        own: dict[str, float] = {
            name: measure.ml for name, measure in collection.house.measures.items()
        }
        _check_enough(collection, drink, drink.size, own, log)


def check_room(collection: Collection, drink: Drink, log: MistakeLog) -> None:
    """The pours alone, before ice and melt, must go into the glass."""
    glass = collection.house.glasses.get(drink.glass)
    own: dict[str, float] = {
        name: measure.ml for name, measure in collection.house.measures.items()
    }
    each_ml = [to_ml(part.amount, own) or 0.0 for part in drink.pours]
    poured_ml = sum(each_ml, 0.0)
    if glass is None or poured_ml <= glass.holds:
        return
    largest = max(range(len(each_ml)), key=each_ml.__getitem__)
    whole = collection.at(drink, ("pours",), key=True)
    place = collection.at(drink, ("pours", largest))
    rest_ml = poured_ml - each_ml[largest]
    meant = set_right(
        place.written, lambda by: by < 1.0 and rest_ml + by * each_ml[largest] <= glass.holds
    )
    offer, place = ("", whole) if meant is None else (f"did you mean “{meant}”? Else ", place)
    message = f"{poured_ml:.0f} ml are poured, and a {drink.glass} holds {glass.holds:.0f} ml"
    log.add("does-not-fit", message, place, f"{offer}pour less, or take a larger glass")


def counts_in(pour: Pour) -> bool:
    """Whether a pour is measured into the whole: what is dashed, dropped or counted is not."""
    return units()[pour.amount.unit].dimension in ("volume", "mass")


def _check_enough(
    collection: Collection, drink: Drink, whole_ml: float, own: Mapping[str, float], log: MistakeLog
) -> None:
    measured = sum(to_ml(p.amount, own) or 0.0 for p in drink.pours if counts_in(p))
    percent = sum(p.amount.value for p in drink.pours if p.amount.unit == "percent")
    parts = any(p.amount.unit == "part" for p in drink.pours)
    left_ml = whole_ml * (1.0 - percent / 100.0) - measured
    if left_ml > 1e-6 or (not parts and left_ml > -1e-6):
        return
    taken = f"{measured:.0f} ml and {percent:g} %" if percent and measured else (
        f"{percent:g} %" if percent else f"{measured:.0f} ml"
    )  # fmt: skip
    log.add(
        "no-share-left",
        f"{taken} leave nothing of {whole_ml:g} ml for the rest",
        collection.at(drink, ("size",)),
        "write a larger size, or pour less of what is measured",
    )
