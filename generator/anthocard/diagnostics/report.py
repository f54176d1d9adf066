"""How commands tell mistakes: grouped by file for people, one stable shape for tools.

Belongs here: order, rank, counts and JSON of mistakes. Does not belong here: their words (whoever
found them) or a single one's layout (diagnostic.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any

from anthocard.diagnostics.diagnostic import Mistake
from anthocard.diagnostics.tables import read_table

_HARMS = ("guest", "drink", "wallet", "upkeep")
MOST = 40  # mistakes of one file that are told to a person at once; chosen
MOST_KINDS = 8  # of what is doubtful, told at once; chosen: what somebody reads before a shift
#: Severity -> how one and how several of it are called.
_NOUNS = {
    "error": ("1 mistake", "{} mistakes"),
    "warning": ("1 warning", "{} warnings"),
    "hint": ("1 hint", "{} hints"),
}


def grouped(mistakes: Iterable[Mistake]) -> str:
    """Every mistake below its file's name, a blank line between files."""
    blocks = []
    ordered = sorted(mistakes, key=lambda m: (m.place, m.severity, m.message))
    for path, group in groupby(ordered, key=lambda m: m.place.path):
        here = list(group)
        more = [f"and {len(here) - MOST} more in this file: put these right first"]
        lines = [f"{path}: {tally(here)}", *map(str, here[:MOST]), *(more if here[MOST:] else ())]
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks)


def worst(mistakes: Sequence[Mistake]) -> tuple[str, str]:
    """What a person is told, and where the rest is. Mistakes are told whole; of what is only
    doubtful the worst kinds, and none while there is a mistake to mend.
    """
    wrong = [one for one in mistakes if one.severity == "error"]
    if wrong:
        return grouped(wrong), ""
    kinds = ranked(mistakes)
    hidden = len(mistakes) - len(kinds[:MOST_KINDS])
    more = f" “anthocard proofread --all” tells the other {hidden}." if hidden else ""
    return "\n\n".join(kinds[:MOST_KINDS]), more


def ranked(mistakes: Iterable[Mistake]) -> list[str]:
    """The worst of each kind, worst kind first, and how many more there are like it.

    A kind is as bad as whom it would hurt: a guest, the drink, the wallet, nobody (harm.yaml);
    of two that are alike a warning comes before a hint.
    """
    kinds: dict[str, list[Mistake]] = {}
    for one in sorted(mistakes, key=lambda m: (_harm(m.kind), m.severity == "hint", m.place)):
        kinds.setdefault(one.kind, []).append(one)
    return [
        f"{alike[0]}\n  And {len(alike) - 1} more like it." if alike[1:] else str(alike[0])
        for alike in kinds.values()
    ]


def _harm(kind: str) -> int:
    table = read_table(__package__, "harm.yaml")
    for harm, rows in table.items():
        if any(kind.startswith(begin) for row in rows.values() for begin in row["begins"]):
            return _HARMS.index(harm)
    return _HARMS.index("drink")


def tally(mistakes: Sequence[Mistake]) -> str:
    """“2 mistakes, 1 warning”; “no mistakes” when there is no error."""
    return worded(counted(mistakes))


def worded(counts: Mapping[str, int]) -> str:
    """The same, of counts by severity."""
    words = [
        _NOUNS[severity][count != 1].format(count) for severity, count in counts.items() if count
    ]
    return ", ".join(words if counts["error"] else [*words, "no mistakes"])


def counted(mistakes: Sequence[Mistake]) -> dict[str, int]:
    """How many of each severity, the noughts included."""
    return {severity: sum(m.severity == severity for m in mistakes) for severity in _NOUNS}


def as_rows(mistakes: Iterable[Mistake]) -> list[dict[str, Any]]:
    """Each mistake as plain values: an interface, keys are only ever added.

    `path` as the author would type it, `line` and `column` from 1, `length` in characters,
    `severity` (error, warning or hint), `kind` (a stable word), `message`, `mend`, `excerpt`
    (the line).
    """
    return [
        {
            "path": m.place.path,
            "line": m.place.line,
            "column": m.place.column,
            "length": m.place.length,
            "severity": m.severity,
            "kind": m.kind,
            "message": m.message,
            "mend": m.mend,
            "excerpt": m.place.text,
        }
        for m in sorted(mistakes, key=lambda m: (m.place, m.severity, m.message))
    ]
