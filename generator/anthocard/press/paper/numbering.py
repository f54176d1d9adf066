"""Where each part of the book begins, and all of them bound: page numbers nobody knows beforehand.

Belongs here: numbering parts that are set one by one. Does not belong here: which parts there are
(spec_book.py), joining PDFs (binding.py).

It is a fixed point: parts are laid out by the pages they took last or most often take, set side by
side, and laid out again by the pages they really take; those that begin elsewhere now, or tell
other numbers, are set again, until nothing moves. Pages before the first chapter are numbered in
Roman figures, as in any book: no page moves when the contents grow.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final, TypeAlias

from anthocard.press.paper.binding import BoundPart, bind, inspect_part
from anthocard.press.paper.job import PaperPress, each

#: Rounds after which parts that never agree (a theme whose pages depend on the numbers they tell)
#: are bound as they are. Chosen: a book takes two or three.
_ROUNDS: Final = 12


@dataclass(frozen=True, slots=True)
class BookPart:
    """A part of the book: which of book.html's, and what makes the values only it needs.

    It begins on `side` (left, right, or empty for either) and takes about `pages`; `usual` says
    that it is nearly always so. `leads` marks one that tells the pages of others, `goes_on` one
    that begins inside a chapter. `of` are the slugs of the recipes that it tells of, where it tells
    of nothing else; `rows` are what most likely decides how many pages it takes; `names` lead to
    it, evenly spread over its pages.
    """

    name: str
    values: Callable[[], Mapping[str, Any]]
    side: str = ""
    of: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    pages: int = 1
    usual: bool = False
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


#: The page of every name, or None where they are not told.
Numbers: TypeAlias = Mapping[str, int] | None
#: Sets a part.
Put: TypeAlias = Callable[[BookPart, Begins, Numbers], Awaitable[bytes]]
#: How many pages a part takes: told once it was set, asked with None before; None again if nobody
#: knows. What is remembered may be wrong.
Remember: TypeAlias = Callable[[BookPart, int | None], int | None]


class _Placed:
    """A part, and how it was set last: where it began, what it told, and what came of it."""

    def __init__(self, part: BookPart, pages: int | None = None) -> None:
        self.part, self.pages = part, pages
        self.begins = Begins(1)
        self.found: BoundPart | None = None
        self._set_as: tuple[Begins, Numbers] | None = None

    async def settle(self, put: Put, begins: Begins, numbers: Numbers) -> None:
        """Set it so, unless it is."""
        if self._set_as != (begins, numbers):
            self.found = inspect_part(await put(self.part, begins, numbers))
            self._set_as = begins, numbers
        self.begins = begins

    async def settle_even(self, put: Put, number: int, numbers: Numbers) -> None:
        """Set it so, with a blank page after it where its own are odd in number."""
        padded = self.begins.padded if self.found else self.part.pages % 2 == 1
        await self.settle(put, Begins(number, padded=padded), numbers)
        if self.found and self.found.pages % 2:
            await self.settle(put, Begins(number, padded=not padded), numbers)

    @property
    def takes(self) -> int:
        """Its own pages: those it took, else those it is thought to take."""
        if self.found is not None:
            return self.found.pages - self.begins.blank
        return self.pages or self.part.pages

    @property
    def doubtful(self) -> bool:
        """Whether nobody can say how many pages it takes, or what else is named in it."""
        return not (self.found or self.part.usual or (self.part.rows and self.pages))


async def number_and_bind(
    cover: BookPart,
    contents: BookPart,
    body: Sequence[BookPart],
    back: BookPart,
    put: Put,
    remember: Remember,
    press: PaperPress,
) -> bytes:
    """The whole book; the pages of cover and contents are even in number each."""
    placed = [_Placed(part, None if part.usual else remember(part, None)) for part in body]
    before, behind = [_Placed(cover), _Placed(contents)], _Placed(back)
    last: Any = None
    for _ in range(_ROUNDS):
        begins, at = _laid_out(placed)
        at[f"part-{back.name}"] = end = begins.pop().number
        if last == (begins, at):
            break
        unknown = [one.doubtful for one in placed]
        if any(unknown):  # a part that leads to others takes no other room for their numbers
            asked = zip(placed, begins, unknown, strict=True)
            await each(one.settle(put, start, None) for one, start, unsure in asked if unsure)
            continue
        last = begins, at
        await each(
            [
                *(
                    one.settle(put, start, at if one.part.leads else None)
                    for one, start in zip(placed, begins, strict=True)
                ),
                before[0].settle_even(put, 1, {}),
                before[1].settle_even(put, 3, at),
                behind.settle(put, Begins(end), at),
            ]
        )
    for one in placed:
        if not one.part.usual:
            remember(one.part, one.takes)
    whole = [*before, *placed, behind]
    below = [number for number, one in enumerate(whole) if one.part.goes_on]
    pdfs = [one.found.pdf for one in whole if one.found]
    return await press.join(partial(bind, roman=len(before), below=below), pdfs)


def _laid_out(placed: Sequence[_Placed]) -> tuple[list[Begins], dict[str, int]]:
    """Where each part begins, and at last where the next one would; and the page of every name."""
    begins: list[Begins] = []
    at: dict[str, int] = {}
    number = 1
    for one in placed:
        side = one.part.side
        blank = bool(side) and side != ("right" if number % 2 else "left")
        first = number + blank
        if one.found is not None:
            found = one.found.names.items()
            at |= {name: first + page - one.begins.blank for name, page in found}
        else:
            step = one.takes // max(len(one.part.names), 1)
            at |= {name: first + n * step for n, name in enumerate(one.part.names)}
        begins.append(Begins(first, blank))
        number = first + one.takes
    return [*begins, Begins(number)], at
