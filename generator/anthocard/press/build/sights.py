"""The ways of light through a house's glasses, kept between runs: tracing them is slow.

Belongs here: which tables a store knows of the glasses that drinks are served in. Does not belong
here: tracing (engine/optics/).
"""

from __future__ import annotations

import json
from collections.abc import Iterable

import numpy as np

from anthocard.engine.optics.sight import VIEWS, Sight, row_shape
from anthocard.facts.chemistry.liquid import Floats
from anthocard.press.store.key import key
from anthocard.press.store.store import Store


class Sights:
    """What a store knows of some glasses is known henceforth; `keep` adds what was traced since."""

    def __init__(self, sights: Iterable[Sight], store: Store) -> None:
        self._store = store
        self._tables: dict[str, tuple[dict[int, Floats], int]] = {}
        views = (sight.in_view(which) for sight in sights for which in VIEWS)
        for view in dict.fromkeys(views):
            name = key("look", repr(view))
            known = _read(store.get(name))
            for level, row in known.items():
                view.rows.setdefault(level, row)
            self._tables[name] = (view.rows, len(known))

    def save(self) -> None:
        """Put every table that has grown into the store."""
        for name, (rows, known) in self._tables.items():
            if len(rows) > known:
                written = {level: row.tolist() for level, row in sorted(rows.items())}
                self._store.put(name, json.dumps(written).encode())


def _read(content: bytes | None) -> dict[int, Floats]:
    """Rows by level; none where it is no such table: it is traced anew."""
    try:
        found = json.loads(content or b"{}")
        rows = {int(level): np.array(row, dtype=np.float64) for level, row in found.items()}
    except (ValueError, TypeError, AttributeError, RecursionError):
        return {}
    whole = all(row.shape == row_shape() and np.isfinite(row).all() for row in rows.values())
    return rows if whole else {}
