"""Quotation marks, apostrophes and primes as each language sets them, on finished pages.

Belongs here: which mark stands for a straight one, and the walk through a page's words. Does not
belong here: which words stay together (unbroken.py), Markdown, setting type (paper/typeset.py).
"""

from __future__ import annotations

import re
from typing import Final

from anthocard.press.base.unbroken import unbroken

#: Opening and closing, double and single, by language: CLDR's characters (unicode.org/cldr,
#: delimiters), from memory; French keeps a narrow no-break space inside. English for all others.
MARKS: Final = {
    "en": ("“", "”", "‘", "’"),
    "de": ("„", "“", "‚", "‘"),
    "fr": ("«\u202f", "\u202f»", "‹\u202f", "\u202f›"),
    "es": ("«", "»", "“", "”"),
    "it": ("«", "»", "“", "”"),
    "nl": ("“", "”", "‘", "’"),
    "pl": ("„", "”", "‚", "’"),
    "sv": ("”", "”", "’", "’"),
    "da": ("“", "”", "‘", "’"),
}
APOSTROPHE: Final = "’"
#: English words that begin with what was left out.
_ELIDED: Final = re.compile(
    r"(?<!\d)'(?=(?:n|tis|twas|em|til|cause|round|bout)\b|\d\ds?\b)", re.IGNORECASE
)
_TAG: Final = re.compile(r"(<!--.*?-->|<[^>]*>)", re.DOTALL)
_NAME: Final = re.compile(r"<(/?)([a-zA-Z][\w-]*)")
#: Attributes whose words are shown or read aloud, and what a page says of itself.
_SAID: Final = re.compile(
    r"""(?<=\s)((?:alt|title|aria-label|placeholder|data-(?:said|ask|none|again|near|some|all|many|one)"""
    r"""|(?:(?:name="description"|property="og:[\w:]+")\s+content))=")([^"]*)(?=")"""
)
_LANG: Final = re.compile(r'\blang="([^"]*)"')
_AS_IT_IS: Final = frozenset({"style", "script", "code", "pre"})
_EMPTY: Final = frozenset({"br", "hr", "img", "meta", "link", "wbr", "input", "col"})
_STRAIGHT: Final = re.compile(r"""["']|&#3[49];|&#x2[27];|&quot;""")


def curled(html: str) -> str:
    """A page with no straight quote in its words, nor in what its tags say to people; those in
    tags, styles and code stay. A figure and its unit stay together.

    Each element's own `lang` decides, of those around it.
    """
    around: list[tuple[str, str, bool]] = [("", "en", False)]
    made = []
    for part in _TAG.split(html):
        name = _NAME.match(part) if part.startswith("<") else None
        if name is not None:
            _step(around, part, *name.groups())
            part = _said(part, around[-1][1])
        elif not part.startswith("<") and not around[-1][2]:
            part = unbroken(curl(part, around[-1][1]), around[-1][1])
        made.append(part)
    return "".join(made)


def curl(text: str, tag: str = "en") -> str:
    """Words of one language with their marks set; entities of straight marks are read as such."""
    if not _STRAIGHT.search(text):
        return text
    text = re.sub(r"&#(?:39|x27);", "'", re.sub(r"&#(?:34|x22);|&quot;", '"', text))
    double, close_double, single, close_single = MARKS.get(tag.partition("-")[0], MARKS["en"])
    text = _ELIDED.sub(APOSTROPHE, text)
    text = re.sub(r"(?<=\w)'(?=\w)", lambda m: _prime(text, m.start()) or APOSTROPHE, text)
    made, opened, quoted = [], False, False
    for at, letter in enumerate(text):
        before, after = text[at - 1 : at], text[at + 1 : at + 2]
        opens = (not before or before.isspace() or before in "([{—–-/„“«‚‘") and not after.isspace()
        if letter == '"':
            measured = not opened and before.isdigit()
            made.append("″" if measured else double if opens else close_double)
            opened = opens or (opened and measured)
        elif letter == "'" and before.isdigit() and not quoted:
            made.append("′")
        elif letter == "'":
            begins = opens and re.search(r"\w'(?!\w)", text[at + 1 :]) is not None
            ends = quoted and not opens
            made.append(single if begins else close_single if ends else APOSTROPHE)
            quoted = begins or (quoted and not ends)
        else:
            made.append(letter)
    return "".join(made)


def _said(tag: str, language: str) -> str:
    """A tag with the marks set in what it says to people."""
    if not _STRAIGHT.search(tag):
        return tag
    return _SAID.sub(lambda said: f"{said[1]}{curl(said[2], language)}", tag)


def _prime(text: str, at: int) -> str:
    """Feet, between two digits: 5′11″."""
    return "′" if text[at - 1].isdigit() and text[at + 1].isdigit() else ""


def _step(around: list[tuple[str, str, bool]], tag: str, end: str, name: str) -> None:
    """Into an element or out of it; `around` are name, language, whether its words stay."""
    if end:
        for depth in range(len(around) - 1, 0, -1):
            if around[depth][0] == name:
                del around[depth:]
                break
    elif not tag.endswith("/>") and name.lower() not in _EMPTY:
        lang = _LANG.search(tag)
        _, outer, alone = around[-1]
        around.append((name, lang[1] if lang else outer, alone or name.lower() in _AS_IT_IS))
