"""Many reckonings at once: what all of them ask next is answered by one call of each function.

Belongs here: what a reckoning asks, going through many in step, and laying their arrays end to end.
Does not belong here: any function that answers.

A reckoning is written as if it were alone. Where it needs what costs as much for one liquid as for
a hundred, it yields a `Call` and is sent the answer; one alone is answered in the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Hashable, Iterable, Sequence
from dataclasses import dataclass
from math import prod
from typing import Any, Final, TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from anthocard.facts.chemistry.liquid import Floats

T = TypeVar("T")
_FEW: Final = 256  # rows that are laid end to end with others'; more gain nothing by it


@dataclass(frozen=True, slots=True, eq=False)
class Call:
    """A function of rows, and the rows: arrays (…, k) whose leading axes broadcast.

    `of` takes each as (n, k), then what is `fixed`, and answers with a tuple of arrays (n, …), each
    row from its own rows alone; what is asked then has the leading axes again.
    """

    of: Callable[..., tuple[Any, ...]]
    rows: tuple[Floats, ...]
    fixed: tuple[Hashable, ...] = ()

    @property
    def lead(self) -> tuple[int, ...]:
        """The leading axes of the answer."""
        return np.broadcast_shapes(*(one.shape[:-1] for one in self.rows))


#: A reckoning that comes to a T: it yields calls, and is sent an answer for each.
Work: TypeAlias = Generator[Sequence[Call], Sequence[Any], T]


def ask(
    of: Callable[..., tuple[Any, ...]], *rows: Floats, fixed: tuple[Hashable, ...] = ()
) -> Work[tuple[Any, ...]]:
    """The answer to one call."""
    (answer,) = yield (Call(of, rows, fixed),)
    found: tuple[Any, ...] = answer
    return found


def column(values: ArrayLike) -> Floats:
    """Numbers as rows of one, (…, 1)."""
    return np.asarray(values, dtype=np.float64)[..., np.newaxis]


def at_once(works: Iterable[Work[T]]) -> Work[list[T]]:
    """What all of them come to, in their order, with their calls side by side."""
    live, found = dict(enumerate(works)), dict[int, T]()
    sent: dict[int, Sequence[Any] | None] = dict.fromkeys(live)
    while live:
        calls: dict[int, Sequence[Call]] = {}
        for number, work in [*live.items()]:
            try:
                answers = sent[number]
                calls[number] = next(work) if answers is None else work.send(answers)
            except StopIteration as done:
                found[number] = done.value
                del live[number]
        if calls:
            answered = iter((yield [call for some in calls.values() for call in some]))
            sent = {number: [next(answered) for _ in some] for number, some in calls.items()}
    return [found[number] for number in sorted(found)]


def alone(work: Work[T]) -> T:
    """What a reckoning comes to."""
    try:
        calls = next(work)
        while True:
            calls = work.send(_answered(calls))
    except StopIteration as done:
        found: T = done.value
        return found


def _answered(calls: Sequence[Call]) -> list[tuple[Any, ...]]:
    """An answer to each: of few rows together with others of the same function."""
    groups: dict[Hashable, list[int]] = {}
    for number, call in enumerate(calls):
        few = prod(call.lead) <= _FEW
        groups.setdefault((call.of, call.fixed) if few else number, []).append(number)
    found: dict[int, tuple[Any, ...]] = {}
    for group in groups.values():
        found |= zip(group, _of_one_kind([calls[number] for number in group]), strict=True)
    return [found[number] for number in range(len(calls))]


def _of_one_kind(calls: Sequence[Call]) -> list[tuple[Any, ...]]:
    leads = [call.lead for call in calls]
    each = zip(*(_flat(call, lead) for call, lead in zip(calls, leads, strict=True)), strict=True)
    whole = calls[0].of(*(np.concatenate(column) for column in each), *calls[0].fixed)
    ends = np.cumsum([prod(lead) for lead in leads])[:-1]
    parts = [np.split(column, ends) for column in whole]
    return [
        tuple(part[n].reshape((*lead, *part[n].shape[1:])) for part in parts)
        for n, lead in enumerate(leads)
    ]


def _flat(call: Call, lead: tuple[int, ...]) -> list[Floats]:
    return [
        np.broadcast_to(one, (*lead, one.shape[-1])).reshape(-1, one.shape[-1]) for one in call.rows
    ]
