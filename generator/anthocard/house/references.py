"""Names that point at other things: everything poured, steeped, served and listed must exist.

Belongs here: checks that need the whole book, and the order in which things can be made. Does not
belong here: checks of a single value (the types), nor anything that needs chemistry (the engine).
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import Any

from anthocard.diagnostics.diagnostic import MistakeLog, Place, did_you_mean, nearest
from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.facts.colour.pigments import plants
from anthocard.facts.glassware import shape_called
from anthocard.facts.stock import StockItem
from anthocard.facts.stock_names import nearest_of_kind
from anthocard.facts.units.measures import parse_portion
from anthocard.facts.units.shares import parse_line
from anthocard.facts.units.step_amounts import name_of, parse_aim, parse_lot, parse_powder
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.collection import Collection, fold, page_key
from anthocard.house.model import Infusion, Made, Preparation
from anthocard.house.serving.wholes import check_reveals, check_room, check_whole
from anthocard.house.steps import KITCHEN, NAMING
from anthocard.house.wish import split_until


@dataclass(frozen=True, slots=True)
class Unread:
    """Something with mistakes of its own: its name is taken, and its other names still checked.

    It has no document where its file could not be read at all.
    """

    name: str
    document: Document | None = None


def check_links(
    collection: Collection, unread: Sequence[Unread], log: MistakeLog, lost: Container[str] = ()
) -> None:
    """Note every name that leads nowhere or in a circle.

    Pointing at what could not be read is no further mistake, such as a glass that is `lost`; and
    anything may stand in what is, of “house.yaml” and “stock.yaml”.
    """
    stock_lost = "stock.yaml" in lost
    taken = frozenset(fold(broken.name) for broken in unread)
    drinks = frozenset(fold(drink) for drink in collection.drinks)
    pages = [collection.pages[page_key(thing)] for thing in collection.filed]
    broken = (one.document for one in unread if one.document is not None)
    for document in (*(page.document for page in pages), *broken):
        for sort, loc, name in named_in(document.data):
            if loc in document.faulty or loc not in document.values:  # what another drink says
                continue
            if sort == "glass" and ("house.yaml" in lost or name in lost):
                continue
            if sort == "glass":
                _check_glass(collection, name, document.at(loc), log)
            elif fold(name) in taken or (stock_lost and sort != "drink"):
                continue
            elif sort == "plant":
                _check_plant(collection, name, document.at(loc), log)
            elif sort == "drink":
                if fold(name) not in drinks:
                    _unknown_drink(collection, name, document.at(loc), log)
            elif (collection.kitchen if sort == "lot" else collection.find)(name) is None:
                _unknown(collection, name, document.at(loc), log)
    for drink in collection.drinks.values():
        check_room(collection, drink, log)
        check_whole(collection, drink, log)
        check_reveals(collection, drink, log)
    for number, reading in enumerate(collection.house.calibrations):
        if fold(reading.of) in taken or stock_lost:
            continue
        _check_reading(
            collection,
            reading.of,
            collection.at(collection.house, ("calibrations", number, "of")),
            log,
        )
    names = [recipe.name for recipe in collection.made]
    for lot in collection.lots:
        if fold(lot.of) not in taken | {*map(fold, names)}:
            message = f"the house makes nothing called “{lot.of}”"
            place = collection.at_lot(lot, "of")
            log.add("unknown-lot", message, place, did_you_mean(lot.of, names))
    _check_loops(collection, log)


def named_in(data: Any) -> Iterator[tuple[str, Location, str]]:
    """What front-matter names, read or not: glass, plant, drink or pour; its location; the name."""
    if not isinstance(data, dict):
        return
    for key, sort in (("glass", "glass"), ("plant", "plant"), ("into", "pour")):
        yield from _named(sort, (key,), data.get(key))
    yield from _named_in_steps(_list(data.get("steps")))
    for key in ("pours", "parts"):
        for number, line in enumerate(_list(data.get(key))):
            if isinstance(line, dict):
                yield from _named("pour", (key, number, "of"), line.get("of"))
            elif isinstance(line, str):
                wished = split_until(line) if key == "pours" else None
                if wished is not None:
                    yield "pour", (key, number), wished[0]
                    continue
                with suppress(MeasureError):
                    name = parse_line(line).name if key == "pours" else parse_portion(line)[1]
                    yield "pour", (key, number), name
    rows = enumerate(_list(data.get("reveals")))
    for loc, reveal in ((("reveal",), data.get("reveal")), *((("reveals", n), r) for n, r in rows)):
        if isinstance(reveal, dict):
            yield from _named("pour", (*loc, "pour"), reveal.get("pour"))
    for number, section in enumerate(_list(data.get("sections"))):
        listed = section.get("drinks") if isinstance(section, dict) else None
        for row, name in enumerate(_list(listed)):
            yield from _named("drink", ("sections", number, "drinks", row), name)


def _named_in_steps(steps: tuple[Any, ...]) -> Iterator[tuple[str, Location, str]]:
    """Of each step: `lot` of what a kitchen steeps, presses or zests, `pour` of the rest."""
    for number, step in enumerate(steps):
        for key, value in step.items() if isinstance(step, dict) else ():
            if key == "sweeten" and isinstance(value, str):
                yield "pour", ("steps", number, key), name_of(value)
            if key == "acid_adjust" and isinstance(value, str):
                with suppress(MeasureError):
                    yield from _named("pour", ("steps", number, key), parse_aim(value).of or None)
            if key not in NAMING or isinstance(value, int | float):
                continue
            read = parse_powder if key == "with" and "acid_adjust" in step else parse_lot
            sort = "lot" if key in KITCHEN else "pour"
            lines = enumerate(_list(value)) if not isinstance(value, str) else ((None, value),)
            for row, line in lines:
                loc = ("steps", number, key) if row is None else ("steps", number, key, row)
                if isinstance(line, str):
                    with suppress(MeasureError):
                        yield sort, loc, read(line)[1]


def _named(sort: str, loc: Location, name: object) -> Iterator[tuple[str, Location, str]]:
    if isinstance(name, str):
        yield sort, loc, name


def _list(value: object) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else ()


def making_order(collection: Collection) -> tuple[Made, ...]:
    """What the house makes, each after the things it is made of."""
    order = TopologicalSorter(_needs(collection)).static_order()
    made = {fold(recipe.name): recipe for recipe in collection.made}
    return tuple(made[name] for name in order)


def needed_by(recipe: Made, collection: Collection) -> tuple[str, ...]:
    """The names of all that a made thing is made of."""
    plant = (recipe.plant,) if isinstance(recipe, Infusion) else ()
    return (*(name for _, name in _wanted(recipe, collection)), *plant)


def plant_key(name: str, collection: Collection) -> str:
    """The key in the pigment table of a plant, by stock line or plain name.

    Raises KeyError for a plant without colour data.
    """
    found = collection.find(name)
    if isinstance(found, StockItem) and found.plant is not None and found.plant in plants():
        return found.plant
    for key, plant in plants().items():
        if fold(name) in (fold(key.replace("_", " ")), fold(plant.label)):
            return key
    raise KeyError(name)


def named_in_steps(
    recipe: Preparation, collection: Collection
) -> Iterator[tuple[str, Location, str]]:
    """What the steps name: `lot` where a kitchen's own word comes first, else `pour`."""
    yield from named_in(collection.pages[page_key(recipe)].document.data)


