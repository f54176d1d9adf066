"""A language: the phrases of pages and papers, and how it writes figures and prices.

Belongs here: finding the catalogue of a language (locale/<language>/LC_MESSAGES/anthocard.po, as
gettext has it) and the only Babel import. Does not belong here: what an author wrote in another
language (model.py), which phrase stands where (the themes and press/words), nor how the phrases
are gathered (.ci/catalogue). English is the language of the phrases themselves, so it has no
catalogue; a language without one has its figures its own way and its phrases in English.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property, partial
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.facts.units.units import units

if TYPE_CHECKING:
    from babel import Locale

DOMAIN = "anthocard"
CATALOGUES = Path(__file__).parent / "locale"
ENGLISH = "en"
_LOOKUPS = ("gettext", "ngettext", "pgettext", "npgettext")
_FIGURE = re.compile(r"%\(\w+\)[sd]")
_ISO_DAY = re.compile(r"(?<![\d-])\d{4}-\d\d-\d\d(?![\d-])")


@dataclass(frozen=True)
class Language:
    """One language; `tag` is a BCP 47 tag.

    The four lookups are gettext's own, and as in the themes every message is a format:
    `%(figures)s` are put in by name, and a per cent sign is written `%%`.
    """

    tag: str

    def gettext(self, message: str, **figures: object) -> str:
        """The phrase in this language, with its figures put in."""
        return self._phrase("gettext", message) % figures

    def ngettext(self, one: str, many: str, n: int, **figures: object) -> str:
        """The phrase for so many; `n` is one of its figures."""
        return self._phrase("ngettext", one, many, n) % {"n": n, **figures}

    def pgettext(self, context: str, message: str, **figures: object) -> str:
        """The phrase where one English word is two things: `context` tells which."""
        return self._phrase("pgettext", context, message) % figures

    def npgettext(self, context: str, one: str, many: str, n: int, **figures: object) -> str:
        """The phrase for so many, in its context."""
        return self._phrase("npgettext", context, one, many, n) % {"n": n, **figures}

    def word(self, table: str, english: str) -> str:
        """A word or sentence of one of the tables, as it stands there: “colour”, “deep blue”.

        What is in no table (a house's own word) stays as it is.
        """
        return self.raw.pgettext(table, english) if english else ""

    def words(self, table: str, english: str, n: int) -> str:
        """A word of a table for so many: in English with an s."""
        return self.raw.npgettext(table, english, f"{english}s", n)

    def filled(self, table: str, english: str, figures: Mapping[str, object]) -> str:
        """The same with its {figures:.1f} put in, as this language writes them."""
        return self.word(table, english).format_map(
            {name: self._figure(value) for name, value in figures.items()}
        )

    @cached_property
    def lang(self) -> str:
        """What `lang` a page or paper declares: that of its phrases."""
        return self.tag if is_known(self.tag) else ENGLISH

    @cached_property
    def direction(self) -> str:
        """Which way a page of its phrases runs: “ltr” or “rtl”."""
        return _direction(self.lang)

    @cached_property
    def runs(self) -> str:
        """Which way what a house writes in it runs, and so its papers, though its phrases may be in
        English: “ltr” or “rtl”.
        """
        return _direction(self.tag)

    @cached_property
    def point(self) -> str:
        """What stands between ones and tenths."""
        return "." if self.lang.startswith(ENGLISH) else self.number(0.1)[1]

    def number(self, value: float, decimals: int = 1) -> str:
        """“19,3”: at most so many decimals, no idle noughts."""
        from babel.numbers import format_decimal

        digits = "#,##0." + "#" * decimals
        return format_decimal(value, format=digits, locale=self._locale)

    def day(self, when: date) -> str:
        """“7 Nov 2026”, “7. Nov. 2026”."""
        from babel.dates import format_date

        pattern = "d MMM y" if self.lang.startswith(ENGLISH) else "medium"
        return format_date(when, pattern, locale=self._locale)

    @cached_property
    def months(self) -> tuple[str, ...]:
        """“Jan”, “Feb” …: as `day` writes them."""
        from babel.dates import get_month_names

        return tuple(get_month_names("abbreviated", locale=self._locale).values())

    def days_in(self, text: str) -> str:
        """A sentence of the engine or of a table, its days (2026-11-07) as `day` writes them."""

        def in_words(found: re.Match[str]) -> str:
            try:
                return self.day(date.fromisoformat(found[0]))
            except ValueError:  # 2026-02-30 is no day: a number of something else
                return found[0]

        return _ISO_DAY.sub(in_words, text)

    def weekday(self, when: date) -> str:
        """“Monday 9 Nov 2026”, “Montag, 9. Nov. 2026”."""
        from babel.dates import format_date

        name = format_date(when, "EEEE", locale=self._locale)
        return self.gettext("%(weekday)s %(day)s", weekday=name, day=self.day(when))

    def percent_vol(self, abv_percent: float) -> str:
        """Strength to one decimal, “19,3 % vol”."""
        return self.isolated(f"{self.number(abv_percent)}\N{NO-BREAK SPACE}% vol")

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

    @cached_property
    def letters(self) -> frozenset[str]:
        """Every sign of its phrases, for faces to hold them."""
        path = None if self.tag.startswith(ENGLISH) else _path(self.tag)
        return frozenset(path.read_text(encoding="utf-8") if path else "")

    @cached_property
    def raw(self) -> NullTranslations:
        """The catalogue as gettext has it: lookups that put nothing in."""
        return _catalogue(self.tag)

    @cached_property
    def lookups(self) -> Mapping[str, Callable[..., str]]:
        """gettext's four as a template asks them, with nothing put in."""
        return {name: partial(self._phrase, name) for name in _LOOKUPS}

    def isolated(self, text: str) -> str:
        """A text set apart where words run from the right, so that “45 ml”, “pH 3.1” or an English
        name keeps its own order (Unicode Standard Annex 9: first strong isolate).
        """
        return text if self.runs == "ltr" else f"\u2068{text}\u2069"

    def _figure(self, value: object) -> object:
        if isinstance(value, float):
            figure = _Figure(value)
            figure.point = self.point
            return figure
        return self.isolated(value) if isinstance(value, str) else value

    def _phrase(self, lookup: str, *asked: object) -> str:
        """A phrase as the catalogue has it, each of its figures isolated."""
        phrase = str(getattr(self.raw, lookup)(*asked))
        return _FIGURE.sub(lambda figure: self.isolated(figure[0]), phrase)

    @property
    def _locale(self) -> Locale:
        return _locale(self.tag)


@cache
def language(tag: str) -> Language:
    """The language of a tag: one value for each, so that its catalogue is read once."""
    return Language(tag)


def _direction(tag: str) -> str:
    return "ltr" if tag.startswith(ENGLISH) else str(_locale(tag).text_direction)


def is_known(tag: str) -> bool:
    """Whether the phrases of pages and papers can be said in a language."""
    return tag.startswith(ENGLISH) or _path(tag) is not None


def known_tags() -> tuple[str, ...]:
    """English, and every language with a catalogue."""
    return (ENGLISH, *sorted(path.parents[1].name for path in CATALOGUES.glob("*/*/*.po")))


class _Figure(float):
    """A number that is formatted with another decimal sign."""

    point = "."

    def __format__(self, spec: str) -> str:
        text = super().__format__(spec)
        if self > 0.0 and float(text) == 0.0:  # what is there is never told as nothing
            text = f"< {text[:-1]}1"
        return text.replace(".", self.point)


def _path(tag: str) -> Path | None:
    """The catalogue of the tag, else of its language alone."""
    names = (tag.replace("-", "_"), tag.partition("-")[0])
    paths = (CATALOGUES / name / "LC_MESSAGES" / f"{DOMAIN}.po" for name in names)
    return next((path for path in paths if path.is_file()), None)


@cache
def _catalogue(tag: str) -> NullTranslations:
    """The catalogue of a language, read from its .po: a twentieth of a second, once."""
    path = None if tag.startswith(ENGLISH) else _path(tag)
    if path is None:
        return NullTranslations()
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    compiled = BytesIO()
    with path.open("rb") as file:
        write_mo(compiled, read_po(file, locale=path.parents[1].name))
    compiled.seek(0)
    return GNUTranslations(compiled)


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
