"""Everything doubtful in a house that reads and computes: the one list that every command counts.

Belongs here: putting together what the engine, the whole house and its pages are doubtful about.
Does not belong here: any of these doubts, what only setting shows (set_ahead.py), ranks and counts
(diagnostics/report.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.engine.results import Computed
from anthocard.engine.review import review
from anthocard.house.collection import Collection
from anthocard.press.data.worked import as_worked
from anthocard.press.html.gaps import gaps
from anthocard.press.proof.undrawn import undrawn


def house_warnings(
    collection: Collection, computed: Mapping[str, Computed], found: Iterable[Mistake], today: date
) -> tuple[Mistake, ...]:
    """What was `found` while reading and computing, and what the whole house and its pages add."""
    log = MistakeLog()
    log.extend(found)
    log.extend(review(collection, as_worked(collection.house, computed).defaults, today))
    log.extend(gaps(collection, computed))
    log.extend(undrawn(collection))
    return tuple(log)
