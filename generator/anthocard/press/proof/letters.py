"""Letters that no face on paper has, at the very word: what else only setting type would show.

Belongs here: holding what authors wrote against the characters of the faces. Does not belong here:
which faces there are, and refusing to set what lacks one (typeset.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.house.collection import Collection
from anthocard.press.base.faces import mend_for
from anthocard.press.paper.typeset import missing_glyphs

#: After any of these a line may end (Unicode Standard Annex 14: SP, HY, BA, SY between letters).
BREAKS: Final = re.compile(r"[\s\-‐–/]+")


def unprintable(collection: Collection, fonts: tuple[Path, ...] = ()) -> Iterator[Mistake]:
    """A mistake for every word of a house with a letter no face has; `fonts` are a theme's own.

    Values and bodies are looked at, not comments: those are never set.
    """
    read: set[str] = set()
    for page in collection.pages.values():
        document = page.document
        if document.path in read:
            continue
        read.add(document.path)
        for loc, text in _words(document.data, ()):
            if missing_glyphs(text, fonts):
                yield from _in_value(document, loc, text, fonts)
        if page.source is not None and missing_glyphs(page.source.body, fonts):
            for number, line in enumerate(page.source.body.split("\n")):
                place = Place(document.path, page.source.body_line + number, 1, 1, line)
                yield from _in_line(line, place, fonts)


def longest_word(collection: Collection) -> int:
    """How many letters the longest word of a house has, in its values and bodies."""
    texts = (
        text
        for page in collection.pages.values()
        for text in (
            *(text for _, text in _words(page.document.data, ())),
            *((page.source.body,) if page.source is not None else ()),
        )
    )
    return max((len(word) for text in texts for word in BREAKS.split(text)), default=0)


def _words(data: Any, loc: Location) -> Iterator[tuple[Location, str]]:
    if isinstance(data, str):
        yield loc, data
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from _words(value, (*loc, key))
    elif isinstance(data, tuple):
        for number, value in enumerate(data):
            yield from _words(value, (*loc, number))


def _in_value(
    document: Document, loc: Location, text: str, fonts: tuple[Path, ...]
) -> Iterator[Mistake]:
    """At the word where it stands on the value's own line, else at the value."""
    place = document.at(loc)
    found = list(_in_line(place.text[place.column - 1 :], place, fonts))
    yield from found or [_mistake(missing_glyphs(text, fonts), place)]


def _in_line(text: str, place: Place, fonts: tuple[Path, ...]) -> Iterator[Mistake]:
    """`text` starts at the column of `place`."""
    at = 0
    for word in text.split(" "):
        missing = missing_glyphs(word, fonts)
        if missing:
            yield _mistake(missing, place.shifted(at, len(word)))
        at += len(word) + 1


def _mistake(missing: str, place: Place) -> Mistake:
    return Mistake("no-glyph", f"no face on paper has “{missing[:12]}”", place, mend_for(missing))
