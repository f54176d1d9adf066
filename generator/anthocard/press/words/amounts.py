"""How much of each thing, in words: a drink's own lines, and the lines of a batch on any paper.

Belongs here: which of volume, weight and count is told, and which beside it; how it is worked, what
is added before the guest, and how it all lies in the glass. Does not belong here: rounding
(facts/units/rounding.py), spelling a number (number_text.py).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from anthocard.engine.glassful import Glassful, Layer
from anthocard.engine.mix.chill import how_worked
from anthocard.engine.results import Computed, Measure
from anthocard.engine.trade.held_back import BatchLine
from anthocard.facts.units.rounding import Rounded, mass, metric
from anthocard.facts.units.shares import TOP
from anthocard.facts.units.units import Dimension, spelt, units
from anthocard.house.model import Drink, Infusion, Mixture, Preparation
from anthocard.house.settings import House
from anthocard.press.base import number_text as text
from anthocard.press.base.languages import Language, language


@dataclass(frozen=True, slots=True)
class PourWords:
    """One line of amounts: big number, its unit, what it is, the same in ounces or by jigger."""

    number: str
    unit: str
    name: str
    ounces: str
    slug: str


def pour_line(measure: Measure, house: House) -> PourWords:
    """Volumes in millilitres and ounces, weights in grams, the rest as its author counts it."""
    tongue = language(house.language)
    name, slug, poured = _placed(measure, tongue), measure.slug or "", poured_volume(measure)
    if poured is not None and measure.ml is not None:
        beside = text.measured_out(measure.ml, measure.role, house, tongue)
        if beside is None:
            # The millilitres stand in the big column already: these are grams.
            grams = "" if measure.g is None else text.weight(measure.g, tongue)
            beside = f"{grams} {text.by_scale(tongue)}".strip()
        elif beside == text.amount(poured, tongue):
            beside = ""  # one jigger of that size: it is said already
        return PourWords(text.figure(poured, tongue), text.unit(poured, tongue), name, beside, slug)
    volume = "" if measure.ml is None else text.volume(measure.ml, measure.role, tongue)
    if measure.unit == TOP:
        volume = tongue.gettext("about %(volume)s", volume=volume)
        return PourWords("", unit_of(measure, False, tongue), name, volume, slug)
    if dimension(measure) == "mass" and measure.g is not None:
        weighed = mass(measure.g)
        return PourWords(
            text.figure(weighed, tongue), text.unit(weighed, tongue), name, volume, slug
        )
    beside = volume or ("" if measure.g is None else text.weight(measure.g, tongue))
    beside = "" if measure.unsure_share else beside  # nobody weighed it: the word stands alone
    return PourWords(
        text.tidy(measure.count, 2, tongue),
        unit_of(measure, measure.count > 1.0, tongue),
        name,
        beside,
        slug,
    )


def small_column(house: House, tongue: Language) -> tuple[str, str]:
    """What stands in small beside each amount: a heading for it, and how it is read."""
    scale = tongue.gettext(
        "“By scale” means that no jigger pours it closely enough: weigh it, or use a syringe."
    )
    if house.jiggers:
        head, read = (
            tongue.gettext("by jigger"),
            tongue.gettext(
                "In the order they are poured: millilitres large, small beside them which jiggers "
                "are filled, where it is not one of that size."
            ),
        )
    elif house.ounces == "none":
        head, read = (
            tongue.gettext("by scale"),
            tongue.gettext("In the order they are poured, in millilitres."),
        )
    else:
        head, read = (
            tongue.gettext("%(kind)s ounces", kind=house.ounces),
            tongue.gettext("In the order they are poured: millilitres large, ounces small."),
        )
    return head, f"{read} {scale}"


@dataclass(frozen=True, slots=True)
class Revealed:
    """One reveal in words: what, how it is done, how it is served, and what it makes of the drink.

    What it makes of it is told where several follow each other: colour, pH and strength. `title`
    is for one alone and says how it is done.
    """

    title: str
    pour: PourWords
    how: str
    served: str
    hex: str = ""
    colour: str = ""
    ph: str = ""
    strength: str = ""
    lies: tuple[str, ...] = ()  # its layers from the bottom up, where it is one


@dataclass(frozen=True, slots=True)
class Lies:
    """A layer in words: what is in it, how much, its colour, pH and density."""

    name: str
    amount: str
    hex: str
    colour: str
    ph: str
    density: str


def reveals(computed: Computed, house: House, tongue: Language) -> tuple[Revealed, ...]:
    """Every reveal in order."""
    several = len(computed.stages) > 1
    found = []
    for stage in computed.stages:
        values: dict[str, Any] = {}
        state = stage.state
        if several:
            values = {
                "hex": state.colour.shown,
                "colour": tongue.word("colour", state.colour.name),
                "ph": f"pH {text.ph_text(state.stated_ph, 1, tongue)}",
                "strength": text.percent_vol(state.abv_percent, tongue),
            }
        lain = tuple(one.name for one in lies(stage.layers, tongue))
        how = tongue.word("reveal", stage.how) if several and stage.how != "poured" else ""
        line = pour_line(stage.measure, house)
        title = _reveal_title(stage.how, tongue)
        found.append(Revealed(title, line, how, stage.served, lies=lain, **values))
    return tuple(found)


def _reveal_title(how: str, tongue: Language) -> str:
    """What stands over the one thing that turns a drink: who does it, or what it does."""
    return {
        "poured": tongue.gettext("The guest pours"),
        "dropped": tongue.gettext("Dropped in before the guest"),
        "squeezed": tongue.gettext("Squeezed before the guest"),
        "layered": tongue.gettext("Laid on before the guest"),
        "frozen": tongue.gettext("Melts in the glass"),
        "mist": tongue.gettext("Misted before the guest"),
        "topped": tongue.gettext("Topped before the guest"),
    }[how]


def lies(layers: Iterable[Layer], tongue: Language) -> tuple[Lies, ...]:
    """Layers from the bottom up."""
    return tuple(
        Lies(
            name=", ".join(one.names),
            amount=text.volume(one.ml, "other", tongue),
            hex=one.colour.shown,
            colour=tongue.word("colour", one.colour.name),
            ph="" if one.ph is None else f"pH {text.ph_text(one.ph, 1, tongue)}",
            density=f"{text.fixed(one.density_g_per_ml, 3, tongue)} g/ml",
        )
        for one in layers
    )


def ice_words(drink: Drink, served: str, tongue: Language) -> str:
    """How it is served in another language; pieces of ice by number and size."""
    ice = drink.ice
    if not ice.sized:
        return tongue.word("served", served)
    kind = "sphere" if ice.kind == "sphere" else "bar" if ice.kind == "clear spear" else "cube"
    size = text.tidy(ice.mm, 0, tongue)
    if kind == "sphere":
        return tongue.ngettext(
            "over a %(mm)s mm ball of ice", "over %(n)d balls of ice, %(mm)s mm each",
            ice.pieces, mm=size,
        )  # fmt: skip
    if kind == "bar":
        return tongue.ngettext(
            "over a spear of ice, %(mm)s mm thick", "over %(n)d spears of ice, %(mm)s mm thick",
            ice.pieces, mm=size,
        )  # fmt: skip
    return tongue.ngettext(
        "over a %(mm)s mm cube of ice", "over %(n)d cubes of ice, %(mm)s mm each",
        ice.pieces, mm=size,
    )  # fmt: skip


def variation(drink: Drink, tongue: Language) -> str:
    """“As Set Fair, but aged rum for gin, also 5 ml verjus, without lemon juice”; may be empty."""
    if drink.based_on is None:
        return ""
    changes = [
        tongue.gettext("%(new)s for %(old)s", new=new, old=old)
        for old, new in drink.instead.items()
    ]
    if drink.also:
        poured_words = ", ".join(f"{pour.amount.text} {pour.name}" for pour in drink.also)
        changes.append(tongue.gettext("also %(pours)s", pours=poured_words))
    if drink.without:
        changes.append(tongue.gettext("without %(pours)s", pours=", ".join(drink.without)))
    if not changes:
        return tongue.gettext("As %(parent)s", parent=drink.based_on)
    return tongue.gettext(
        "As %(parent)s, but %(changes)s", parent=drink.based_on, changes=", ".join(changes)
    )


def foam_words(in_glass: Glassful | None, tongue: Language) -> str:
    """What stands on the drink; empty where nothing does."""
    if in_glass is None or not in_glass.foam:
        return ""
    low, high = (sum(getattr(one, end) for one in in_glass.foam) for end in ("low_ml", "high_ml"))
    names = ", ".join(dict.fromkeys(one.of for one in in_glass.foam))
    return tongue.gettext(
        "foam of %(names)s, %(low)s–%(high)s ml",
        names=names, low=text.tidy(low, 0, tongue), high=text.tidy(high, 0, tongue),
    )  # fmt: skip


def _placed(measure: Measure, tongue: Language) -> str:
    """What it is, and that it floats or sinks where it is not mixed in."""
    if measure.lies == "on top":
        return tongue.gettext("%(name)s, floated on top", name=measure.name)
    if measure.lies == "below":
        return tongue.gettext("%(name)s, sunk to the bottom", name=measure.name)
    return measure.name


def stirred(computed: Computed, tongue: Language) -> str:
    """What a drink in layers is once it is stirred; empty for any other."""
    state = computed.stirred
    if state is None:
        return ""
    colour = tongue.word("colour", state.colour.name)
    ph = f"pH {text.ph_text(state.stated_ph, 1, tongue)}"
    return tongue.gettext("stirred it is %(colour)s, %(ph)s", colour=colour, ph=ph)


def worked_words(drink: Drink, tongue: Language) -> tuple[str, str]:
    """How it is made, and how it is served."""
    worked, served = how_worked(drink)
    return tongue.word("worked", worked), ice_words(drink, served, tongue)


def making_words(computed: Computed, tongue: Language) -> str:
    """How anything but a drink is made, in one breath."""
    recipe = computed.recipe
    if isinstance(recipe, Infusion):
        return tongue.gettext(
            "%(dose)s, %(hours)s h at %(degrees)s °C",
            dose=text.dose(recipe.dose.g_per_l, tongue=tongue),
            hours=text.tidy(recipe.time, 1, tongue),
            degrees=text.tidy(recipe.temperature, 0, tongue),
        )
    if isinstance(recipe, Mixture) and recipe.made_up_to is not None:
        return tongue.gettext(
            "made up to %(volume)s", volume=text.millilitres(recipe.made_up_to, tongue)
        )
    if isinstance(recipe, Preparation):
        return tongue.ngettext("%(n)d step", "%(n)d steps", len(recipe.steps))
    return tongue.gettext("weighed together")


def poured_volume(measure: Measure) -> Rounded | None:
    """The printed volume of what is written as one; None of what is weighed or counted."""
    if dimension(measure) != "volume" or measure.ml is None:
        return None
    return metric(measure.ml, measure.role)


def dimension(measure: Measure) -> Dimension:
    """What its author's unit measures."""
    return units()[measure.unit].dimension


def batch_columns(line: BatchLine, tongue: Language) -> tuple[str, str]:
    """The volume (or how many) and the weight of a line of a batch; either may be empty."""
    volume = "" if line.ml is None else text.volume(line.ml, line.role, tongue)
    weight = "" if line.g is None else text.weight(line.g, tongue)
    if line.weighed and (volume or weight):
        return volume, weight
    return (
        f"{text.tidy(line.count, 2, tongue)} {unit_of(line, line.count > 1.0, tongue)}".strip(),
        "",
    )


def unit_of(of: Measure | BatchLine, many: bool, tongue: Language) -> str:
    """The author's own word for one or for many, in another language where it is known there.

    A piece needs none, it is what it is called.
    """
    return "" if of.unit == "piece" else tongue.word("unit", spelt(of.unit, of.text, many))
