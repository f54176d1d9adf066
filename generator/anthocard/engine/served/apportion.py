"""Parts, percentages and tops become millilitres, before anything else of a drink is worked out.

Belongs here: what the whole is and how it is shared. Does not belong here: whether there is a whole
(house/serving/wholes.py), the grammar (facts/units/shares.py).

What is measured in ml or g counts into the whole; percentages are of all of it; parts share what
is left. What is dashed, dropped, sprayed or counted comes on top. A top fills the glass as far as
it is served, beside its ice, the melt and what is yet to be revealed.
"""

from __future__ import annotations

from dataclasses import dataclass

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.mix import chill
from anthocard.engine.mix.assemble import on_ice
from anthocard.engine.mix.settle import pours_of, reveals_of
from anthocard.engine.mix.shelf import Shelf
from anthocard.facts.chemistry.volume import volume_ml
from anthocard.facts.units.measures import Amount
from anthocard.facts.units.shares import SHARES, TOP
from anthocard.house.collection import Collection
from anthocard.house.model import Drink
from anthocard.house.serving.pours import GLASS
from anthocard.house.serving.wholes import counts_in

ROUNDS = 4  # more in the glass melts a little more ice: each round brings a digit


def apportioned(recipe: Drink, collection: Collection, shelf: Shelf, log: MistakeLog) -> Drink:
    """The drink with an amount in ml in the place of every share and top; else as it is.

    A glass that is full before it is topped up is a mistake in `log`.
    """
    amounts = [pour.amount for pour in recipe.pours]
    amounts += [reveal.amount for reveal in recipe.revealing if reveal.amount is not None]
    if not any(amount.unit in (*SHARES, TOP) for amount in amounts):
        return recipe
    filled = _shared(recipe, _Room(0.0, 0.0, 0.0), recipe)
    room = _room(filled, collection, shelf)
    for _ in range(ROUNDS):
        filled = _topped(_shared(recipe, room, filled), room)
        room = _room(filled, collection, shelf)
    for n, pour in enumerate(filled.pours):
        if pour.amount.unit == TOP and pour.amount.value <= 0.0:
            log.add(
                "no-room-left",
                f"the {recipe.glass} is full before it is topped up with {pour.name}",
                collection.at(recipe, ("pours", n)),
                "pour less, take less ice, or take a larger glass",
            )
    for n, reveal in enumerate(filled.revealing):
        if reveal.amount is not None and reveal.amount.unit == TOP and reveal.amount.value <= 0.0:
            log.add(
                "no-room-left",
                f"the {recipe.glass} is full before it is topped up with {reveal.pour}",
                collection.at(recipe, recipe.at_reveal(n)),
                "pour less, take less ice, or take a larger glass",
            )
    return filled


@dataclass(frozen=True, slots=True)
class _Room:
    """What a glass takes, ml, what of it shares and tops must leave, and what is measured."""

    holds_ml: float
    taken_ml: float  # by melt, reveals, dashes, drops and what is counted
    measured_ml: float  # of pours that count into the whole


def _room(recipe: Drink, collection: Collection, shelf: Shelf) -> _Room:
    quiet, house = MistakeLog(), collection.house
    poured = pours_of(recipe, collection, shelf, quiet)
    chilled, start_ml = on_ice(poured, recipe, house)
    taken = float(volume_ml(chilled.liquid)) - start_ml
    measured = 0.0
    for pour, (_, measure) in zip(recipe.pours, poured, strict=True):
        if counts_in(pour) and not _share_of(pour.amount):
            measured += measure.ml or 0.0
        elif not _share_of(pour.amount):
            taken += measure.ml or 0.0
    revealed = reveals_of(recipe, collection, shelf, quiet)
    taken += sum(m.ml or 0.0 for _, m in revealed if m.unit != TOP)
    return _Room(chill.room_for_ml(recipe, house), taken, measured)


def _share_of(amount: Amount) -> bool:
    """Whether an amount is one worked out here; its unit tells of a top, its words of a share."""
    return amount.unit == TOP or isinstance(amount, Shared)


@dataclass(frozen=True, slots=True)
class Shared(Amount):
    """An amount that a share of a whole came to."""


def _shared(recipe: Drink, room: _Room, filled: Drink) -> Drink:
    """Every part and percentage in ml."""
    shares = [pour.amount for pour in recipe.pours if pour.amount.unit in SHARES]
    if not shares:
        return filled
    measured = room.measured_ml
    whole = recipe.size if isinstance(recipe.size, float) else 0.0
    if recipe.size == GLASS:
        whole = max(0.0, room.holds_ml - room.taken_ml)
    percent = sum(one.value for one in shares if one.unit == "percent")
    parts = sum(one.value for one in shares if one.unit == "part")
    left = max(0.0, whole * (1.0 - percent / 100.0) - measured)
    each = {"percent": whole / 100.0, "part": left / parts if parts else 0.0}
    return _with(
        filled,
        [
            Shared(pour.amount.value * each[pour.amount.unit], "ml", pour.amount.text)
            if pour.amount.unit in SHARES
            else now.amount
            for pour, now in zip(recipe.pours, filled.pours, strict=True)
        ],
    )


def _topped(recipe: Drink, room: _Room) -> Drink:
    """Every top, of pours or else of reveals, with what is left of the glass."""
    tops = [pour for pour in recipe.pours if pour.amount.unit == TOP]
    shared = sum(p.amount.value for p in recipe.pours if isinstance(p.amount, Shared))
    left = room.holds_ml - room.taken_ml - room.measured_ml - shared
    if tops:
        each = max(0.0, left) / len(tops)
        amounts = [
            Amount(each, TOP, p.amount.text) if p.amount.unit == TOP else p.amount
            for p in recipe.pours
        ]
        recipe, left = _with(recipe, amounts), 0.0
    late = [
        n
        for n, reveal in enumerate(recipe.revealing)
        if reveal.amount is not None and reveal.amount.unit == TOP
    ]
    for n in late:
        reveal = recipe.revealing[n]
        assert reveal.amount is not None
        amount = Amount(max(0.0, left) / len(late), TOP, reveal.amount.text)
        recipe = recipe.with_reveal(n, reveal.model_copy(update={"amount": amount}))
    return recipe


def _with(recipe: Drink, amounts: list[Amount]) -> Drink:
    pours = tuple(
        pour.model_copy(update={"amount": amount})
        for pour, amount in zip(recipe.pours, amounts, strict=True)
    )
    return recipe.model_copy(update={"pours": pours})
