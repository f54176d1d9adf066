"""Why there is no paper: what a whole machine, a theme or one recipe is refused for.

Belongs here: the errors, and how each leaves the program. Does not belong here: who sees that a
paper cannot be set (paper/).
"""

from __future__ import annotations

import sys

from anthocard.diagnostics.diagnostic import Mistake, Place

APT_LINE = "sudo apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
BREW_LINE = "brew install pango"


class PaperUnavailable(Exception):  # noqa: N818 - the state of a machine, not a mistake of anyone
    """The libraries that set type are not on this machine; the message says how to get them."""

    exit_code = 3

    def __init__(self, cause: object) -> None:
        line = BREW_LINE if sys.platform == "darwin" else APT_LINE
        super().__init__(f"papers need Pango, which was not found ({cause}). Install it: {line}")


class PaperError(Exception):
    """WeasyPrint complained: a fault of a theme or of ours, with its own words."""


class PaperStopped(Exception):  # noqa: N818 - one paper was stopped; the others go on
    """Setting one paper took too long, or too much memory, or its process was killed."""

    exit_code = 1

    def __init__(self, name: str, place: Place, trouble: str, words: str) -> None:
        mend = "look for a huge table or deep nesting in it, or in its theme"
        message = f"“{name}” could not be set on paper: {words}"
        self.mistake = Mistake(trouble, message, place, mend)
        super().__init__(str(self.mistake))
