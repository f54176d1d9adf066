"""Drinks written as another, “as Set Fair, but …”: what they inherit, and what they change.

Belongs here: writing such a drink out in full, each change at the author's own place. Does not
belong here: the types of the keys (model.py), any check of the drink that comes of it.

    based_on: Set Fair                   everything of it but its name, story and picture
    instead: {saffron gin: aged rum}     the same amount of another thing
    without: [lemon juice]
    also: [10 ml verjus]                 further pours; any other key written goes before its own
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final

from anthocard.diagnostics.diagnostic import MistakeLog, did_you_mean
from anthocard.diagnostics.yaml_reader import Document, Location, Spot
from anthocard.facts.units.shares import TOP, parse_line
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house.collection import fold
from anthocard.house.files import MarkdownFile
from anthocard.house.wish import split_until

BASED_ON: Final = "based_on"
CHANGES: Final = ("instead", "without", "also")
#: What a variation does not take over: these are the parent's own.
_OWN: Final = frozenset({"name", "translations", "picture", "price", "taste", BASED_ON, *CHANGES})
_KEY: Final = re.compile(r"^(name|based_on):[ \t]*[\"']?(.*?)[\"']?[ \t]*$", re.MULTILINE)


def parents_first(sources: Sequence[MarkdownFile]) -> tuple[MarkdownFile, ...]:
    """The files with every variation after what it is based on; otherwise in their order."""
    names = [dict(_KEY.findall(source.front)) for source in sources]
    waiting = {n: fold(one[BASED_ON]) for n, one in enumerate(names) if one.get(BASED_ON)}
    order = [n for n in range(len(sources)) if n not in waiting]
    while waiting:
        unread = {fold(names[n].get("name", "")) for n in waiting}
        ready = [n for n, parent in waiting.items() if parent not in unread] or [*waiting]
        order += ready
        waiting = {n: parent for n, parent in waiting.items() if n not in ready}
    return tuple(sources[n] for n in order)


def varied(
    document: Document, parent: Document | None, known: Sequence[str], log: MistakeLog
) -> Document | None:
    """The document of a variation with all that it inherits; itself where it is none.

    `parent` is what it is based on, None where there is no such drink: a mistake, as is a change of
    what the parent does not hold. None where nothing can be made of it.
    """
    data = document.data
    if BASED_ON not in data:
        for key in CHANGES:
            if key in data:
                message = f"“{key}” changes another drink, and nothing says which"
                mend = "add a line “based_on: …” with the drink it is like"
                log.add("no-parent", message, document.at((key,), key=True), mend)
        return None if any(key in data for key in CHANGES) else document
    name = data[BASED_ON]
    if parent is None or not isinstance(parent.data, dict):
        mend = did_you_mean(str(name), known)
        log.add("unknown-drink", f"no drink is called “{name}”", document.at((BASED_ON,)), mend)
        return None
    inherited = {key: value for key, value in parent.data.items() if key not in _OWN}
    whole = {**inherited, **data}
    if "reveals" in data:
        whole.pop("reveal", None) if "reveal" not in data else None
    elif "reveal" in data:
        whole.pop("reveals", None)
    spots = dict(document.values)
    if "pours" not in data:
        whole["pours"] = tuple(_pours(document, parent, spots, log))
    return replace(document, data=whole, values=spots)


def _pours(
    document: Document, parent: Document, spots: dict[Location, Spot], log: MistakeLog
) -> Iterator[object]:
    """The parent's pours with the changes made; the places of changed ones go into `spots`."""
    data = document.data
    instead = data.get("instead") if isinstance(data.get("instead"), dict) else {}
    without = _names(data.get("without"))
    pours = parent.data.get("pours")
    lines = pours if isinstance(pours, tuple) else ()
    names = [name_in(line) or "" for line in lines]
    for key, wanted in (("instead", tuple(instead)), ("without", without)):
        for n, name in enumerate(wanted):
            if fold(name) not in map(fold, names):
                loc = (key, name) if key == "instead" else (key, n)
                message = f"nothing called “{name}” is poured in {data[BASED_ON]}"
                place = document.at(loc, key=key == "instead")
                log.add("not-in-parent", message, place, did_you_mean(str(name), names))
    gone = {fold(name) for name in without}
    changed = {fold(old): (old, new) for old, new in instead.items()}
    count = 0
    for line, name in zip(lines, names, strict=True):
        if fold(name) in gone:
            continue
        if fold(name) in changed:
            old, new = changed[fold(name)]
            spots["pours", count] = document.values.get(("instead", old), Spot(0, 0, 1))
            line = renamed(line, str(new))
        yield line
        count += 1
    also = data.get("also")
    for n, line in enumerate(also if isinstance(also, tuple) else ()):
        spots["pours", count] = document.values.get(("also", n), Spot(0, 0, 1))
        yield line
        count += 1


def name_in(line: object) -> str | None:
    """The name of what a line of pours is of; None for one that cannot be read."""
    if isinstance(line, dict):
        name = line.get("of")
        return name if isinstance(name, str) else None
    if isinstance(line, str):
        wished = split_until(line)
        if wished is not None:
            return wished[0]
        with suppress(MeasureError):
            return parse_line(line).name
    return None


def renamed(line: object, name: str) -> object:
    """The same amount of another thing."""
    if isinstance(line, dict):
        return {**line, "of": name}
    assert isinstance(line, str)
    wished = split_until(line)
    if wished is not None:
        return f"{name} until {wished[1]}"
    line_read = parse_line(line)
    if line_read.amount.unit == TOP:
        return f"top up with {name}"
    return {"amount": line_read.amount.text, "of": name, "lies": line_read.lies}


def _names(value: Any) -> tuple[str, ...]:
    if isinstance(value, str):
        return (value,)
    return tuple(one for one in value if isinstance(one, str)) if isinstance(value, tuple) else ()
