"""The ways of light through a house's glasses, kept between runs: tracing them is slow.

Belongs here: which tables a store knows of the glasses that drinks are served in. Does not belong
here: tracing (engine/optics/).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import numpy as np

from anthocard.engine.optics.sight import VIEWS, Sight, row_shape
from anthocard.facts.chemistry.liquid import Floats
from anthocard.press.data.values import read, written
from anthocard.press.store.key import key
from anthocard.press.store.store import Store


@contextmanager
def known_ways(sights: Iterable[Sight], store: Store) -> Iterator[None]:
    """Meanwhile what a store knows of some glasses is known; every table that grew is kept there.

    What becomes of it after an error is nothing: it is traced anew.
    """
    views = dict.fromkeys(sight.in_view(which) for sight in sights for which in VIEWS)
    named = {key("look", repr(view)): view for view in views}
    known = {name: _read(store.get(name)) for name in named}
    for name, view in named.items():
        view.rows.update({**known[name], **view.rows})
    yield
    for name, view in named.items():
        if len(view.rows) > len(known[name]):
            store.put(name, written(dict(sorted(view.rows.items()))))


def _read(content: bytes | None) -> dict[int, Floats]:
    """Rows by level; none where it is no such table."""
    try:
        rows: dict[int, Floats] = read(dict[int, Floats], content or b"[]")
    except (ValueError, TypeError, RecursionError):
        return {}
    whole = all(row.shape == row_shape() and np.isfinite(row).all() for row in rows.values())
    return rows if whole else {}
