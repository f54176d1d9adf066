"""What this process has put in its place so far, so that what is said at its end is true.

Belongs here: the list, and nothing else. Does not belong here: putting anything anywhere.
"""

from __future__ import annotations

from pathlib import Path

_DONE: list[str] = []


def note(path: Path | str) -> None:
    """A file or folder stands, whole, where it was to stand."""
    _DONE.append(str(path))


def done() -> tuple[str, ...]:
    """All of them, in order."""
    return tuple(_DONE)
