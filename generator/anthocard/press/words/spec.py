"""The tables of a spec page in words: figures, allergens, keeping, cost. All of it for staff.

Belongs here: which rows there are and how each is worded. Does not belong here: working any of it
out (the engine), laying it out (the themes).
"""

from __future__ import annotations

from dataclasses import dataclass

from anthocard.engine.results import Computed
from anthocard.facts.law.shelf_life import (
    NO_COLOUR,
    Keeping,
    Limit,
)
from anthocard.press.base.number_text import money, tidy


@dataclass(frozen=True, slots=True)
class Figure:
    """A row of a table; `after` is empty where there is no second column."""

    label: str
    before: str
    after: str = ""


def figures(computed: Computed) -> tuple[Figure, ...]:
    """pH, acidity, sugar, strength, volume, temperature before and after, and melt water."""

    def row(label: str, tell: str, decimals: int, unit: str = "") -> Figure:
        states = (computed.before, computed.after)
        told = [
            f"{round(getattr(s, tell), decimals) + 0.0:.{decimals}f}" if s else "" for s in states
        ]
        before, after = ((text.replace("-", "−") + unit) if text else "" for text in told)
        return Figure(label, before, after)

    rows = [
        row("pH", "ph", 2),
        row("Acidity, as citric", "titratable_acidity_g_per_l", 1, " g/l"),
        row("Sugar", "sugar_g_per_l", 0, " g/l"),
        row("Strength", "abv_percent", 1, " % vol"),
        row("Volume", "volume_ml", 0, " ml"),
        row("Temperature", "temperature_c", 0, " °C"),
    ]
    if computed.strengths:
        first, last = computed.strengths[0], computed.strengths[-1]
        energy = [f"{tidy(s.kj, 0)} kJ, {tidy(s.kcal, 0)} kcal" for s in (first, last)]
        rows.append(Figure("Energy", energy[0], energy[1] if computed.after else ""))
    if computed.melt_ml > 0:
        melt = f"{tidy(computed.melt_ml, 0)} ml, {tidy(computed.dilution_percent, 0)} %"
        rows.append(Figure("Melt water", melt))
    return tuple(rows)


def drinks(computed: Computed) -> str:
    """How many drinks of the place's own kind one serve holds: “1.8 UK units”; may be empty."""
    if not computed.is_drink or not computed.strengths:
        return ""
    last = computed.strengths[-1]
    count = tidy(last.drinks, 1)
    if count == "0":
        return ""
    return f"{count} {last.drink_label}{'' if count == '1' else 's'}"


def allergens(computed: Computed) -> tuple[Figure, ...]:
    """Every allergen of the place's list: what is known of it, and why."""
    return tuple(Figure(one.label, one.state, one.because) for one in computed.allergens)


def keeping(computed: Computed) -> tuple[str, ...]:
    """How long what the house makes may be kept, and when its colour will have moved."""
    return () if computed.keeping is None else kept_lines(computed.keeping)


def kept_lines(kept: Keeping) -> tuple[str, ...]:
    """The date, every limit behind it with what it rests on, and what is known of the colour."""
    days = "no date is set by any rule here" if kept.days is None else f"{kept.days} days at most"
    counted = "" if kept.days is None else ", the day of making being day 1"
    lines = [f"{kept.store}: {days}{counted}" if kept.store else f"{days}{counted}"]
    lines += [_limit(limit) for limit in kept.limits]
    if kept.colour_days is not None:
        lines.append(f"the colour will have moved after about {tidy(kept.colour_days, 0)} days")
    elif kept.colour_source and kept.colour_source != NO_COLOUR:
        lines.append(f"colour: {kept.colour_source}")
    return tuple(lines)


def _limit(limit: Limit) -> str:
    """One reason for a date, marked as read in a source, as common practice or as the house's."""
    rest = {"read": limit.source.partition(":")[0], "measured": "the house"}
    days = "no date" if limit.days is None else f"{limit.days} days"
    return f"{days}: {limit.words} ({rest.get(limit.how, 'common practice')})"


def costs(computed: Computed) -> tuple[Figure, ...]:
    """What one serve, or one litre, costs the house, line by line and against its price."""
    cost = computed.cost
    if cost is None:
        return ()
    rows = [
        Figure(line.name, "no price" if line.cost is None else f"{line.cost:.2f}")
        for line in cost.lines
    ]
    least = "at least " if cost.missing else ""
    rows.append(Figure("Waste allowed for", f"{cost.waste:.2f}"))
    rows.append(Figure(f"Total, {cost.currency}", f"{least}{cost.total:.2f}"))
    if cost.price is not None and cost.pour_cost_percent is not None:
        share = f"{tidy(cost.pour_cost_percent, 1)} % of the price without tax"
        rows.append(Figure(f"At {money(cost.price)}", share))
    if cost.margin is not None:
        rows.append(Figure("Margin", f"{cost.margin:.2f}"))
    if cost.target_price is not None:
        rows.append(Figure("Price that meets the target", f"{cost.target_price:.2f}"))
    if cost.priced is not None:
        rows.append(Figure("Prices looked at", f"{cost.priced:%d.%m.%Y}"))
    return tuple(rows)
