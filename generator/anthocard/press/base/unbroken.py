"""Which words of a line stay together, and which need more room above them than others.

Belongs here: a figure and its unit or month, which no line end may part; the last two words of
what is said; letters with a mark on a capital.
Does not belong here: how a figure is spelt (number_text.py), quotation marks (quotes.py).
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import Final

from anthocard.facts.units.units import Dimension, spellings, units
from anthocard.press.base.languages import ENGLISH, is_known, language

#: What is told of a drink, beside the units an author may write. Chosen.
_SIGNS: Final = ("% vol", "%", "°C", "°F", "g/l", "ml/l", "mg/l", "°Brix", "nm", "bar")
_MEASURES: Final = frozenset[Dimension]({"volume", "mass", "time", "length", "own"})
#: “in” is an inch, and a word of many sentences.
_WORDS_TOO: Final = frozenset({"in"})
_FIGURE: Final = r"[\d¼½¾⅓⅔⅛]"
#: A space as HTML has it: a line of an author's text may end there.
_SPACE: Final = r"[ \n]+"
_BEFORE: Final = re.compile(rf"(?<=\bpH){_SPACE}(?={_FIGURE})")
#: What ends a paragraph or an item of three words or more, or a cell: its last two.
_LAST: Final = re.compile(
    r"(?<=[ \n])([^ \n<>]+)[ \n]+([^\s<>]+)"
    r"(?=(?:\s|</(?:span|em|strong|a|b|small)>)*</(p|li|dd|td)>)"
)
#: What ends a paragraph or an item and could be parted at its own hyphen.
_HYPHENED: Final = re.compile(
    r"(?<=[\s>])([^\s<>]+-[^\s<>]+)(?=(?:\s|</(?:span|em|strong|a|b|small)>)*</(?:p|li|dd)>)"
)
#: What sets two things off: the dot may end a line, and begins none.
_DOT: Final = re.compile(r" ·(\s)([^\s<>]*)")
#: They stay on one line if they have fewer letters. Chosen: so many fit any column of a card.
MOST_TIED: Final = 16
#: A cell of a sentence has so many words before; one of a name may be narrower than any two words.
FEW: Final = 3
_TAG: Final = re.compile(r"<[^>]*>")
_EDGE: Final = re.compile(r"[\s<>]")
_CHEAP: Final = re.compile(rf"{_FIGURE}\.?[ \n]|pH[ \n]")


def unbroken(text: str, tag: str) -> str:
    """Words of one language, with a no-break space between each figure and its unit: “11 °C”,
    “22.5 ml”, “4 % vol”, “2 gouttes”, between a day and its month, and in “pH 3.1”.
    """
    if not _CHEAP.search(text):
        return text
    kept = _units(tag.partition("-")[0].lower()).sub(
        lambda found: re.sub(_SPACE, "\N{NO-BREAK SPACE}", found[0]), text
    )
    return _BEFORE.sub("\N{NO-BREAK SPACE}", kept)


def tied(html: str) -> str:
    """A page with a no-break space before the last word of whatever would otherwise end in a line
    of one word, which is not parted at a hyphen either; where that and the one before are long they
    may be parted. A dot that sets two things off ends a line and begins none.
    """
    return _HYPHENED.sub(_whole, _DOT.sub(_led, _LAST.sub(_tie, html)))


def _led(found: re.Match[str]) -> str:
    space, after = found.groups()
    at = found.start()
    before = _EDGE.split(found.string[max(0, at - MOST_TIED) : at])[-1]
    if len(before) + len(after) >= MOST_TIED:
        space = " "
    return f"\N{NO-BREAK SPACE}·{space}{after}"


def _whole(found: re.Match[str]) -> str:
    if len(found[0]) >= MOST_TIED:
        return found[0]
    return f'<span style="white-space: nowrap">{found[0]}</span>'


def _tie(found: re.Match[str]) -> str:
    first, last, closed = found.groups()
    short = len(first) + len(last) < MOST_TIED
    if closed == "td":
        before = found.string[found.string.rfind("<td", 0, found.start()) : found.start()]
        short = short and len(_TAG.sub(" ", before).split()) >= FEW
    return f"{first}\N{NO-BREAK SPACE}{last}" if short else found[0]


def capital_accents(text: str) -> bool:
    """Whether a mark stands on a capital, where no line above may come as close: “Über”, “Été”."""
    return any(
        letter.isupper() and len(unicodedata.normalize("NFD", letter)) > 1 for letter in text
    )


@cache
def _units(tag: str) -> re.Pattern[str]:
    """A space and the unit or month behind a figure, in English and in one language."""
    tongue = language(tag if is_known(tag) else ENGLISH)
    words = {
        word
        for english, key in spellings().items()
        if units()[key].dimension in _MEASURES and english not in _WORDS_TOO
        for word in (english, tongue.word("unit", english))
    }
    longest = sorted({*words, *_SIGNS}, key=lambda word: (-len(word), word))
    either = "|".join(_SPACE.join(map(re.escape, word.split())) for word in longest)
    months = "|".join(map(re.escape, {*language(ENGLISH).months, *tongue.months}))
    return re.compile(
        rf"(?<={_FIGURE}){_SPACE}(?:{either})(?!\w)"
        rf"|(?:(?<=\d)|(?<=\d\.)){_SPACE}(?-i:{months})(?!\w)",
        re.IGNORECASE,
    )
