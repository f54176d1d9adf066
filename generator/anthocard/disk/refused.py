"""Why the door stays shut, in words for whoever asked: what is in the way, and how to mend it.

Belongs here: refusals of our own. Does not belong here: those of the system, which are OSError.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

_SHOWN: Final = 5  # names told in one line; chosen


class Refused(Exception):  # noqa: N818 - nobody's error
    """Something of somebody else's is in the way, so nothing was written."""

    exit_code = 4

    def __init__(self, where: Path | str, why: str, mend: str) -> None:
        super().__init__(f"{where}: {why}\n  Mend: {mend}\nNothing was written by this one.")


class Busy(Refused):
    """Another process is writing to the same folder."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            folder,
            "another publish is writing here",
            "wait until it is done, or name another folder",
        )


class Foreign(Refused):
    """What stands where a build is to stand was not made by us."""


class Changed(Refused):
    """Somebody saved the file between our reading and our writing."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(path, "somebody saved this file meanwhile", "run it again")


def names(paths: Sequence[str]) -> str:
    """The first few of many names, in a line."""
    more = len(paths) - _SHOWN
    return ", ".join(paths[:_SHOWN]) + (f" and {more} more" if more > 0 else "")
