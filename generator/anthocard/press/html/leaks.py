"""The last look before guests see a folder: is anything in it that only staff may read?

Belongs here: what of a house is for staff, and finding it in finished files. Does not belong here:
taking files apart (shown.py), what guests are offered (menu.py).

Everything an author wrote is for staff but what is listed here as for guests. It is looked for word
by word, whatever marks, case and tags stand between: whole lines of up to four words, and any five
words in a row of longer ones. What guests may read anyway is no leak.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.engine.safety.ingredients import poured_in
from anthocard.facts.law.rules import rules
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Drink, Menu, Recipe
from anthocard.press.base.languages import language
from anthocard.press.html.menu import languages_of
from anthocard.press.html.shown import shown
from anthocard.press.words.guest import ingredients

RUN: Final = 5  # words in a row by which a longer text is known; chosen
FEW: Final = 3  # words of a line; a shorter one is anybody's, unless it is a name; chosen
LETTERS: Final = 5  # in such a line; “pH 2.6” is anybody's; chosen
DIGITS: Final = 4  # of a figure with decimals that nobody meets by chance: 31.46; chosen
LONG: Final = 6  # letters and digits of a single word that nobody writes by chance; chosen
#: Keys whose value is for staff even when it is one word.
NAMES: Final = frozenset({"supplier"})
#: Keys whose value guests may read.
GUESTS: Final = frozenset(
    {"guest_text", "guest_texts", "translations", "glasses", "glass", "web", "language"}
    | {"languages", "currency", "place", "voice", "kind", "latin", "picture"}
)
#: Words that stand on our staff pages alone.
OURS: Final = (
    "Cost, for staff only", "Price that meets the target", "Taken from tables, not measured here",
    "Worked out from a wish",
)  # fmt: skip
_WORD: Final = re.compile(r"\w+")
_COMMENT: Final = re.compile(r"(?:^|\s)#\s*(.+)$")

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True, order=True)
class Leak:
    """Words for staff in a file for guests: in which, which words, and where they come from."""

    file: str
    words: str
    source: str


def leaks(
    files: Iterable[tuple[str, bytes]], collection: Collection, costs: Iterable[float] = ()
) -> tuple[Leak, ...]:
    """Every word for staff that stands in `files`, by file; empty where all is as it should be.

    `costs` are sums that were worked out for staff, in the house's currency.
    """
    finished = [*files]
    if not finished:
        return ()
    secrets = _secrets(collection)
    starts, sums = _starts(secrets), _CostFigures(collection, costs)
    found: set[Leak] = set()
    for name, content in finished:
        for text, spoken in shown(name, content):
            for words in _in(_words(text), secrets, starts):
                if spoken or not _is_figure(words):
                    found.add(Leak(name, " ".join(words), secrets[words]))
            if spoken:
                found |= {Leak(name, one, "a cost, worked out for staff") for one in sums.of(text)}
    return tuple(sorted(found))


class _CostFigures:
    """Sums for staff: known by their figures where the currency stands beside them, or where they
    have more decimals than anybody writes. Sums that guests may read are none.
    """

    def __init__(self, collection: Collection, costs: Iterable[float]) -> None:
        from babel.numbers import get_currency_symbol

        code, tags = collection.house.currency, languages_of(collection.house)
        signs = {code, *(get_currency_symbol(code, tag.replace("-", "_")) for tag in tags)}
        any_sign = "|".join(map(re.escape, sorted(signs)))
        self._sum = re.compile(
            rf"(?:{any_sign})\s?(\d+[.,]\d\d)(?!\d)|(?<![\d.,])(\d+[.,]\d\d)\s?(?:{any_sign})"
            r"|(?<![\d.,])(\d+[.,]\d{5,})"
        )
        said = " ".join(_guest_words(collection))
        open_ones = {figure.replace(",", ".") for figure in re.findall(r"\d+(?:[.,]\d+)?", said)}
        self._costs = {cost for cost in costs if f"{cost:.2f}" not in {*open_ones, "0.00"}}
        self._rounded: dict[int, set[str]] = {}

    def of(self, text: str) -> Iterator[str]:
        """The figures in a text that are such sums."""
        for found in self._sum.finditer(text) if self._costs else ():
            figure = next(filter(None, found.groups()))
            plain = figure.replace(",", ".")
            places = min(len(plain.partition(".")[2]), 5)
            if places not in self._rounded:
                self._rounded[places] = {f"{cost:.{places}f}" for cost in self._costs}
            if f"{float(plain):.{places}f}" in self._rounded[places]:
                yield figure


def refuse(found: Iterable[Leak]) -> None:
    """Raise AuthorError that names each file and what would have leaked, if there is any."""
    mistakes = [
        Mistake(
            "leak", f"“{one.words}” would reach guests; it is {one.source}", Place(one.file),
            "tell us, and look at the theme and at what stands above “## Method”",
        )
        for one in found
    ]  # fmt: skip
    if mistakes:
        raise AuthorError(mistakes)


def _secrets(collection: Collection) -> dict[Words, str]:
    """Runs of words that are for staff, with what they are; without those guests may read."""
    found: dict[Words, str] = {}
    for words, source in _staff_words(collection):
        for run in _runs(words):
            found.setdefault(run, source)
    starts = _starts(found)
    open_ones = {
        run for text in _guest_words(collection) for run in _in(_words(text), found, starts)
    }
    return {run: source for run, source in found.items() if run not in open_ones}


def _starts(secrets: Iterable[Words]) -> dict[str, set[int]]:
    """By the first word of each secret how long those are that begin with it."""
    starts: dict[str, set[int]] = {}
    for words in secrets:
        starts.setdefault(words[0], set()).add(len(words))
    return starts


def _in(text: list[str], secrets: Container[Words], starts: dict[str, set[int]]) -> Iterator[Words]:
    """The secrets that stand in a text."""
    for at, word in enumerate(text):
        for length in starts.get(word, ()):
            run = tuple(text[at : at + length])
            if run in secrets:
                yield run


def _runs(words: Words) -> Iterator[Words]:
    if len(words) <= RUN:
        yield words
    for at in range(len(words) - RUN + 1):
        yield words[at : at + RUN]


def _staff_words(collection: Collection) -> Iterator[tuple[Words, str]]:
    """What staff wrote for staff, line by line."""
    for text in OURS:
        yield tuple(_words(text)), "a heading of our pages for staff"
    for thing in collection.filed:
        for line in re.split(r"\n|(?<=[.;:!?])\s", thing.staff_text):
            yield from _withheld_words(line, f"in the method of {thing.name}")
    for made in collection.made:
        words = tuple(_words(made.name))
        if len(words) > 1:
            yield words, f"the name of {made.kind} {made.name}, which staff make"
    shared = {
        fold(n) for menu in collection.menus.values() for s in menu.sections for n in s.drinks
    }
    for name, source in collection.sources.items():
        slug = tuple(_words(source.slug))
        endings = ("md", "html", "pdf", "json") if source.kind != "menu" else ("md",)
        for ending in endings:
            if (
                ending != "html" or fold(name) not in shared
            ):  # what is offered has a page for guests
                yield (*slug, ending), f"the file of {name}"
    for path, lines, data in _documents(collection):
        for line in lines:
            comment = _COMMENT.search(line)
            if comment is not None:
                yield from _withheld_words(comment[1], f"a comment in {path}")
        for key, value in _leaves(data):
            where = f"“{key}” in {path}"
            if key in NAMES:
                yield tuple(_words(value)), where
            else:
                yield from _withheld_words(value, where)


def _documents(collection: Collection) -> Iterator[tuple[str, tuple[str, ...], Any]]:
    seen: set[str] = set()
    for page in collection.pages.values():
        if page.document.path not in seen:
            seen.add(page.document.path)
            yield page.document.path, page.document.lines, page.document.data


def _leaves(data: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Every text and figure with the key it stands under; what is for guests left out."""
    if isinstance(data, dict):
        for name, value in data.items():
            if name not in GUESTS:
                yield from _leaves(value, str(name))
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _leaves(value, key)
    elif data is not None and not isinstance(data, bool):
        yield key, str(data)


