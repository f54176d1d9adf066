"""Whether a lot is poured: pass, correct or discard, with the reasons; and how lots drift.

Belongs here: holding readings against the recipe by lots.yaml. Does not belong here: what to do
about it (lot_correction.py), the liquid (lot_jar.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal, TypeAlias

from anthocard.engine.trade.lot_correction import Correction, concentration, corrections
from anthocard.engine.trade.lot_jar import LotComparison, SampleReading, compared, delta_e00, limits
from anthocard.house.collection import Collection
from anthocard.house.lots import Lot
from anthocard.house.model import Infusion

Call: TypeAlias = Literal["pass", "correct", "discard", "unread"]
#: What must be read before a lot can pass, by the kind of recipe; one of a group is enough.
_NEEDED: Final = {
    "infusion": (("colour",), ("ph",)),
    "solution": (("ph", "brix"),),
    "syrup": (("brix", "ph"),),
}


@dataclass(frozen=True, slots=True)
class Deviation:
    """One figure of a lot beside the recipe's: which, as read, as wanted, how far it may be off."""

    what: Literal["colour", "ph", "strength", "brix", "browned", "other", "unread", "gone"]
    read: str
    wanted: str
    fails: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do with a lot, why, and in which ways it can be put right, the surest first.

    `times` is its colour over the recipe's, None where there is no colour or none was read.
    """

    lot: Lot
    call: Call
    reasons: tuple[Deviation, ...]
    ways: tuple[Correction, ...]
    reads: SampleReading
    wanted: SampleReading
    times: float | None
    delta_e00: float | None


@dataclass(frozen=True, slots=True)
class DriftPoint:
    """A lot in the drift of its recipe; None for what was not read."""

    mark: str
    made: date
    times: float | None
    ph: float | None
    delta_e00: float | None
    call: Call
    in_use: bool
    hex: str


def verdict(collection: Collection, lot: Lot) -> Verdict:
    """What to do with a lot. Raises KeyError where the house makes no such thing."""
    one = compared(collection, lot)
    reads, wanted = one.jar.read(), one.target.read()
    reasons = (*_reasons(one, reads, wanted),)
    away = delta_e00(reads, wanted) if "colour" in one.read else None
    times = one.times if "colour" in one.read else None
    failed = {reason.what for reason in reasons if reason.fails}
    ways: tuple[Correction, ...] = ()
    if lot.discarded is not None or failed & {"browned", "other"}:
        call: Call = "discard"
    elif failed - {"unread"}:
        others = [compared(collection, other) for other in _blendable(collection, lot)]
        ways = tuple(way for way in corrections(one, collection, others) if way.lands)
        ways = ways if _worth_it(one) else ()
        call = "correct" if ways else "discard"
    else:
        call = "unread" if "unread" in failed else "pass"
    return Verdict(lot, call, reasons, ways, reads, wanted, times, away)


def drift(collection: Collection, name: str, most: int | None = None) -> tuple[DriftPoint, ...]:
    """The last lots of a thing the house makes, the oldest first."""
    chosen = collection.lot_in_use(name)
    last = sorted(collection.lots_of(name), key=lambda lot: lot.made)
    points = []
    for lot in last[-(most or int(limits("told")["last"]["lots"])) :]:
        said = verdict(collection, lot)
        read = {reason.what for reason in said.reasons if reason.what != "unread"}
        points.append(
            DriftPoint(
                lot.lot, lot.made, said.times, said.reads.ph if "ph" in read else None,
                said.delta_e00, said.call, lot is chosen, said.reads.hex,
            )
        )  # fmt: skip
    return tuple(points)


def _blendable(collection: Collection, lot: Lot) -> Iterator[Lot]:
    """Other lots of the same recipe that were read and stand."""
    for other in collection.lots_of(lot.of):
        there = other is not lot and other.discarded is None and other.volume is not None
        if there and any(row.sees_colour for row in other.current_readings):
            yield other


def _worth_it(one: LotComparison) -> bool:
    """Whether its colour, or how strong it was made, lies within what is put right."""
    row = limits("correct")
    if isinstance(one.made.recipe, Infusion):
        return bool(row["colour"]["low"] <= one.times <= row["colour"]["high"])
    times = concentration(one)
    return times is None or bool(
        row["concentration"]["low"] <= times <= row["concentration"]["high"]
    )


def _reasons(
    one: LotComparison, reads: SampleReading, wanted: SampleReading
) -> Iterator[Deviation]:
    row = limits("pass")
    impossible = [m for m in one.mistakes if m.severity == "error"]
    for mistake in impossible:
        yield Deviation("other", mistake.message, "", True)
    if "colour" in one.read:
        away = delta_e00(reads, wanted)
        yield Deviation(
            "colour", f"{reads.colour}, {one.times:.2f} × as strong in colour as the recipe",
            f"{wanted.colour}, alike unless held side by side",
            away > row["colour"]["delta_e00"] and not impossible,
        )  # fmt: skip
        if not impossible and (
            any(figure > limits("discard")["colour"][_LEFT[unit]] for unit, figure in one.left)
            or one.yellow > limits("discard")["colour"]["yellow"]
        ):
            yield Deviation("browned", reads.colour, wanted.colour, True)
    if "ph" in one.read:
        off = abs(reads.ph - wanted.ph)
        yield Deviation("ph", f"{reads.ph:.2f}", f"{wanted.ph:.2f} ± {row['ph']['most']:g}",
                     off > row["ph"]["most"])  # fmt: skip
    if "strength" in one.read:
        yield Deviation(
            "strength", f"{reads.strength:.1f} % vol",
            f"{wanted.strength:.1f} ± {row['strength']['percent_vol']:g} % vol",
            abs(reads.strength - wanted.strength) > row["strength"]["percent_vol"],
        )  # fmt: skip
    if "brix" in one.read:
        yield Deviation(
            "brix", f"{reads.brix:.1f} °Bx", f"{wanted.brix:.1f} ± {row['brix']['degrees']:g} °Bx",
            abs(reads.brix - wanted.brix) > row["brix"]["degrees"],
        )  # fmt: skip
    kind = one.made.kind
    missing = [group for group in _NEEDED[kind] if not one.read & {*group}]
    if kind == "infusion" and one.target.pigment <= 0.0:
        missing = [group for group in missing if group != ("colour",)]
    for group in missing:
        yield Deviation("unread", "", " or ".join(group), True)


_LEFT: Final = {"ΔE00": "delta_e00", "AU": "au"}
