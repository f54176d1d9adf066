"""Whether anybody has lately looked at the law of the house's place.

Belongs here: telling a house that rows of law have grown old or run out. Does not belong here: the
rows (facts/law/statutes.py).
"""

from __future__ import annotations

from datetime import date

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.statutes import law_of, unchecked, whom_to_ask
from anthocard.house.collection import Collection


def check_law_clock(collection: Collection, today: date, log: MistakeLog) -> None:
    """Warn once of rows that hold here and that nobody has looked at for a year before `today`."""
    where = jurisdiction(collection.house.place).within
    old = unchecked(law_of(where, today), today)
    if old:
        topics = ", ".join(sorted({one.topic for one in old}))
        last = min(one.checked for one in old)
        log.add(
            "law-unchecked",
            f"{len(old)} rows of law for {collection.house.place} were last looked at on {last} or"
            f" later, and may have changed: {topics}",
            collection.at(collection.house, ("place",)),
            f"take a newer version of this program, and ask {whom_to_ask(where)}",
            "warning",
        )
