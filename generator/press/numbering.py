"""Where each part of the book begins, and all of them bound: page numbers nobody knows beforehand.

Belongs here: numbering parts that are set one by one. Does not belong here: which parts there are
(book.py), joining PDFs (binding.py).

A part is set once it is known on which page it begins, so a part before it that is still being set
holds it up; most often it is known well enough how many pages that will take. Pages before the
first chapter are numbered in Roman figures, as in any book: no page moves when the contents grow.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from generator.press.asking import deciding
from generator.press.binding import Bound, bind, look_into
from generator.press.workers import Pending


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the book: which of book.html's, and the values only it needs.

    It begins on `side` (left, right, or empty for either) and takes about `pages`; `sure` says that
    it is nearly always so. `leads` marks one that tells the pages of others, `goes_on` one that
    begins inside a chapter.
    """

    name: str
    values: Mapping[str, Any]
    side: str = ""
    pages: int = 1
    sure: bool = False
    leads: bool = False
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class Begins:
    """Where a part begins: the number of its first page, and whether a blank one stands before.

    `padded` asks for a blank page after it.
    """

    number: int
    blank: bool = False
    padded: bool = False

    @property
    def side(self) -> str:
        """The side of the very first page, be it blank."""
        return "right" if (self.number - self.blank) % 2 else "left"


#: Sets a part; the page of every name where that is known. May raise Pending.
Put: TypeAlias = Callable[[Part, Begins, Mapping[str, int] | None], bytes]


class _Asking:
    """Asks for parts; `missing` tells that one is still being set."""

    def __init__(self, put: Put) -> None:
        self._put = put
        self.missing = False

    def __call__(
        self, part: Part, begins: Begins, numbers: Mapping[str, int] | None = None
    ) -> Bound | None:
        try:
            return look_into(self._put(part, begins, numbers))
        except Pending:
            self.missing = True
            return None

    def stop(self) -> None:
        """Raise Pending if one is missing."""
        if self.missing:
            raise Pending


def number_and_bind(
    cover: Part, contents: Part, body: Sequence[Part], back: Part, put: Put
) -> bytes:
    """The whole book; the pages of cover and contents are even in number each.

    Raises Pending while a part is being set, after it has asked for all that can be numbered.
    """
    ask = _Asking(put)
    opened = [_evened(ask, cover, 1, {})]
    laid, at, end = _numbered(ask, body)
    ask.stop()
    at[f"part-{back.name}"] = end
    opened.append(_evened(ask, contents, 3, at))
    closed = [
        (ask(part, begins, at) if part.leads or found is None else found, part.goes_on)
        for part, begins, found in [*laid, (back, Begins(end), None)]
    ]
    ask.stop()
    return bind([one for one in opened if one], [(one, goes_on) for one, goes_on in closed if one])


def _evened(ask: _Asking, part: Part, number: int, at: Mapping[str, int]) -> Bound | None:
    likely = part.pages % 2 == 1
    found = ask(part, Begins(number, padded=likely), at)
    if found is None or found.pages % 2 == 0:
        return found
    return ask(part, Begins(number, padded=not likely), at)


def _numbered(
    ask: _Asking, body: Sequence[Part]
) -> tuple[list[tuple[Part, Begins, Bound | None]], dict[str, int], int]:
    """Each part with where it begins and what was set; the page of every name; the next page.

    Parts that lead to others are set without page numbers here: they take no other room for it.
    Those behind a missing one are asked for as if it took the pages it is likely to take, but those
    that are sure, the many, only once nothing before them is in doubt.
    """
    laid: list[tuple[Part, Begins, Bound | None]] = []
    at: dict[str, int] = {}
    number, doubt = 1, False
    for part in body:
        if part.sure and doubt:
            break
        blank = bool(part.side) and part.side != ("right" if number % 2 else "left")
        begins = Begins(number + blank, blank)
        with deciding(not part.sure):
            found = ask(part, begins)
        if found is None:
            doubt = doubt or not part.sure
            number += blank + part.pages
        else:
            at |= {name: number + page for name, page in found.names.items()}
            number += found.pages
        laid.append((part, begins, found))
    return laid, at, number
