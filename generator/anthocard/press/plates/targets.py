"""A paper in inks as something to be made: what it rests on, and what is said when it fails.

Belongs here: keys, and the look that every file for a press is given. Does not belong here: which
papers go to a press (paper/house_papers.py).
"""

from __future__ import annotations

from functools import cache
from typing import Any

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.press.plates.condition import Condition
from anthocard.press.plates.conversion import press_ready
from anthocard.press.plates.inks import Inks
from anthocard.press.plates.preflight import problems
from anthocard.press.store.key import Target, key


def in_inks_of(condition: Condition, paper: Target, place: Place) -> Target:
    """The same paper in the inks of a condition; `place` is where its author wrote it.

    Making it raises AuthorError where it cannot be put into inks, or our own look finds a fault.
    """
    parts = (condition.icc, condition.identifier, condition.ink_limit)

    async def make(press: Any) -> bytes:
        try:
            made = press_ready(await press.get(paper), _inks(condition))
            wrong = problems(made)
        except ValueError as error:
            wrong = (str(error),)
        if wrong:
            mend = "look at its theme: colours in rgb(), a background to the edge"
            message = f"{paper.name} cannot go to a press: {'; '.join(wrong)}"
            raise AuthorError([Mistake("not-for-a-press", message, place, mend)])
        return made

    of = key("in inks", paper.key, *parts) if paper.key else ""
    return Target(f"{paper.name} in inks", of, make, paper=True)


@cache
def _inks(condition: Condition) -> Inks:
    return Inks(condition)
