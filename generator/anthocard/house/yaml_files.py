"""house.yaml, stock.yaml and lots.yaml, each read as far as it can be.

Belongs here: the three files that are not Markdown, row by row. Does not belong here: recipes and
the whole (reader.py), which rows go with a mistake (partial/readable_rows.py).
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from typing import Any

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.yaml_reader import Document, read_yaml
from anthocard.facts.stock import StockItem, generic_stock
from anthocard.facts.units.forgiven import PLAIN_HABITS, Habits, forgiven, habits_of
from anthocard.house.collection import WrittenPlace, fold, page_key
from anthocard.house.lots import Lot, lots_in
from anthocard.house.messages import not_lines, validated, wrong_at
from anthocard.house.partial.readable_rows import (
    APART,
    ROWS,
    LostRow,
    lost_lots,
    readable,
    without_broken_rows,
)
from anthocard.house.references import Unread
from anthocard.house.settings import House


@dataclass(slots=True)
class YamlFiles:
    """What has been read of the three. `lost` are rows too broken to keep, `unread` stock lines."""

    log: MistakeLog
    pages: dict[tuple[str, str], WrittenPlace]
    unread: list[Unread]
    lost: list[LostRow] = field(default_factory=list)
    habits: Habits = PLAIN_HABITS
    stock_lost: bool = False  # whether stock.yaml could not be read at all

    def house(self, text: str | None, path: str) -> House | None:
        """The house, but for what `lost` holds of it; None where everything rests on what is wrong
        with it.
        """
        if text is None:
            return None
        document, lost = self._document(text, path, ROWS)
        if not all(row.section or row.about in APART for row in lost):
            return None
        if isinstance(document.data, dict):
            self.habits = habits_of(document.data.get("place"))
            document = forgiven(document, House, (), self.habits)
        data = document.data
        house = validated(House, document, self.log, (), data)
        wrong = [*document.faulty, *(wrong_at(House, data) if house is None else ())]
        if wrong:
            rest = readable(document, wrong) if isinstance(data, dict) else None
            if rest is None:
                return None
            document, lost = rest[0], [*lost, *rest[1]]
            house = validated(House, document, MistakeLog(), (), document.data)
        if house is not None:
            self.pages[page_key(house)] = WrittenPlace(document)
            self.lost += lost
        return house

    def stock(self, text: str | None, path: str) -> dict[str, StockItem]:
        """The generic table, overlaid key by key with the lines of the house."""
        stock = dict(generic_stock())
        if text is None:
            return stock
        document, lost = self._document(text, path)
        if not isinstance(document.data, dict) or any(row.about is None for row in lost):
            if document.data is not None or (not document.faulty and text.strip()):
                not_lines(document, self.log)
            self.stock_lost |= bool(text.strip())
            return stock
        self.unread += [Unread(row.about) for row in lost if row.about is not None]
        generics = {fold(name): item for name, item in stock.items()}
        for name in document.data:
            document = forgiven(document, StockItem, (name,), self.habits)
        for name, row in document.data.items():
            item = self._stock_line(document, name, row, generics.get(fold(name)))
            if item is None:
                self.unread.append(Unread(name, document))
            else:
                stock[item.name] = item
                self.pages[page_key(item)] = WrittenPlace(document, (name,))
        packs = {
            fold(word): item.pack.text
            for item in stock.values()
            if item.pack is not None
            for word in (*item.aliases, item.name)
        }
        self.habits = replace(self.habits, pack=lambda name: packs.get(fold(name)))
        return stock

    def lots(self, text: str | None, path: str) -> tuple[Lot, ...]:
        """What was made, in file order."""
        if text is None or not text.strip():
            return ()
        document, lost = self._document(text, path)

        def read(number: int, row: Any) -> Lot | None:
            return validated(Lot, document, self.log, (number,), row)

        found = lots_in(document, read, self.log)
        for at, (number, _) in enumerate(found):
            self.pages["Lot", str(at)] = WrittenPlace(document, (number,))
        self.lost += [replace(row, section="lots") for row in lost]
        self.lost += lost_lots(document, {number for number, _ in found})
        return tuple(lot for _, lot in found)

    def _document(
        self, text: str, path: str, sections: Collection[str] = ()
    ) -> tuple[Document, list[LostRow]]:
        """The document, and the rows it had to do without to be one."""
        document = read_yaml(text, path, self.log)
        if document.data is not None or not text.strip():
            return document, []
        rest, lost = without_broken_rows(text, sections)
        read = read_yaml(rest, path, MistakeLog()) if lost else document
        return (document, []) if read.data is None else (read, [*lost])

    def _stock_line(
        self, document: Document, name: str, row: Any, generic: StockItem | None
    ) -> StockItem | None:
        """One line of the house; the same name and kind as a generic line changes only its keys."""
        if not isinstance(row, dict):
            not_lines(document, self.log, (name,), "kind: spirit")
            return None
        basis = {"name": name} if generic is None else {"name": generic.name, "kind": generic.kind}
        item = validated(StockItem, document, self.log, (name,), basis | row)
        if item is None or generic is None or item.kind != generic.kind:
            return item
        return generic.model_copy(update={key: getattr(item, key) for key in row})
