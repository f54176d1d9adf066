"""Front-matter becomes frozen recipes, and every mistake of a house is told at once.

Belongs here: running the types of model.py over what an author wrote, and putting the book
together. Does not belong here: words for what went wrong (messages.py), names that point at each
other (references.py), files (files.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog, Place
from anthocard.diagnostics.yaml_reader import Document, Location, read_yaml
from anthocard.facts.stock import StockItem, generic_stock
from anthocard.facts.units.forgiven import PLAIN_HABITS, Habits, forgiven, habits_of
from anthocard.house.body import read_body
from anthocard.house.collection import Collection, Written, fold, index_of, page_key
from anthocard.house.files import FOLDERS, Source, read_shelf, too_tangled, written_name
from anthocard.house.lots import LOTS_FILE, Lot, lots_in
from anthocard.house.messages import complain
from anthocard.house.model import KINDS, MADE, Drink, Made
from anthocard.house.references import Unread, check_links
from anthocard.house.serving.photographs import photographs
from anthocard.house.serving.ratios import spread_ratios
from anthocard.house.serving.variations import BASED_ON, parents_first, varied
from anthocard.house.settings import House, with_glasses
from anthocard.house.sound import sound_part

__all__ = ["Collection", "read_house", "read_sound"]

Model = TypeVar("Model", bound=BaseModel)

#: Stands in for a house that could not be read, so that the names in its recipes are checked too.
_NOWHERE: Final = House(name="-", place="GB", currency="GBP", glasses={})
#: Keys of the types that the body fills in, so no author writes them.
BODY_KEYS: Final = ("guest_text", "guest_texts", "staff_text")


def read_house(folder: Path, today: date | None = None) -> Collection:
    """Read a whole house, with the menus on offer `today` (left out: the real day).

    Raises AuthorError with every mistake of every file, in file order; warnings alone do not raise
    and stand in `Collection.warnings`.
    """
    desk, collection = _read(folder, {}, today)
    desk.log.raise_if_errors()
    return replace(collection, warnings=tuple(desk.log))


def read_sound(
    folder: Path, instead: Mapping[str, str] = MappingProxyType({})
) -> tuple[Collection, tuple[Mistake, ...]]:
    """The part of a house that rests on nothing broken, and the mistakes and warnings of it all.

    `instead` are texts read in the place of house.yaml or stock.yaml. Raises AuthorError when one
    of these two cannot be read at all: everything rests on them.
    """
    desk, collection = _read(folder, instead)
    if collection.house is _NOWHERE or desk.stock_lost:
        desk.log.raise_if_errors()
    return sound_part(collection, desk.unread, desk.log), tuple(desk.log)


def _read(
    folder: Path, instead: Mapping[str, str], today: date | None = None
) -> tuple[_Desk, Collection]:
    """Everything that could be read, and the desk with what could not."""
    log = MistakeLog()
    shelf = read_shelf(folder, log)
    texts = {**shelf.yaml, **instead}
    desk = _Desk(log)
    desk.stock_lost = "stock.yaml" in shelf.lost
    house = desk.house(texts.get("house.yaml"), f"{shelf.folder}/house.yaml")
    stock = desk.stock(texts.get("stock.yaml"), f"{shelf.folder}/stock.yaml")
    for source in parents_first(shelf.recipes):
        desk.recipe(source)
    desk.in_order(tuple(shelf.recipes))
    lots = desk.lots(texts.get(LOTS_FILE), f"{shelf.folder}/{LOTS_FILE}")
    desk.unread += [Unread(name) for name in shelf.lost]
    whole = replace(desk.collection(house or _NOWHERE, stock), lots=lots)
    whole = replace(whole, pictures=photographs(folder, whole, log))
    collection = whole.on_offer(today or date.today())
    lost = [
        name
        for name, gone in (("house.yaml", house is None), ("stock.yaml", desk.stock_lost))
        if gone
    ]
    check_links(collection, desk.unread, log, lost)
    return desk, collection


@dataclass(slots=True)
class _Desk:
    """What has been read so far. `unread` are things too broken to keep."""

    log: MistakeLog
    things: dict[str, dict[str, Any]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    pages: dict[tuple[str, str], Written] = field(default_factory=dict)
    unread: list[Unread] = field(default_factory=list)
    named: dict[str, Place] = field(default_factory=dict)
    habits: Habits = PLAIN_HABITS
    stock_lost: bool = False  # whether stock.yaml could not be read at all

    def house(self, text: str | None, path: str) -> House | None:
        if text is None:
            return None
        document = read_yaml(text, path, self.log)
        if isinstance(document.data, dict):
            self.habits = habits_of(document.data.get("place"))
            document = forgiven(document, House, (), self.habits)
        house = self.valid(House, document, (), document.data)
        if house is not None:
            self.pages[page_key(house)] = Written(document)
        return house

    def stock(self, text: str | None, path: str) -> dict[str, StockItem]:
        """The generic table, overlaid key by key with the lines of the house."""
        stock = dict(generic_stock())
        if text is None:
            return stock
        document = read_yaml(text, path, self.log)
        if not isinstance(document.data, dict):
            if document.data is not None or (not document.faulty and text.strip()):
                self._not_a_list(document)
            self.stock_lost |= bool(text.strip())
            return stock
        generics = {fold(name): item for name, item in stock.items()}
        for name in document.data:
            document = forgiven(document, StockItem, (name,), self.habits)
        for name, row in document.data.items():
            item = self._stock_line(document, name, row, generics.get(fold(name)))
            if item is None:
                self.unread.append(Unread(name, document))
            else:
                stock[item.name] = item
                self.pages[page_key(item)] = Written(document, (name,))
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
        document = read_yaml(text, path, self.log)
        found = lots_in(document, lambda n, row: self.valid(Lot, document, (n,), row), self.log)
        for at, (number, _) in enumerate(found):
            self.pages["Lot", str(at)] = Written(document, (number,))
        return tuple(lot for _, lot in found)

    def _stock_line(
        self, document: Document, name: str, row: Any, generic: StockItem | None
    ) -> StockItem | None:
        """One line of the house; the same name and kind as a generic line changes only its keys."""
        if not isinstance(row, dict):
            self._not_a_list(document, (name,), "kind: spirit")
            return None
        basis = {"name": name} if generic is None else {"name": generic.name, "kind": generic.kind}
        item = self.valid(StockItem, document, (name,), basis | row)
        if item is None or generic is None or item.kind != generic.kind:
            return item
        return generic.model_copy(update={key: getattr(item, key) for key in row})

    def recipe(self, source: Source) -> None:
        document = read_yaml(source.front, source.path, self.log, source.front_line)
        data = document.data
        if not isinstance(data, dict):
            if document.data is not None or not source.front.strip():
                self._not_a_list(document)
            self.unread.append(Unread(written_name(source.front) or source.slug, document))
            return
        document = forgiven(document, KINDS[source.kind], (), self.habits)
        data = document.data
        written = data.get("kind")
        kind = written if isinstance(written, str) and written in KINDS else source.kind
        if kind != source.kind:
            self.log.add(
                "wrong-folder",
                f"a {kind} does not belong in {FOLDERS[source.kind]}/",
                document.at(("kind",)),
                f"write “{source.kind}”, or move the file to {FOLDERS[kind]}/",
            )
        model = KINDS[kind]
        if kind == "drink":
            whole = self._varied(spread_ratios(document))
            if whole is None:
                self.unread.append(Unread(written_name(source.front) or source.slug, document))
                return
            document, data = whole, whole.data
        if too_tangled(source.body):
            self.log.add(
                "too-tangled",
                "these words are too long, or have too many square brackets, to be set",
                Place(source.path, source.body_line),
                "split the recipe, or write it more simply",
            )
        parts = read_body(source.body)
        parts.tell(source.path, source.body_line, source.body, self.log)
        body = {
            "guest_text": parts.guest, "guest_texts": parts.others, "staff_text": parts.staff
        }  # fmt: skip
        thing = self.valid(model, document, (), data, body)
        self._file(source, document, thing, data.get("name"))

    def _varied(self, document: Document) -> Document | None:
        """A drink written out where it is based on another; None where it cannot be."""
        name, drinks = fold(str(document.data.get(BASED_ON))), self.things["drink"]
        parent = next((one for one in drinks.values() if fold(one.name) == name), None)
        if parent is None and name in {fold(one.name) for one in self.unread}:
            return None  # based on what could not be read: no further mistake
        page = None if parent is None else self.pages[page_key(parent)].document
        return varied(document, page, tuple(drinks), self.log)

    def in_order(self, sources: tuple[Source, ...]) -> None:
        """Put the drinks in the order of their files."""
        at = {source.path: n for n, source in enumerate(sources)}
        drinks: list[Drink] = [*self.things["drink"].values()]
        drinks.sort(key=lambda drink: at[self.pages[page_key(drink)].document.path])
        self.things["drink"] = {drink.name: drink for drink in drinks}

    def valid(
        self,
        model: type[Model],
        document: Document,
        within: Location,
        data: Any,
        body: Mapping[str, Any] | None = None,
    ) -> Model | None:
        """The row as its type, or None once its mistakes are noted."""
        if data is None and document.faulty:
            return None
        hidden = [key for key in body or () if isinstance(data, dict) and key in data]
        try:
            return model.model_validate(
                {**data, **(body or {})} if isinstance(data, dict) else data
            )
        except ValidationError as error:
            complain(error, model, document, within, self.log)
            return None
        finally:
            for key in hidden:
                self.log.add(
                    "unknown-key",
                    f"“{key}” is not written here",
                    document.at((*within, key), key=True),
                    "write it below the front-matter",
                )

    def collection(self, house: House, stock: dict[str, StockItem]) -> Collection:
        made: dict[str, Made] = {}
        for kind in MADE:
            made |= self.things[kind]
        drinks: dict[str, Drink] = self.things["drink"]
        return Collection(
            house
            if house is _NOWHERE
            else with_glasses(house, (one.glass for one in drinks.values())),
            stock,
            self.things["infusion"],
            self.things["solution"],
            self.things["syrup"],
            self.things["preparation"],
            drinks,
            self.things["menu"],
            self.pages,
            index_of(stock, made, self.pages),
        )

    def _file(self, source: Source, document: Document, thing: Any, written: Any) -> None:
        """Put a thing in its place, unless its name or its slug is taken."""
        name = written if isinstance(written, str) else source.slug
        place = document.at(("name",))
        first = self.named.setdefault(fold(name), place)
        if first is not place:
            self.log.add(
                "duplicate-name",
                f"“{name}” is also the name in {first.path}, line {first.line}",
                place,
                "give one of them another name",
            )
        if thing is None or first is not place:
            self.unread.append(Unread(name, document))
            return
        self.things[thing.kind][thing.name] = thing
        self.pages[page_key(thing)] = Written(document, (), source)

    def _not_a_list(
        self, document: Document, loc: Location = (), example: str = "name: Lantern"
    ) -> None:
        self.log.add(
            "wrong-type",
            "lines of “key: value” are wanted here",
            document.at(loc),
            f"write each as “key: value”, such as “{example}”",
        )
