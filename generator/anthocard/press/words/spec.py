"""The tables of a spec page in words: figures, allergens, keeping, cost. All of it for staff.

Belongs here: which rows there are and how each is worded. Does not belong here: working any of it
out (the engine), laying it out (the themes).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from anthocard.engine.results import Computed
from anthocard.facts.chemistry.alcohol import drink_label
from anthocard.facts.law.shelf_life import NO_COLOUR, Keeping, Limit
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import fixed, millilitres, money, tidy, told_ph

#: The count that is no place's own.
NO_PLACE: Final = "who"


@dataclass(frozen=True, slots=True)
class Figure:
    """A row of a table; `after` is empty where there is no second column.

    `key` names the row of a figure whatever language its label is in.
    """

    label: str
    before: str
    after: str = ""
    key: str = ""


#: Which rows a withheld figure takes along.
_HIDES: Final = {"ph": "acidity", "acidity": "acidity", "strength": "strength"}


def figures(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """pH, acidity, sugar, strength, volume, temperature before and after, and melt water."""

    both = (computed.before, computed.after)

    def row(key: str, label: str, tell: str, decimals: int, unit: str = "") -> Figure:
        told = [
            fixed(round(getattr(s, tell), decimals) + 0.0, decimals, tongue) if s else ""
            for s in both
        ]
        if _HIDES.get(key) in {one.what for one in computed.withheld}:
            return Figure(label, tongue.gettext("not known"), key=key)
        before, after = (text + unit if text else "" for text in told)
        return Figure(label, before, after, key)

    acid = [told_ph(s.ph_told, 2, tongue) if s else "" for s in both]
    rows = [
        Figure("pH", acid[0], acid[1], "ph"),
        row(
            "acidity", tongue.gettext("Acidity, as citric"), "titratable_acidity_g_per_l", 1, " g/l"
        ),
        row("sugar", tongue.gettext("Sugar"), "sugar_g_per_l", 0, " g/l"),
        row("strength", tongue.gettext("Strength"), "abv_percent", 1, " % vol"),
        row("volume", tongue.gettext("Volume"), "volume_ml", 0, " ml"),
        row("temperature", tongue.gettext("Temperature"), "temperature_c", 0, " °C"),
    ]
    if computed.strengths:
        first, last = computed.strengths[0], computed.strengths[-1]
        energy = [f"{tidy(s.kj, 0)} kJ, {tidy(s.kcal, 0)} kcal" for s in (first, last)]
        rows.append(
            Figure(tongue.gettext("Energy"), energy[0], energy[1] if computed.after else "")
        )
    if computed.melt_ml > 0:
        rows.append(Figure(tongue.gettext("Water from the ice"), ice_water(computed, tongue)))
    return tuple(rows)


def ice_water(computed: Computed, tongue: Language) -> str:
    """Water from the ice with its band, and what share of what it is: never a bare percentage."""
    low, high = computed.melt_band_ml
    return tongue.gettext(
        "%(ml)s ml (%(low)s–%(high)s), %(start)s %% of the start",
        ml=tidy(computed.melt_ml, 0),
        low=tidy(low, 0),
        high=tidy(high, 0),
        start=tidy(computed.dilution_percent, 0),
    )


def drinks(computed: Computed, tongue: Language) -> str:
    """How much alcohol one serve holds, as its place counts: “1.8 UK units”; may be empty.

    Where a place has no drink of its own it is grams: “14 g of alcohol”.
    """
    if not computed.is_drink or not computed.strengths:
        return ""
    last = computed.strengths[-1]
    count = tidy(last.drinks, 1, tongue)
    if count == "0":
        return ""
    if last.drink_label == drink_label(NO_PLACE):
        grams = tidy(last.ethanol_g, 0 if last.ethanol_g >= 2.0 else 1, tongue)
        return tongue.gettext("%(grams)s g of alcohol", grams=grams)
    label = tongue.words("standard drink", last.drink_label, 1 if count == "1" else 2)
    return f"{count} {label}"


def allergens(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """Every allergen of the place's list: what is known of it, and why."""
    return tuple(
        Figure(one.label, tongue.word("allergen state", one.state), one.because)
        for one in computed.allergens
    )


