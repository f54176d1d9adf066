"""What somebody meant who wrote a name we do not know: the nearest of the same kind.

Belongs here: words for kinds of bottles, and the nearest name among them. Does not belong here: the
bottles (stock.py), or saying so to an author (house.references).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from anthocard.diagnostics.tables import read_table

#: How like two names are, 0 to 1: a slip of the pen whatever the kind, where no word says the kind,
#: and within a kind.
CLOSE_ENOUGH, SLIP, ALIKE = 0.93, 0.8, 0.55
SHORTEST = 4  # letters of a word that is looked for at the end of a compound: Himbeersaft


def family_of(name: str) -> str | None:
    """The kind the last telling word of a name says: “spiced rum” is rum, “Apfelsaft” juice."""
    words = _folded(name).split()
    for last in range(len(words), 0, -1):
        for first in range(max(0, last - 3), last):
            found = _families().get(" ".join(words[first:last]))
            if found is not None:
                return found
        ends = [
            one for one in _families() if len(one) >= SHORTEST and words[last - 1].endswith(one)
        ]
        if ends:
            return _families()[max(ends, key=len)]
    return None


@dataclass(frozen=True, slots=True)
class Near:
    """A known name, and whether it differs by a slip of the pen alone."""

    name: str
    slip: bool


def nearest_of_kind(name: str, known: Iterable[str]) -> Near | None:
    """The known name most like `name`, never of another kind; None where nothing is near.

    A slip of one letter or two is one whatever the kind. Where the name says its kind, else only
    names of that kind are looked at; the flavour may differ.
    """
    import difflib  # only for mistakes: every command would pay for it

    kind = family_of(name)
    folded = {_folded(one): one for one in known}
    likely = difflib.get_close_matches(_folded(name), folded, n=1, cutoff=CLOSE_ENOUGH)
    short = [one for one in folded if _one_letter(_folded(name), one)]
    if likely or len(short) == 1:
        return Near(folded[(likely or short)[0]], True)
    among = [one for one in folded if kind is None or family_of(one) == kind]
    for cutoff in (SLIP,) if kind is None else (SLIP, ALIKE):
        close = difflib.get_close_matches(_folded(name), among, n=1, cutoff=cutoff)
        if close:
            return Near(folded[close[0]], cutoff == SLIP)
    return None


def _one_letter(name: str, known: str) -> bool:
    """Whether a short name (“gim”) has one letter other than a known one, and not its first."""
    if not 3 <= len(name) < SHORTEST or len(known) != len(name) or name[0] != known[0]:
        return False
    return sum(one != other for one, other in zip(name, known, strict=True)) == 1


@cache
def _families() -> dict[str, str]:
    rows = read_table("anthocard.facts", "stock_families.yaml")["families"]
    return {_folded(word): kind for kind, row in rows.items() for word in row["words"]}


def _folded(name: str) -> str:
    text = unicodedata.normalize("NFKD", name.casefold().replace("-", " "))
    return " ".join("".join(c for c in text if not unicodedata.combining(c)).split())
