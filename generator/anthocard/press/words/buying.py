"""The buying list: a week's plan as packs to order, earliest order first, with room for lots.

Belongs here: the order of the list and its wording. Does not belong here: the sums (demand.py).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from anthocard.engine.trade.demand import Need, TakeOff
from anthocard.house.settings import House
from anthocard.press.base.number_text import count, millilitres, tidy, weight


@dataclass(frozen=True, slots=True)
class Item:
    """One stock line in words."""

    name: str
    needed: str
    on_hand: str
    buy: str
    supplier: str
    cost: str


@dataclass(frozen=True, slots=True)
class Order:
    """What is ordered on one day."""

    title: str
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Buying:
    """The list: the plan, orders by day, what nobody sells us in packs, what is made of it."""

    house: str
    language: str
    week: str
    serves: tuple[tuple[str, str], ...]
    orders: tuple[Order, ...]
    enough: tuple[Item, ...]
    unpacked: tuple[Item, ...]
    make: tuple[tuple[str, str], ...]
    total: str
    defer: str = "Local codes and licensed practice come first: check labels, dates and lots."


def make_buying(
    sums: TakeOff, serves: Mapping[str, float], house: House, start: date | None = None
) -> Buying:
    """Word a take-off; with the day a week starts on, orders carry their own dates."""
    needs = sorted(sums.buy, key=lambda need: (-need.lead_days, need.name.casefold()))
    wanted = [need for need in needs if need.to_buy]
    costs = [need.cost for need in wanted if need.cost is not None]
    least = "at least " if len(costs) < len(wanted) else ""
    priced = f", prices of {house.priced:%d.%m.%Y}" if house.priced else ""
    return Buying(
        house=house.name,
        language=house.language,
        week="" if start is None else f"{start:%A} {start.day} {start:%b %Y}",
        serves=tuple((name, f"{count:g}") for name, count in serves.items()),
        orders=tuple(
            Order(_when(days, start), tuple(_item(need, house) for need in group))
            for days, group in groupby(wanted, key=lambda need: need.lead_days)
        ),
        enough=tuple(_item(need, house) for need in needs if need.to_buy == 0),
        unpacked=tuple(_item(need, house) for need in needs if need.to_buy is None),
        make=tuple((name, millilitres(ml)) for name, ml in sums.make),
        total=f"{least}{sum(costs):.2f} {house.currency} without tax{priced}" if costs else "",
    )


def _item(need: Need, house: House) -> Item:
    return Item(
        name=need.name,
        needed=_amount(need),
        on_hand="" if need.on_hand is None else _packs(need.on_hand),
        buy=f"{need.to_buy} × {need.pack}" if need.to_buy else "",
        supplier=need.supplier,
        cost="" if need.cost is None or not need.to_buy else f"{need.cost:.2f}",
    )


def _amount(need: Need) -> str:
    if need.unit == "ml":
        return millilitres(need.amount)
    if need.unit == "g":
        return weight(need.amount)
    return count(math.ceil(need.amount - 1e-9), need.unit)


def _packs(count: float) -> str:
    text = tidy(count, 1)
    return f"{text} pack" if text == "1" else f"{text} packs"


def _when(lead_days: int, start: date | None) -> str:
    days = "1 day" if lead_days == 1 else f"{lead_days} days"
    if start is None:
        return "Any day" if lead_days == 0 else f"Order {days} ahead"
    day = date.fromordinal(start.toordinal() - lead_days)
    return f"Order by {day:%A} {day.day} {day:%b %Y} ({days} ahead)"
