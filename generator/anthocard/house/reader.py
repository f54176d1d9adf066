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
from typing import Any, Final

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog, Place
from anthocard.diagnostics.yaml_reader import Document, read_yaml
from anthocard.facts.stock import StockItem
from anthocard.facts.units.forgiven import forgiven
from anthocard.house.body import read_body
from anthocard.house.collection import Collection, WrittenPlace, fold, index_of, page_key
from anthocard.house.files import FOLDERS, MarkdownFile, read_shelf, too_tangled, written_name
from anthocard.house.lots import LOTS_FILE
from anthocard.house.messages import not_lines, validated
from anthocard.house.model import KINDS, MADE, Drink, Made
from anthocard.house.partial.sound import sound_part
from anthocard.house.references import Unread, check_links
from anthocard.house.serving.photographs import photographs
from anthocard.house.serving.ratios import spread_ratios
from anthocard.house.serving.variations import BASED_ON, parents_first, varied
from anthocard.house.settings import House, with_glasses
from anthocard.house.yaml_files import YamlFiles

__all__ = ["Collection", "read_house", "read_sound"]

#: Stands in for a house that could not be read, so that the names in its recipes are checked too.
_NOWHERE: Final = House(name="-", place="GB", currency="GBP", glasses={})


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

    `instead` are texts read in the place of house.yaml, stock.yaml or lots.yaml. Raises AuthorError
    where what everything rests on in the first two of these cannot be read.
    """
    desk, collection = _read(folder, instead)
    if collection.house is _NOWHERE or desk.yaml.stock_lost:
        desk.log.raise_if_errors()
    return sound_part(collection, desk.unread, desk.log, desk.yaml.lost), tuple(desk.log)


def _read(
    folder: Path, instead: Mapping[str, str], today: date | None = None
) -> tuple[_Desk, Collection]:
    """Everything that could be read, and the desk with what could not."""
    log = MistakeLog()
    shelf = read_shelf(folder, log)
    texts = {**shelf.yaml, **instead}
    desk = _Desk(log)
    files, at = desk.yaml, f"{shelf.folder}/"
    files.stock_lost = "stock.yaml" in shelf.lost
    house = files.house(texts.get("house.yaml"), f"{at}house.yaml")
    stock = files.stock(texts.get("stock.yaml"), f"{at}stock.yaml")
    for source in parents_first(shelf.recipes):
        desk.recipe(source)
    desk.in_order(tuple(shelf.recipes))
    lots = files.lots(texts.get(LOTS_FILE), f"{at}{LOTS_FILE}")
    desk.unread += [Unread(name) for name in shelf.lost]
    whole = replace(desk.collection(house or _NOWHERE, stock), lots=lots)
    whole = replace(whole, pictures=photographs(folder, whole, log))
    collection = whole.on_offer(today or date.today())
    gone = (("house.yaml", house is None), ("stock.yaml", files.stock_lost))
    lost = [*(name for name, is_gone in gone if is_gone), *desk.lost_glasses]
    check_links(collection, desk.unread, log, lost)
    return desk, collection


@dataclass(slots=True)
class _Desk:
    """What has been read so far. `unread` are things too broken to keep."""

    log: MistakeLog
    things: dict[str, dict[str, Any]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    pages: dict[tuple[str, str], WrittenPlace] = field(default_factory=dict)
    unread: list[Unread] = field(default_factory=list)
    named: dict[str, Place] = field(default_factory=dict)
    yaml: YamlFiles = field(init=False)

    def __post_init__(self) -> None:
        self.yaml = YamlFiles(self.log, self.pages, self.unread)

    @property
    def lost_glasses(self) -> set[str]:
        """Glasses of the house that cannot be read: one of the trade does not stand in for them."""
        return {row.about for row in self.yaml.lost if row.section == "glasses" and row.about}

    def recipe(self, source: MarkdownFile) -> None:
        document = read_yaml(source.front, source.path, self.log, source.front_line)
        data = document.data
        if not isinstance(data, dict):
            if document.data is not None or not source.front.strip():
                not_lines(document, self.log)
            self.unread.append(Unread(written_name(source.front) or source.slug, document))
            return
        document = forgiven(document, KINDS[source.kind], (), self.yaml.habits)
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
        thing = validated(model, document, self.log, (), data, body)
        self._file(source, document, thing, data.get("name"))

    def _varied(self, document: Document) -> Document | None:
        """A drink written out where it is based on another; None where it cannot be."""
        name, drinks = fold(str(document.data.get(BASED_ON))), self.things["drink"]
        parent = next((one for one in drinks.values() if fold(one.name) == name), None)
        if parent is None and name in {fold(one.name) for one in self.unread}:
            return None  # based on what could not be read: no further mistake
        page = None if parent is None else self.pages[page_key(parent)].document
        return varied(document, page, tuple(drinks), self.log)

    def in_order(self, sources: tuple[MarkdownFile, ...]) -> None:
        """Put the drinks in the order of their files."""
        at = {source.path: n for n, source in enumerate(sources)}
        drinks: list[Drink] = [*self.things["drink"].values()]
        drinks.sort(key=lambda drink: at[self.pages[page_key(drink)].document.path])
        self.things["drink"] = {drink.name: drink for drink in drinks}

    def collection(self, house: House, stock: dict[str, StockItem]) -> Collection:
        made: dict[str, Made] = {}
        for kind in MADE:
            made |= self.things[kind]
        drinks: dict[str, Drink] = self.things["drink"]
        glasses = (one.glass for one in drinks.values())
        return Collection(
            house
            if house is _NOWHERE
            else with_glasses(house, (name for name in glasses if name not in self.lost_glasses)),
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

    def _file(self, source: MarkdownFile, document: Document, thing: Any, written: Any) -> None:
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
        self.pages[page_key(thing)] = WrittenPlace(document, (), source)
