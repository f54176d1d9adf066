"""How long a test waits for another process before it calls it hung: a guard, never a measure."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from contextlib import contextmanager

#: Nothing takes this long even where sixteen others want each processor.
HUNG_S = 900.0


class Spent:
    """Processor time of a block, in seconds, once it is over."""

    seconds = 0.0


@contextmanager
def processor_time() -> Iterator[Spent]:
    """What this process and the children it waited for spend inside, whatever else runs."""
    spent, before = Spent(), _now()
    try:
        yield spent
    finally:
        spent.seconds = _now() - before


def _now() -> float:
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)
