"""Figures as words: the one place where a number and its unit become a text.

Belongs here: how a rounded amount, a dose, a strength, a volume or a price is spelt. Does not
belong here: to what an amount is rounded (facts/units/rounding.py), nor the words around a figure
(words/).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby
from typing import Final

from anthocard.engine.results import StatedPh
from anthocard.facts.colour.apart import seen_apart
from anthocard.facts.units.rounding import (
    LITRES_FROM_ML,
    Ounces,
    Rounded,
    in_ounces,
    jiggered,
    mass,
    metric,
    ounces,
    significant,
    to_places,
)
from anthocard.facts.units.units import spelt, units
from anthocard.house.settings import House
from anthocard.press.base.languages import ENGLISH, Language, language

BY_SCALE: Final = "by scale"
#: The language of figures where none is given: of machines, of the command line.
EN: Final = language(ENGLISH)
_DAYS_FROM_H: Final = 48.0  # chosen: nobody says “96 h”
_QUARTERS: Final = ("", "¼", "½", "¾")
_CALLED: Final = {"oz": "oz", "us_fl_oz": "oz", "imp_fl_oz": "imp oz"}


def amount(of: Rounded, tongue: Language = EN) -> str:
    """An amount: “22.5 ml”, “¾ oz + ½ tsp”, “2.34 litres”, “2 drops”."""
    more = "" if of.more is None else f" + {amount(of.more, tongue)}"
    return tongue.isolated(f"{figure(of, tongue)} {unit(of, tongue)}{more}")


def amount_and_how(of: Rounded, tongue: Language = EN) -> str:
    """The same, and where it is a volume that no jigger pours, that it is: “3.25 ml by scale”."""
    text = amount(of, tongue)
    return f"{text} {by_scale(tongue)}" if of.how == BY_SCALE else text


def by_scale(tongue: Language = EN) -> str:
    """That no jigger pours it closely enough."""
    return tongue.gettext("by scale")


def fills(of: Sequence[float], system: Ounces | None, tongue: Language = EN) -> str:
    """Jiggers to fill, largest first: “2 × 25 ml”, “1½ + ¼ oz”, “1 oz + 10 ml”.

    Those that hold quarter ounces of a `system` are told in them, the others in millilitres.
    """
    marked = [
        (in_ounces(ml, system) if system else None) or Rounded(significant(ml, 3), "ml")
        for ml in of
    ]
    found = []
    for name, same in groupby(marked, key=lambda one: unit(one, tongue)):
        counts = Counter(figure(one, tongue) for one in same).items()
        sizes = " + ".join(f"{n} × {size}" if n > 1 else size for size, n in counts)
        found.append(f"{sizes} {name}")
    return " + ".join(found)


def measured_out(ml: float, role: str, house: House, tongue: Language = EN) -> str | None:
    """How a volume is poured at this house: by which of its jiggers, or in its ounces.

    Empty where it prints millilitres alone, None where nothing pours it closely enough.
    """
    system = None if house.ounces == "none" else house.ounces
    if way := jiggered(ml, role, house.jiggers):
        return fills(way, system, tongue)
    if house.jiggers and ml > min(house.jiggers):
        return None
    if system is None:  # here, and of less than the smallest jigger holds: spoons and drops
        return None if metric(ml, role).how == BY_SCALE else ""
    small = ounces(ml, role, system, house.rounding)
    return None if small.how == BY_SCALE else amount(small, tongue)


def figure(of: Rounded, tongue: Language = EN) -> str:
    """Its number alone; jiggers and spoons are marked in quarters."""
    dimension = units()[of.unit].dimension
    if of.how == "poured" and dimension == "volume" and of.unit not in ("ml", "l"):
        return quarters(round(4.0 * of.number))
    return plain(of.number, tongue)


def unit(of: Rounded, tongue: Language = EN) -> str:
    """Its unit alone."""
    if units()[of.unit].dimension in ("volume", "mass"):
        if of.unit == "l":
            return tongue.gettext("litres")
        return tongue.word("unit", _CALLED.get(of.unit, of.unit))
    return tongue.word("unit", spelt(of.unit, "", of.number > 1.0))


def volume(ml: float, role: str = "other", tongue: Language = EN) -> str:
    """A volume to pour or measure, as its role allows it to be rounded."""
    return amount(metric(ml, role), tongue)


def weight(grams: float, tongue: Language = EN) -> str:
    """A weight as a scale shows it."""
    return amount(mass(grams), tongue)


def dose(g_per_l: float, figures: int = 3, tongue: Language = EN) -> str:
    """Dry things in a litre: “0.25 g/l”. The same figures on every paper."""
    return tongue.isolated(f"{plain(significant(g_per_l, figures), tongue)} g/l")


def count(number: float, key: str, own: str = "", tongue: Language = EN) -> str:
    """So many leaves, dashes, wedges, in the author's `own` word."""
    return f"{tidy(number, 2, tongue)} {tongue.word('unit', spelt(key, own, number > 1.0))}"


