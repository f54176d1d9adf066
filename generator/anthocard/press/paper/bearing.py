"""Which way the words of a paper run: the paper as its language does, each text as its own letters.

Belongs here: what WeasyPrint does not work out of a page's `dir`. Does not belong here: a style
seen from the other side (base/mirrored.py), setting type (typeset.py).

WeasyPrint 70 takes `auto` for left to right and orders letters within a run of text alone. So each
element that has words of its own runs as the first strong letter of them (HTML Standard, 3.2.6.4;
Unicode Standard Annex 9, P2), on a paper from the right without being asked: “45 ml”, an English
sentence of ours or a Latin name keeps its own order there, its stop at its end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final
from unicodedata import bidirectional
from xml.etree.ElementTree import Element

from anthocard.press.base.mirrored import mirrored, mirrored_values

#: What orders letters and is never seen (Unicode Standard Annex 9, §2): no face need have it.
UNSEEN: Final = dict.fromkeys(
    map(ord, "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
)
_FROM_RIGHT: Final = re.compile(r'<html\b[^>]* dir="rtl"')
#: What a style puts a number before, or dots and a page behind.
_HOLDS: Final = frozenset({"li", "a"})
#: What a text of an author is made of, each with a way of its own.
_BLOCKS: Final = frozenset(
    {"p", "div", "ol", "ul", "dl", "table", "blockquote", "pre", "h1", "h2", "h3", "h4", "h5", "h6"}
)
_OPENS: Final = frozenset({"LRI", "RLI", "FSI"})
#: Arrows that say what comes next, as they point on a line from the right (UAX 9 mirrors none).
_ARROWS: Final = str.maketrans("→←", "←→")


def runs_from_right(html: str) -> bool:
    """Whether a page is one that is read from the right."""
    return _FROM_RIGHT.search(html) is not None


#: What a style puts into running heads, of an attribute: `string-set` knows no `dir`.
_HEADS: Final = ("data-on", "data-chapter")


#: Letters that set off what follows them, up to U+2069, and say which way it runs (UAX #9).
_ISOLATES: Final = {"ltr": "\u2066", "rtl": "\u2067"}


def give_ways(root: Any) -> None:
    """Put `dir` on the elements of a page that has been read, and mirror what styles it holds."""
    from_right = root.get("dir") == "rtl"
    for element in root.iter() if from_right else ():
        if element.tag == "style":
            element.text = mirrored(element.text or "")
        elif "style" in element.attrib:
            element.set("style", mirrored_values(element.get("style")))
        for name in _HEADS:
            if said := element.get(name):
                element.set(name, f"\u2068{said}\u2069")
    for body in root.iter("body"):
        _give(body, "rtl" if from_right else "ltr", from_right)


def _give(element: Any, around: str, every: bool) -> None:
    """`around` is the way of what stands about it; `every` asks for all that have words."""
    if not isinstance(element.tag, str) or element.tag.endswith("svg"):
        return
    told, way = element.get("dir"), around
    if told == "auto" and any(child.tag in _BLOCKS for child in element):
        del element.attrib["dir"]
        told, every = None, True  # each of its blocks as its own letters do
    spoken = _has_words(element)
    if told == "auto" or (every and told is None and spoken):
        way = _first_strong(element) or ("ltr" if told else around)
        if way != around and (element.tag in _HOLDS or _ahead(element)):
            _wrap(element, way)
        elif way != around or told:
            element.set("dir", way)
    elif told:
        way = told
    if way == "rtl":
        _turn_arrows(element)
    for child in element:  # what stands within a sentence is part of it
        _give(child, way, every and not spoken)


def _wrap(element: Any, way: str) -> None:
    """Only the words of it run so: what a style puts beside them stays where the paper has it."""
    element.attrib.pop("dir", None)
    if element.tag == "a" and not len(element):  # each box within a link would be one more link
        element.text = f"{_ISOLATES[way]}{element.text}\u2069"
        return
    inner, ahead = Element("bdi", dir=way), _ahead(element)
    if ahead:
        last = element[ahead - 1]
        said = last.tail or ""
        inner.text = said.lstrip()
        last.tail = said[: len(said) - len(inner.text)]
    else:
        inner.text, element.text = element.text, None
    inner.extend(element[ahead:])
    element[ahead:] = [inner]


def _ahead(element: Any) -> int:
    """How many boxes and drawings stand before the first words of an element."""
    count, before = 0, element.text
    for child in element:
        if (before or "").strip() or any(text.strip() for text in child.itertext()):
            break
        count, before = count + 1, child.tail
    return count


def _has_words(element: Any) -> bool:
    return any((text or "").strip() for text in (element.text, *(one.tail for one in element)))


def _turn_arrows(element: Any) -> None:
    element.text = element.text and element.text.translate(_ARROWS)
    for child in element:
        child.tail = child.tail and child.tail.translate(_ARROWS)


def _first_strong(element: Any) -> str | None:
    """The way of the first letter that has one; what is isolated is not asked."""
    deep = 0
    for letter in _letters(element):
        kind = bidirectional(letter)
        deep += (kind in _OPENS) - (kind == "PDI" and deep > 0)
        if not deep and kind in ("L", "R", "AL"):
            return "ltr" if kind == "L" else "rtl"
    return None


def _letters(element: Any) -> Iterator[str]:
    """All of an element but of what has a way of its own."""
    yield from element.text or ""
    for child in element:
        if isinstance(child.tag, str) and "dir" not in child.attrib:
            yield from _letters(child)
        yield from child.tail or ""
