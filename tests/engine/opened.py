"""A small house opened on the engine with everything a test of care and trade asks for."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
from anthocard.engine.compute import compute
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Caution, Computed
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house

from tests.engine.conftest import HOUSE, write_house


@dataclass(frozen=True)
class Opened:
    """A house read, shelved and computed, with its warnings."""

    collection: Collection
    shelf: Shelf
    computed: Mapping[str, Computed]
    warnings: tuple[Mistake, ...]

    def caution(self, slug: str, key: str) -> Caution | None:
        return next((one for one in self.computed[slug].cautions if one.key == key), None)

    def state(self, slug: str, key: str) -> str:
        return next(one.state for one in self.computed[slug].allergens if one.key == key)


def opened(files: Mapping[str, str], house: str = HOUSE) -> Opened:
    """Write a house to a scratch folder, read it and compute it."""
    with tempfile.TemporaryDirectory() as folder:
        collection = read_house(write_house(Path(folder), files, house))
        computed, warnings = compute(collection)
        return Opened(collection, Shelf(collection, MistakeLog()), computed, warnings)


def house(place: str = "GB", more: str = "") -> str:
    """The test house in another place, with more lines."""
    return HOUSE.replace("place: GB", f"place: {place}") + more


def drink(pours: str, more: str = "", glass: str = "tall glass") -> str:
    """A drink with the slug its file has."""
    return f"kind: drink\nname: d\nglass: {glass}\nmethod: built\npours: [{pours}]\n{more}"
