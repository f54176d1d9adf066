"""What there is to choose from: units, plants, methods, ices, glasses, and how a wish is written.
And the law of a place, as far as we know it.

Belongs here: the lists, read from the tables. Does not belong here: keys (keys.py), figures and
where they come from (commands/explain.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from itertools import groupby
from typing import Final

from anthocard.diagnostics.tables import read_table
from anthocard.facts.colour.pigments import plants
from anthocard.facts.glassware import shapes
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.statutes import law_of, statutes, whom_to_ask
from anthocard.facts.stock import generic_stock
from anthocard.house.collection import fold


def _units() -> Iterator[str]:
    yield "Units: how each may be written, and what one of it is"
    table = read_table("anthocard.facts.units", "measures.yaml")
    base = {"volume": "ml", "mass": "g", "time": "h", "length": "mm"}
    for row in table["units"].values():
        size = f"{row['factor']:g} {base[row['dimension']]}" if row["dimension"] in base else ""
        loose = f"{row['low']:g} to {row['high']:g}, until you weigh yours" if "low" in row else ""
        words = ", ".join((*row["spellings"], *row.get("also", ())))
        yield f"  - {words}: {size or loose or 'counted'}"
    for row in table["times"].values():
        yield f"  - {', '.join(row['spellings'])}: {row['hours']:g} h"
    yield "  - bottle, can, pack: the pack of the stock line"
    yield "  - gallon, quart, pint: with us or imperial before it"
    yield f"Never an amount: {', '.join(table['vague']['words']['spellings'])}."


def _plants() -> Iterator[str]:
    yield "Plants whose colour is known, and what each is called in the stock"
    for key, plant in sorted(plants().items()):
        names = [item.name for item in generic_stock().values() if item.plant == key]
        yield f"  - {plant.label}: {', '.join(names) or key.replace('_', ' ')}"


def _methods() -> Iterator[str]:
    yield "Methods: how a drink meets its ice"
    for key, row in read_table("anthocard.engine.mix", "methods.yaml")["methods"].items():
        weighed = "" if row["weighed"] else "; nobody has published grams, so weigh yours"
        yield f"  - {key}: {row['words']}, usually {row['seconds']:g} s{weighed}"


def _ices() -> Iterator[str]:
    yield "Ices: what stands in the glass"
    for key, row in read_table("anthocard.engine.mix", "methods.yaml")["ices"].items():
        yield f"  - {key}: {row['words'] or 'served without ice'}"


def _glasses() -> Iterator[str]:
    yield "Glasses of the trade; write another size beside the name, “coupe 150 ml”"
    for key, shape in shapes().items():
        yield f"  - {key}: {shape.holds_ml:g} ml"
    yield "Your own stand in house.yaml: anthocard explain glasses.outline"


def _wishes() -> Iterator[str]:
    yield "Wishes: what the engine works a dose out for, after “until”"
    for example, says in (
        ("pH 3.1", "a pH"),
        ("purple", "a colour by its word: blue, violet, rose, deep blue …"),
        ("hue 350", "a colour by its angle, degrees"),
        ("acidity 7 g/l", "as sour as so much citric acid in a litre"),
        ("as blue as can be", "the most of a colour that any dose gives"),
        ("purple with acidity 6-8 g/l", "with a bound: acidity, pH, sugar, or an amount"),
        ("pH 3.1 while sugar at most 80 g/l", "the same, in other words"),
    ):
        yield f"  - until: {example}"
        yield f"      {says}"


LISTS: Final[Mapping[str, Callable[[], Iterator[str]]]] = {
    "units": _units,
    "plants": _plants,
    "methods": _methods,
    "ices": _ices,
    "glasses": _glasses,
    "wishes": _wishes,
}


def law(code: str, day: date) -> Iterator[str]:
    """What holds in a place on a day, by topic and with how we know; the last line: whom to ask.

    A country's parts follow it. Raises KeyError for a place that does not exist.
    """
    within = jurisdiction(code).within
    yield f"Law in {code} on {day}, as far as we know it: to look up and to ask, no advice"
    parts = {one for row in statutes() for one in row.places if one.startswith(f"{code}-")}
    rows = [*law_of(within, day), *law_of(frozenset(parts), day)]
    for topic, some in groupby(sorted(rows, key=lambda row: row.topic), key=lambda row: row.topic):
        yield ""
        yield f"{topic.replace('-', ' ').capitalize()}:"
        for row in some:
            only = sorted(row.places & parts)
            yield f"  - {', '.join(only) + ': ' if only else ''}{row.text}"
            yield f"      from: {row.source} ({row.how}; looked at on {row.checked})"
    yield ""
    yield f"Ask {whom_to_ask(within)}. Your local code and licensed practice come first."


def among(word: str) -> list[str]:
    """What the lists say of one thing that stands in them by a name of its own, as a reader writes
    it: the list, and its line; nothing for any other word.
    """
    wanted = fold(word)
    for title, row, names in _named():
        if wanted in map(fold, names):
            return [title, row]
    return []


def names() -> Iterator[str]:
    """Every name that stands in a list."""
    for _, _, some in _named():
        yield from some


def _named() -> Iterator[tuple[str, str, list[str]]]:
    """Each list, each of its lines, and the names it is about."""
    for give in LISTS.values():
        title, *rows = give()
        for row in rows:
            some, _, about = row.removeprefix("  - ").partition(": ")
            if about:
                yield title, row, some.split(", ")