def quarters(of: int) -> str:
    """A whole number of quarters: 5 is “1¼”."""
    whole, part = divmod(of, 4)
    return f"{whole or ''}{_QUARTERS[part]}" or "0"


def percent_vol(abv_percent: float, tongue: Language = EN) -> str:
    """Strength to one decimal, as labels print it; a whole number drops its nought."""
    return tongue.isolated(f"{tidy(abv_percent, 1, tongue)} % vol")


def millilitres(volume_ml: float, tongue: Language = EN) -> str:
    """A volume that is there to the millilitre, from two litres on in litres to 10 ml."""
    if volume_ml < LITRES_FROM_ML:
        return tongue.isolated(f"{volume_ml:.0f} ml")
    litres = plain(to_places(volume_ml / 1000.0, 2), tongue)
    return tongue.isolated(f"{litres} {tongue.gettext('litres')}")


def ph_text(ph: StatedPh, decimals: int = 1, tongue: Language = EN) -> str:
    """“3.1”, “7.5-9.0” where no one figure holds, or that the model ends before it."""
    if ph is None:
        return tongue.gettext("not known")
    if isinstance(ph, tuple):
        return "-".join(fixed(end, 1, tongue) for end in ph)
    return fixed(ph, decimals, tongue)


def likeness(delta_e00: float) -> str:
    """“the same as” another colour, told by the program of its own working."""
    seen = seen_apart(delta_e00)
    return {"the same": "the same as", "side by side": "much the same as"}.get(seen, "other than")


def duration(hours: float, tongue: Language = EN) -> str:
    """A time in the unit a hand would use: “30 s”, “90 min”, “6 h”, “3 days”."""
    seconds = hours * 3600.0
    if seconds < 60.0:
        return f"{tidy(seconds, 0, tongue)} s"
    if hours < 1.0 or (hours < 2.0 and hours != 1.0):
        return f"{tidy(hours * 60.0, 0, tongue)} min"
    if hours < _DAYS_FROM_H:
        return f"{tidy(hours, 1, tongue)} h"
    text = tidy(hours / 24.0, 1, tongue)
    return tongue.ngettext(
        "%(number)s day", "%(number)s days", 1 if text == "1" else 2, number=text
    )


def money(value: float, tongue: Language = EN) -> str:
    """A price: two decimals unless it is a whole number."""
    return fixed(value, 2, tongue).removesuffix(f"{tongue.point}00")


def plain(value: float, tongue: Language = EN) -> str:
    """A number that is rounded already, without idle noughts."""
    return f"{value:.6f}".rstrip("0").rstrip(".").replace(".", tongue.point)


def tidy(value: float, decimals: int, tongue: Language = EN) -> str:
    """`value` to `decimals` places, without idle noughts and never minus nought."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text.replace("-", "−").replace(".", tongue.point)


def fixed(value: float, decimals: int, tongue: Language = EN) -> str:
    """`value` to just so many places."""
    return f"{value:.{decimals}f}".replace("-", "−").replace(".", tongue.point)
