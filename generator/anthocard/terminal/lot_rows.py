"""Lots on their way into lots.yaml: an entry at its end, or a line more in one that stands there.

Belongs here: the text of lots.yaml with what is new, every other line as its author left it. Does
not belong here: what a lot is (house/lots.py), whether it is good (engine/trade).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Final

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place

HEAD: Final = """\
# What was made here, lot by lot, the newest last. `anthocard lot` adds to it; you may, too.
# A lot with `in_use` is what is poured tonight: drinks are worked out from its readings.
"""


def started(text: str, keys: Mapping[str, object], weighed: Sequence[str]) -> str:
    """The text with a lot at its end."""
    lines = [
        f"{'- ' if n == 0 else '  '}{key}: {value}" for n, (key, value) in enumerate(keys.items())
    ]
    if weighed:
        lines += ["  weighed:", *(f"    - {_quoted(line)}" for line in weighed)]
    before = text.rstrip("\n") or HEAD.rstrip("\n")
    return "\n".join([before, "", *lines]) + "\n"


def with_reading(text: str, line: int, row: str) -> str:
    """The text with a reading more in the lot that `line` (from 1) is part of."""
    lines = text.rstrip("\n").split("\n")
    start, end = _block(lines, line)
    heads = [n for n in range(start, end) if lines[n].startswith("  readings:")]
    new = f"    - {row}"
    if not heads:
        return "\n".join([*lines[:end], "  readings:", new, *lines[end:]]) + "\n"
    last = heads[0] + 1
    while last < end and lines[last].startswith(("    ", "  -")):
        last += 1
    return "\n".join([*lines[:last], new, *lines[last:]]) + "\n"


def with_key(text: str, line: int, key: str, value: object) -> str:
    """The text with a key of that lot set, in its old place if it has one."""
    lines = text.rstrip("\n").split("\n")
    start, end = _block(lines, line)
    new = f"  {key}: {value}"
    old = [n for n in range(start, end) if lines[n].startswith(f"  {key}:")]
    if old:
        lines[old[0]] = new
    else:
        lines.insert(end, new)
    return "\n".join(lines) + "\n"


def _block(lines: Sequence[str], line: int) -> tuple[int, int]:
    """Where the entry around a line starts, and where it ends (the line after its last)."""
    start = line - 1
    while start > 0 and not lines[start].startswith("- "):
        start -= 1
    if not lines[start].startswith("- ") or lines[start].startswith(("- {", "- [")):
        raise AuthorError(
            [
                Mistake(
                    "one-line",
                    "this lot stands on one line, and a line is added below it",
                    Place("lots.yaml", line, 1, max(1, len(lines[line - 1])), lines[line - 1]),
                    "write one key a line: “- of: …”, then each with two blanks before it",
                )
            ]
        )
    end = start + 1
    while end < len(lines) and not lines[end].startswith(("- ", "#")):
        end += 1
    while not lines[end - 1].strip():
        end -= 1
    return start, end


def _quoted(text: str) -> str:
    """As YAML reads it back, in quotes only where it must."""
    return json.dumps(text, ensure_ascii=False) if set(text) & set(":#{}[]\"'") else text