def _withheld_words(line: str, source: str) -> Iterator[tuple[Words, str]]:
    """A line that is long or odd enough to be known again."""
    words = tuple(_words(line))
    if len(words) >= FEW and sum(c.isalpha() for word in words for c in word) >= LETTERS:
        yield words, source
    if _is_figure(words) and len(words) == 2 and len("".join(words)) >= DIGITS:
        yield words, source
    for word in words:
        odd = any(c.isdigit() for c in word) and any(c.isalpha() for c in word)
        if odd and len(word) >= LONG:
            yield (word,), source


def _is_figure(words: Words) -> bool:
    return all(word.isdigit() for word in words)


def _guest_words(collection: Collection) -> Iterator[str]:
    """What guests may read: names, stories, sections, and the guest words of our rules."""
    house = collection.house
    yield f"{house.name} {house.voice or ''} {house.web or ''}"
    yield from (said.voice or "" for said in house.translations.values())
    yield from house.glasses
    yield from house.guest_words.values()
    yield from (word for said in house.translations.values() for word in said.guest_words.values())
    yield from _ingredients(collection)
    for drink in collection.drinks.values():
        yield from _said(drink)
        yield "" if drink.price is None else f"{drink.price:.2f}"
    for menu in collection.menus.values():
        yield from _said(menu)
        for section in menu.sections:
            yield section.name
            yield section.note or ""
        for said in menu.translations.values():
            for name, other in said.sections.items():
                yield from (name, other.name or "", other.note or "")
    yield from (rule.guest for rule in rules())


def _ingredients(collection: Collection) -> Iterator[str]:
    """The lines that tell what is in each drink, in every language of the house."""
    house = collection.house
    for drink in collection.drinks.values():
        poured = poured_in(drink, collection)
        for tag in (house.language, *house.languages):
            yield " ".join(dict.fromkeys(ingredients(poured, {}, house, language(tag))))


def _said(thing: Recipe | Menu) -> Iterator[str]:
    yield thing.name
    yield thing.guest_text
    yield from thing.guest_texts.values()
    if isinstance(thing, Drink):
        yield thing.taste or ""
        yield from (said.taste or "" for said in thing.translations.values())
    yield from (said.name or "" for said in thing.translations.values())


def _words(text: str) -> list[str]:
    """Words of a text in small letters, without marks; hidden hyphens are none."""
    plain = unicodedata.normalize("NFKC", text).replace("\N{SOFT HYPHEN}", "").casefold()
    return _WORD.findall(plain.replace("_", " "))