def _wanted(recipe: Made, collection: Collection) -> Iterator[tuple[Location, str]]:
    """Everything a made thing needs, with the location of its name."""
    if isinstance(recipe, Infusion):
        yield ("into",), recipe.into
    elif isinstance(recipe, Preparation):
        for sort, loc, name in named_in_steps(recipe, collection):
            thing = collection.kitchen(name) if sort == "lot" else None
            yield loc, name if thing is None else thing.name
    else:
        for number, part in enumerate(recipe.parts):
            yield ("parts", number), part.name


def _unknown(collection: Collection, name: str, place: Place, log: MistakeLog) -> None:
    if fold(name) in {fold(drink) for drink in collection.drinks}:
        message = f"“{name}” is a drink, and drinks are not poured into others"
        mend = "write what it is made of as a syrup or a solution"
    else:
        message = f"nothing in the house is called “{name}”"
        close = nearest_of_kind(name, collection.may_be_meant)
        mend = "add it to stock.yaml, or write a recipe for it"
        if close is not None:
            mend = (
                f"did you mean “{close.name}”?"
                if close.slip
                else f"the nearest of its kind is “{close.name}”; or {mend}"
            )
    start = place.text.find(name, place.column - 1)
    if start >= 0:
        place = place.shifted(start + 1 - place.column, len(name))
    log.add("unknown-ingredient", message, place, mend)


def _check_plant(collection: Collection, name: str, place: Place, log: MistakeLog) -> None:
    try:
        plant_key(name, collection)
    except KeyError:
        dried = [one.name for one in collection.stock.values() if one.kind == "plant" and one.plant]
        labels = [plant.label.lower() for plant in plants().values()]
        labels += [] if nearest(name, dried) is None else dried
        log.add("unknown-plant", f"no colour data for “{name}”", place, did_you_mean(name, labels))


def _check_glass(collection: Collection, name: str, place: Place, log: MistakeLog) -> None:
    """A glass is the house's own, or one of the trade."""
    if name in collection.house.glasses:
        return
    try:
        shape_called(name)
    except MeasureError as no:
        close = nearest(name, collection.house.glasses)
        mend = no.mend if close is None else f"did you mean “{close}”?"
        log.add(no.kind, no.message, place, mend)


def _unknown_drink(collection: Collection, name: str, place: Place, log: MistakeLog) -> None:
    mend = did_you_mean(name, collection.drinks)
    log.add("unknown-drink", f"no drink is called “{name}”", place, mend)


def _check_reading(collection: Collection, name: str, place: Place, log: MistakeLog) -> None:
    drinks = {fold(drink) for drink in collection.drinks}
    if collection.find(name) is None and fold(name) not in drinks:
        log.add(
            "unknown-calibration",
            f"nothing in the house is called “{name}”, so nothing was measured of it",
            place,
            did_you_mean(name, [*collection.drinks, *collection.may_be_meant]),
        )


def _needs(collection: Collection) -> dict[str, list[str]]:
    """Of each thing made, the things made that it needs; all by folded name."""
    made = {fold(recipe.name) for recipe in collection.made}
    return {
        fold(recipe.name): [
            fold(name) for _, name in _wanted(recipe, collection) if fold(name) in made
        ]
        for recipe in collection.made
    }


def _check_loops(collection: Collection, log: MistakeLog) -> None:
    """Name each circle once, at the line that closes it, then look for the next without it."""
    needs = _needs(collection)
    while True:
        try:
            TopologicalSorter(needs).prepare()
        except CycleError as trouble:
            # graphlib lists each before what needs it; the last is the first again
            circle: list[str] = trouble.args[1][::-1]
            needs[circle[0]].remove(circle[1])
            recipe = next(one for one in collection.made if fold(one.name) == circle[0])
            loc = next(at for at, name in _wanted(recipe, collection) if fold(name) == circle[1])
            log.add(
                "loop",
                f"this goes in a circle: {' needs '.join(circle)}",
                collection.at(recipe, loc),
                "make one of them from something else",
            )
        else:
            return
