"""Where each part of the book begins, and all of them bound: page numbers nobody knows beforehand.

Belongs here: numbering parts that are set one by one. Does not belong here: which parts there are
(spec_book.py), joining PDFs (binding.py).

A part is set once it is known on which page it begins, so a part before it that is still being set
holds it up; most often it is known well enough how many pages that will take. Pages before the
first chapter are numbered in Roman figures, as in any book: no page moves when the contents grow.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeAlias

from anthocard.press.build.asking import (
    Pending,
    deciding,
    together,
)
from anthocard.press.paper.binding import (
    Bound,
    bind,
    look_into,
)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the book: which of book.html's, and what makes the values only it needs.

    It begins on `side` (left, right, or empty for either) and takes about `pages`; `sure` says that
    it is nearly always so. `leads` marks one that tells the pages of others, `goes_on` one that
    begins inside a chapter. `of` are the slugs of the recipes that it tells of, where it tells of
    nothing else; `rows` are what most likely decides how many pages it takes; `names` lead to it,
    evenly spread over its pages.
    """

    name: str
    values: Callable[[], Mapping[str, Any]]
    side: str = ""
    of: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
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
#: How many pages a part with `rows` takes: told as it is set, asked while it is being set, and then
#: None if nobody knows.
Remember: TypeAlias = Callable[[Part, int | None], int | None]


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
    cover: Part, contents: Part, body: Sequence[Part], back: Part, put: Put, remember: Remember
) -> bytes:
    """The whole book; the pages of cover and contents are even in number each.

    Raises Pending while a part is being set, after it has asked for all that can be numbered.
    """
    for trust in (True, False):
        ask = _Asking(put)
        laid, at, doubt = _numbered(ask, body, remember if trust else _forget)
        if doubt:
            raise Pending
        end = laid[-1].end if laid else 1
        at[f"part-{back.name}"] = end
        told = [ask(one.part, one.begins, at) if one.part.leads else one.found for one in laid]
        last = ask(back, Begins(end), at)
        opened = [_evened(ask, cover, 1, {}), _evened(ask, contents, 3, at)]
        ask.stop()
        if all(found and one.takes(found) for one, found in zip(laid, told, strict=True)):
            break  # else a part takes other pages than when it was last set: they are counted anew
    inside = [(one.part, found) for one, found in zip(laid, told, strict=True)]
    parts = [(cover, opened[0]), (contents, opened[1]), *inside, (back, last)]
    below = [at for at, (part, _) in enumerate(parts) if part.goes_on]
    pdfs = [found.pdf for _, found in parts if found]
    return together(partial(bind, roman=len(opened), below=below), pdfs)


def _forget(part: Part, pages: int | None) -> int | None:
    return None


def _evened(ask: _Asking, part: Part, number: int, at: Mapping[str, int]) -> Bound | None:
    likely = part.pages % 2 == 1
    found = ask(part, Begins(number, padded=likely), at)
    if found is None or found.pages % 2 == 0:
        return found
    return ask(part, Begins(number, padded=not likely), at)


@dataclass(frozen=True, slots=True)
class _Laid:
    """A part, where it begins, what was set of it if it is there, and the number after its last."""

    part: Part
    begins: Begins
    found: Bound | None
    end: int

    def takes(self, found: Bound) -> bool:
        """Whether what was set takes the room that was left for it."""
        return found.pages - self.begins.blank == self.end - self.begins.number


def _numbered(
    ask: _Asking, body: Sequence[Part], remember: Remember
) -> tuple[list[_Laid], dict[str, int], bool]:
    """Number all parts of the body, and ask for those that lead to no other.

    Also the page of every name, and whether there is doubt: then some parts were not asked for, and
    numbers may be wrong. Without it they are right if those that are still being set take the pages
    they nearly always take. Parts that lead to others are asked for without page numbers, if it is
    not remembered how many pages they take: they take no other room for it. Behind a missing part
    the sure ones, the many, are asked for only once nothing is in doubt.
    """
    laid: list[_Laid] = []
    at: dict[str, int] = {}
    number, doubt = 1, False
    for part in body:
        if part.sure and doubt:
            break
        blank = bool(part.side) and part.side != ("right" if number % 2 else "left")
        begins = Begins(number + blank, blank)
        pages = remember(part, None) if part.rows else None
        found = None
        if not (part.leads and pages):
            with deciding(not part.sure):
                found = ask(part, begins)
        if found is not None:
            at |= {name: number + page for name, page in found.names.items()}
            pages = found.pages - blank
            if part.rows:
                remember(part, pages)
        else:
            doubt = doubt or not (part.sure or pages)
            pages = pages or part.pages
            step = pages // max(len(part.names), 1)
            at |= {name: begins.number + n * step for n, name in enumerate(part.names)}
        number = begins.number + pages
        laid.append(_Laid(part, begins, found, number))
    return laid, at, doubt
