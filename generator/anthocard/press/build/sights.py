"""The ways of light through a house's glasses, kept between runs: tracing them is slow.

Belongs here: which tables a store knows of the glasses that drinks are served in. Does not belong
here: tracing (engine/optics/).
"""

from __future__ import annotations

import json
from collections.abc import Iterable

import numpy as np

from anthocard.engine.optics.sight import VIEWS, Sight
from anthocard.facts.chemistry.liquid import Floats
from anthocard.press.store.key import key
from anthocard.press.store.store import Store


class Sights:
    """What `store` knows of some sights is known from now on; `keep` adds what was traced since."""

    def __init__(self, sights: Iterable[Sight], store: Store) -> None:
        self._store = store
        self._tables: dict[str, tuple[dict[int, Floats], int]] = {}
        for sight in dict.fromkeys(sights):
            for which in VIEWS:
                name = key("sight", repr(sight), which)
                rows = sight.traced(which)
                kept = json.loads(store.get(name) or b"{}")
                for level, row in kept.items():
                    rows.setdefault(int(level), np.array(row))
                self._tables[name] = (rows, len(kept))

    def keep(self) -> None:
        """Put every table that has grown into the store."""
        for name, (rows, kept) in self._tables.items():
            if len(rows) > kept:
                written = {level: row.tolist() for level, row in sorted(rows.items())}
                self._store.put(name, json.dumps(written).encode())
