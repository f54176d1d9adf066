"""A broken style says where: what WeasyPrint complains of, found again in the theme's files.

Belongs here: turning a complaint into a place. Does not belong here: complaints themselves
(typeset.py) or templates, which know their own lines (theme.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.press.base.theme import Theme
from anthocard.press.paper.job import PaperError

_AT = re.compile(r"\bat (\d+):(\d+)")


@contextmanager
def told_of(theme: Theme, sheet: str) -> Iterator[None]:
    """Within it, a complaint about the style `sheet` of a theme becomes an AuthorError.

    A complaint without a line and column passes as the PaperError it is.
    """
    try:
        yield
    except PaperError as error:
        places = _AT.findall(str(error))
        if not places:
            raise
        mend = "put it right in the theme, or take the line out"
        raise AuthorError(
            Mistake("broken-style", str(error), theme.place_in(sheet, int(line), int(column)), mend)
            for line, column in places[:1]
        ) from error
