"""A guest's language: the pages' own phrases, and how it writes figures and prices.

Belongs here: finding the words of a language (words/<language>.yaml) and the only Babel import.
Does not belong here: what an author wrote in another language (model.py), or which phrase stands
where (the themes). English is the language of the phrases themselves; where a language lacks one,
English stands in on the page, and `missing` tells the proofreader.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import yaml

from anthocard.facts.units.units import units

if TYPE_CHECKING:
    from babel import Locale

SECTIONS = ("phrases", "colours", "sharpness", "plants", "allergens", "cautions")


@dataclass(frozen=True)
class Words:
    """One language: `tag` is a BCP 47 tag, `table` English words by section and their meaning."""

    tag: str
    table: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def say(self, english: str, section: str = "phrases", **figures: object) -> str:
        """The phrase in this language, with its {figures} put in."""
        text = self.table.get(section, {}).get(english, english)
        return text.format(**figures) if figures else text

    def missing(self, english: Iterable[str], section: str) -> tuple[str, ...]:
        """Those of the words that this language has no word for. English lacks none."""
        if self.tag.startswith("en"):
            return ()
        known = self.table.get(section, {})
        return tuple(word for word in dict.fromkeys(english) if word not in known)

    def number(self, value: float, decimals: int = 1) -> str:
        """“19,3”: at most so many decimals, no idle noughts."""
        from babel.numbers import format_decimal

        digits = "#,##0." + "#" * decimals
        return format_decimal(value, format=digits, locale=self._locale)

    def percent_vol(self, abv_percent: float) -> str:
        """Strength to one decimal, “19,3 % vol”."""
        return f"{self.number(abv_percent)}\N{NO-BREAK SPACE}% vol"

    def price(self, value: float, currency: str) -> str:
        """“£12.50”, “12,50 £”; a whole number drops its pence."""
        from babel.numbers import format_currency

        pattern = self._locale.currency_formats["standard"].pattern
        if value == int(value):
            pattern = pattern.replace("0.00", "0")
        return format_currency(
            value, currency, format=pattern, locale=self._locale, currency_digits=False
        )

    def currency(self, code: str) -> str:
        """What a currency is called: “British pounds”."""
        from babel.numbers import get_currency_name

        return get_currency_name(code, count=2, locale=self._locale)

    def volume(self, volume_ml: float) -> str:
        """“125 ml”, in half fluid ounces where the language is that of the United States."""
        from babel.units import format_unit

        if self._locale.territory == "US":
            ounces = round(volume_ml / (units()["us_fl_oz"].factor or 1.0) * 2) / 2
            return format_unit(ounces, "fluid-ounce", "short", locale=self._locale)
        rounded = round(volume_ml / 5) * 5
        return format_unit(rounded, "milliliter", "short", locale=self._locale)

    @property
    def own_name(self) -> str:
        """The language's name in itself, “Deutsch”."""
        name = self._locale.get_language_name(self._locale.language) or self.tag
        return name[:1].upper() + name[1:]

    @property
    def _locale(self) -> Locale:
        return _locale(self.tag)


@cache
def words(tag: str) -> Words:
    """The words of a language: of its own tag, else of its language alone, else English ones."""
    for name in (tag, tag.partition("-")[0]):
        table = files("anthocard.press.base") / "words" / f"{name.lower()}.yaml"
        if table.is_file():
            read: dict[str, Any] = yaml.safe_load(table.read_text(encoding="utf-8"))
            return Words(tag, {section: read.get(section, {}) for section in SECTIONS})
    return Words(tag)


def is_known(tag: str) -> bool:
    """Whether the pages' own phrases can be said in a language."""
    return tag.startswith("en") or bool(words(tag).table)


@cache
def _locale(tag: str) -> Locale:
    """What Babel knows of a language; English where it has never heard of it."""
    from babel import Locale, UnknownLocaleError

    for name in (tag, tag.partition("-")[0]):
        try:
            return Locale.parse(name, sep="-")
        except UnknownLocaleError:
            continue
    return Locale("en")