def kept_for(kept: Keeping | None, tongue: Language) -> str:
    """How cold and how long what the house makes may be kept; empty for a drink."""
    if kept is None:
        return ""
    days = (
        tongue.gettext("no date is set by any rule here")
        if kept.days is None
        else tongue.ngettext(
            "%(n)d day at most, the day of making being day 1",
            "%(n)d days at most, the day of making being day 1",
            kept.days,
        )
    )
    store = tongue.word("store", kept.store)
    return f"{store}: {days}" if store else days


def kept_because(kept: Keeping | None) -> tuple[str, ...]:
    """Every limit behind the date with what it rests on, and what is known of the colour: English.

    These are the engine's own sentences, with their sources.
    """
    if kept is None:
        return ()
    lines = [_limit(limit, kept.days) for limit in kept.limits]
    if kept.colour_days is not None:
        lines.append(f"the colour will have moved after about {tidy(kept.colour_days, 0)} days")
    elif kept.colour_source and kept.colour_source != NO_COLOUR:
        lines.append(f"colour: {kept.colour_source}")
    return tuple(lines)


def _limit(limit: Limit, shortest: int | None) -> str:
    """One reason for a date, marked as read in a source, as common practice or as the house's.

    A later one says that it gives way.
    """
    rest = {"read": limit.source.partition(":")[0], "measured": "the house"}
    days = "no date" if limit.days is None else f"{limit.days} days"
    later = shortest is not None and (limit.days is None or limit.days > shortest)
    way = "gives way: " if later else ""
    return f"{way}{days}: {limit.words} ({rest.get(limit.how, 'common practice')})"


def costs(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """What one serve, or one litre, costs the house, line by line and against its price.

    What has no price is named, and left out of the sums: then they are bounds and say so.
    """
    cost = computed.cost
    if cost is None:
        return ()
    made = millilitres(computed.before.volume_ml, tongue)
    basis, total = tongue.gettext("one serve"), tongue.gettext("Total for one serve")
    if cost.of == "litre":
        basis = tongue.gettext("one litre; the recipe makes %(volume)s", volume=made)
        total = tongue.gettext("Total for one litre")

    def least(text: str) -> str:
        return tongue.gettext("at least %(sum)s", sum=text) if cost.unpriced else text

    rows = [Figure(tongue.gettext("Worked out for"), basis)]
    rows += [
        Figure(
            line.name,
            tongue.gettext("no price") if line.cost is None else fixed(line.cost, 2, tongue),
        )
        for line in cost.lines
    ]
    rows.append(Figure(tongue.gettext("Waste allowed for"), fixed(cost.waste, 2, tongue)))
    rows.append(Figure(f"{total}, {cost.currency}", fixed(cost.total, 2, tongue)))
    if cost.unpriced:
        rows.append(Figure(tongue.gettext("Left out, without a price"), ", ".join(cost.unpriced)))
    if cost.price is not None and cost.pour_cost_percent is not None:
        percent = tidy(cost.pour_cost_percent, 1, tongue)
        share = tongue.gettext("%(percent)s %% of the price without tax", percent=percent)
        at = tongue.gettext("At %(price)s", price=money(cost.price, tongue))
        rows.append(Figure(at, least(share)))
    if cost.margin is not None:
        margin = fixed(cost.margin, 2, tongue)
        most = tongue.gettext("at most %(sum)s", sum=margin) if cost.unpriced else margin
        rows.append(Figure(tongue.gettext("Margin"), most))
    if cost.target_price is not None:
        meets = tongue.gettext("Price that meets the target")
        rows.append(Figure(meets, least(fixed(cost.target_price, 2, tongue))))
    if cost.priced is not None:
        rows.append(Figure(tongue.gettext("Prices looked at"), tongue.day(cost.priced)))
    return tuple(rows)
