"""The buying list: a week's plan as packs to order, earliest order first, with room for lots.

Belongs here: the order of the list and its wording. Does not belong here: the sums (demand.py).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from anthocard.engine.trade.demand import StockNeed, TakeOff
from anthocard.house.settings import House
from anthocard.press.base.languages import Language, language
from anthocard.press.base.number_text import count, fixed, millilitres, tidy, weight


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
    defer: str


def make_buying(
    sums: TakeOff, serves: Mapping[str, float], house: House, start: date | None = None
) -> Buying:
    """Word a take-off; with the day a week starts on, orders carry their own dates."""
    needs = sorted(sums.buy, key=lambda need: (-need.lead_days, need.name.casefold()))
    wanted = [need for need in needs if need.to_buy]
    costs = [need.cost for need in wanted if need.cost is not None]
    tongue = language(house.language)
    return Buying(
        house=house.name,
        language=house.language,
        week="" if start is None else tongue.weekday(start),
        serves=tuple((name, f"{count:g}") for name, count in serves.items()),
        orders=tuple(
            Order(_when(days, start, tongue), tuple(_item(need, tongue) for need in group))
            for days, group in groupby(wanted, key=lambda need: need.lead_days)
        ),
        enough=tuple(_item(need, tongue) for need in needs if need.to_buy == 0),
        unpacked=tuple(_item(need, tongue) for need in needs if need.to_buy is None),
        make=tuple((one.name, millilitres(one.made_ml, tongue)) for one in sums.make),
        total=_total(costs, len(costs) < len(wanted), house, tongue) if costs else "",
        defer=tongue.gettext(
            "Local codes and licensed practice come first: check labels, dates and lots."
        ),
    )


def _total(costs: Sequence[float], open_: bool, house: House, tongue: Language) -> str:
    """“at least 812.40 GBP without tax, prices of 02.11.2026”."""
    money = f"{fixed(sum(costs), 2, tongue)} {house.currency}"
    total = tongue.gettext("%(sum)s without tax", sum=money)
    if open_:
        total = tongue.gettext("at least %(sum)s", sum=total)
    if house.priced is None:
        return total
    return tongue.gettext("%(sum)s, prices of %(day)s", sum=total, day=tongue.day(house.priced))


def _item(need: StockNeed, tongue: Language) -> Item:
    return Item(
        name=need.name,
        needed=amount_of(need, tongue),
        on_hand="" if need.on_hand is None else _packs(need.on_hand, tongue),
        buy=f"{need.to_buy} × {need.pack}" if need.to_buy else "",
        supplier=need.supplier,
        cost="" if need.cost is None or not need.to_buy else fixed(need.cost, 2, tongue),
    )


def amount_of(need: StockNeed, tongue: Language) -> str:
    """How much is needed, as it is bought: by volume, weight or count; fruit by both."""
    if need.unit == "ml":
        return millilitres(need.amount, tongue)
    if need.unit == "g":
        amount = weight(need.amount, tongue)
        if need.pieces is None:
            return amount
        about = math.ceil(need.pieces - 1e-9)
        return tongue.ngettext(
            "%(weight)s, about %(n)d piece", "%(weight)s, about %(n)d pieces", about, weight=amount
        )
    return count(math.ceil(need.amount - 1e-9), need.unit, tongue=tongue)


def _packs(count: float, tongue: Language) -> str:
    text = tidy(count, 1, tongue)
    many = 1 if text == "1" else 2
    return tongue.ngettext("%(number)s pack", "%(number)s packs", many, number=text)


def _when(lead_days: int, start: date | None, tongue: Language) -> str:
    if start is None and lead_days == 0:
        return tongue.gettext("Any day")
    if start is None:
        return tongue.ngettext("Order %(n)d day ahead", "Order %(n)d days ahead", lead_days)
    day = date.fromordinal(start.toordinal() - lead_days)
    return tongue.ngettext(
        "Order by %(day)s (%(n)d day ahead)",
        "Order by %(day)s (%(n)d days ahead)",
        lead_days,
        day=tongue.weekday(day),
    )
