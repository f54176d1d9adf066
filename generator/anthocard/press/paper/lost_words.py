"""What is wrong with a paper: words that would be lost, and styles that nobody understands.

Belongs here: judging where words lie, and finding what WeasyPrint complains of in the theme's
files. Does not belong here: reading where they lie (weasyprint_70.py), complaints themselves
(typeset.py) or templates, which know their own lines (theme.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.press.base.refusals import PaperError
from anthocard.press.base.theme import Theme
from anthocard.press.paper.weasyprint_70 import TextRun, runs, runs_on, size_mm

_AT = re.compile(r"\bat (\d+):(\d+)")
#: Two inks may share this much before they are read as one over the other, mm: letters set close
#: touch with an accent and a tail. Chosen; a hair is 0.1 mm.
TOUCH_MM: Final = 0.35
#: And this much off the safe area is a rounding. Chosen.
_OFF_MM: Final = 0.05
#: What takes less of its last page than this leaves it nearly empty. Chosen: three rows in ten.
NEARLY_EMPTY: Final = 0.3
#: Setting what runs on closer saves no more of a page. Measured: the demo's book in four themes, of
#: 0.08 to 0.131.
CLOSER_SAVES: Final = 0.14


@dataclass(frozen=True, slots=True)
class Lost:
    """Words that a reader would lose: which, and what becomes of them."""

    text: str
    how: str


def lost(document: Any, safe_mm: float) -> Lost | None:
    """The first words of a document that was laid out which are not whole on their paper: nearer to
    the trimmed edge than `safe_mm`, over other words, or cut off. None where all are.
    """
    for page, text_runs in zip(document.pages, runs(document), strict=True):
        found = _off(text_runs, *size_mm(page), safe_mm) or _over(text_runs)
        if found is not None:
            return found
    return None


def _off(text_runs: Sequence[TextRun], wide: float, tall: float, safe: float) -> Lost | None:
    for run in text_runs:
        sides = safe - run.left, run.right - wide + safe, safe - run.top, run.bottom - tall + safe
        off = max(sides)
        if off > _OFF_MM:
            near = f"{safe - off:.1f} mm from the edge, where a cutter may be {safe:g} mm off"
            return Lost(run.text, near if off < safe else f"{off - safe:.1f} mm off the paper")
        if run.cut:
            return Lost(run.text, "cut off by the box around it")
    return None


def _over(text_runs: Sequence[TextRun]) -> Lost | None:
    """The first words over others: all are passed from the top, held against those beside them."""
    beside: list[TextRun] = []
    for run in sorted(text_runs, key=lambda run: run.top):
        beside = [other for other in beside if other.bottom - run.top > TOUCH_MM]
        for other in beside:
            shared = min(run.right, other.right) - max(run.left, other.left)
            if shared > TOUCH_MM:
                return Lost(run.text, f"printed over “{other.text[:40]}”")
        beside.append(run)
    return None


def ends_nearly_empty(document: Any, names: Sequence[str]) -> list[int]:
    """Whether what has each of these classes runs on to a page of which it takes too little: 0 or
    1; 2 where it takes more than setting it closer saves.
    """
    last = runs_on(document, names)
    shares = (last.get(name, 1.0) for name in names)
    return [(share < NEARLY_EMPTY) + (CLOSER_SAVES < share < NEARLY_EMPTY) for share in shares]


@contextmanager
def style_errors_of(theme: Theme, *sheets: str) -> Iterator[None]:
    """Within it, a complaint about the style of `sheets` of a theme becomes an AuthorError.

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
            Mistake(
                "broken-style", str(error), theme.place_in(sheets, int(line), int(column)), mend
            )
            for line, column in places[:1]
        ) from error
