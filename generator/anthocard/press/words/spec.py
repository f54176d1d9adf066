"""The tables of a spec page in words: figures, allergens, keeping, cost. All of it for staff.

Belongs here: which rows there are and how each is worded. Does not belong here: working any of it
out (the engine), laying it out (the themes).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from anthocard.engine.results import Computed, Source
from anthocard.facts.chemistry.alcohol import drink_label
from anthocard.facts.law.rules import rule_of
from anthocard.facts.law.shelf_life import Fading, Keeping, Limit
from anthocard.press.base.languages import ENGLISH, Language
from anthocard.press.base.number_text import fixed, millilitres, money, ph_text, tidy

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


@dataclass(frozen=True, slots=True)
class Cited:
    """What rests on a source, where that stands, and how it was got.

    A citation stays as it is written: `lang` says in which language, empty where that is the
    paper's.
    """

    what: str
    source: str
    how: str
    lang: str


#: Which words of the catalogue the things are that a source can be of.
_NAMED_IN: Final = {
    "acid": "acid", "pigment": "plant", "method": "method", "method without ice": "method",
    "dilution": "method", "pH": "source", "colour": "source", "ethanol and pK": "source",
}  # fmt: skip
#: Which rows a withheld figure takes along.
_HIDES: Final = {"ph": "acidity", "acidity": "acidity", "strength": "strength"}


def figures(computed: Computed, tongue: Language) -> tuple[Figure, ...]:
    """pH, acidity, sugar, strength, volume, temperature before and after, and melt water."""

    both = (computed.before, computed.after)

    def row(key: str, label: str, tell: str, decimals: int, unit: str = "") -> Figure:
        values = [
            fixed(round(getattr(s, tell), decimals) + 0.0, decimals, tongue) if s else ""
            for s in both
        ]
        if _HIDES.get(key) in {one.what for one in computed.withheld}:
            return Figure(label, tongue.gettext("not known"), key=key)
        before, after = (text + unit if text else "" for text in values)
        return Figure(label, before, after, key)

    acid = [ph_text(s.stated_ph, 2, tongue) if s else "" for s in both]
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


def shelf_life_text(shelf_life: Keeping | None, tongue: Language) -> str:
    """How cold and how long what the house makes may be kept; empty for a drink."""
    if shelf_life is None:
        return ""
    days = (
        tongue.gettext("No rule here sets a day to be used by.")
        if shelf_life.days is None
        else tongue.ngettext(
            "Use it within %(n)d day, the day of making being day 1.",
            "Use it within %(n)d days, the day of making being day 1.",
            shelf_life.days,
        )
    )
    if not shelf_life.store:
        return days
    where = tongue.gettext("Keep it so: %(where)s.", where=tongue.word("store", shelf_life.store))
    return f"{where} {days}"


def sources(computed: Computed, tongue: Language) -> tuple[Cited, ...]:
    """Every row of a table behind the figures."""
    return tuple(
        cited(rests_on(one, tongue), one.source, one.how, tongue) for one in computed.sources
    )


def rests_on(source: Source, tongue: Language) -> str:
    """“acid: citric acid”: the kind of row, and of what where it is one of several."""
    kind = tongue.word("source", source.kind)
    return (
        f"{kind}: {tongue.word(_NAMED_IN.get(source.kind, ''), source.of)}" if source.of else kind
    )


def cited(what: str, source: str, how: str, tongue: Language) -> Cited:
    """A source; the few that are no citations are in the paper's language."""
    if how == "measured":
        return Cited(what, source, tongue.word("how", how), "")
    words = tongue.word("citation", source)
    foreign = words == source and not tongue.lang.startswith(ENGLISH)
    return Cited(what, words, tongue.word("how", how), ENGLISH if foreign else "")


def shelf_life_reasons(shelf_life: Keeping | None, tongue: Language) -> tuple[str, ...]:
    """Every limit behind the date with what it rests on, and what is known of the colour."""
    if shelf_life is None:
        return ()
    lines = [_limit(limit, shelf_life.days, tongue) for limit in shelf_life.limits]
    return (*lines, *_fading(shelf_life.colour, tongue))


def _fading(colour: Fading, tongue: Language) -> Iterator[str]:
    """When the colour will have moved, or what is known in the place of that."""
    if colour.days is not None:
        days = tongue.ngettext("%(n)d day", "%(n)d days", round(colour.days))
        yield tongue.gettext("The colour will have moved after about %(days)s.", days=days)
    if colour.beyond_days is not None:
        days = tongue.ngettext("%(n)d day", "%(n)d days", round(colour.beyond_days))
        yield tongue.gettext(
            "The colour holds beyond %(days)s (%(rests)s).",
            days=days, rests="; ".join(colour.sources),
        )  # fmt: skip
    for label, known in colour.rateless:
        name = tongue.word("plant", label)
        if known.held_days is None:
            why = tongue.word("fading", known.words)
            yield tongue.gettext(
                "%(plant)s: %(why)s. Compare it with a fresh batch.", plant=name, why=why
            )
        else:
            yield tongue.gettext(
                "%(plant)s is published to hold %(days)s days at %(celsius)s °C. Beyond that "
                "compare it with a fresh batch.",
                plant=name, days=known.held_days, celsius=tidy(known.held_c or 0.0, 1, tongue),
            )  # fmt: skip


def _limit(limit: Limit, shortest: int | None, tongue: Language) -> str:
    """One reason for a date as a sentence, marked as read in a source, as common practice or as the
    house's. A later one says that a shorter one goes before it.
    """
    rests = {"read": limit.source.partition(":")[0], "measured": tongue.gettext("the house")}
    values = {
        "why": _reason(limit, tongue),
        "rests": rests.get(limit.how, tongue.gettext("common practice")),
    }
    if limit.days is None:
        return tongue.gettext("No day is set by this: %(why)s (%(rests)s).", **values)
    if shortest is not None and limit.days > shortest:
        return tongue.ngettext(
            "This alone would leave %(n)d day: %(why)s (%(rests)s).",
            "This alone would leave %(n)d days: %(why)s (%(rests)s).",
            limit.days, **values,
        )  # fmt: skip
    return tongue.ngettext(
        "It is %(n)d day because of this: %(why)s (%(rests)s).",
        "It is %(n)d days because of this: %(why)s (%(rests)s).",
        limit.days, **values,
    )  # fmt: skip


def _reason(limit: Limit, tongue: Language) -> str:
    """Why a limit is one: a row's words, those of a rule of care, or of what is in it."""
    if limit.part:
        values = {"part": limit.part, "days": limit.days}
        return tongue.gettext(
            "it holds %(part)s, which keeps %(days)s days from its own making", **values
        )
    words = tongue.word("caution" if rule_of(limit.key) else "limit", limit.words).rstrip(".")
    if limit.decision is None:
        return words
    day, state, reason = limit.decision
    values = {"state": tongue.word("decision", state), "day": tongue.day(day), "reason": reason}
    return words + tongue.gettext("; %(state)s by the house on %(day)s: %(reason)s", **values)


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
