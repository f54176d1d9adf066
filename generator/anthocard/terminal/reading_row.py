"""A reading on its way into house.yaml: where its line goes, and what the house makes of it.

Belongs here: the text of house.yaml with one row more, and reading the house with it before a byte
is written. Does not belong here: asking for readings (calibrate.py), what they change (the engine).
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, MistakeLog, Place
from anthocard.terminal.houses import sound_house

if TYPE_CHECKING:
    from anthocard.house.collection import Collection


def added(text: str, section: str, row: str, day: date) -> str:
    """The text of house.yaml with a row at the end of a section, which is made if it is not there.

    A measure or a method has one row: the new one stands in the place of the old. Raises
    AuthorError where the section is written on one line, which nothing can be added to.
    """
    lines = text.rstrip("\n").split("\n")
    new = [f"  # written by anthocard calibrate, {day}", f"  {row}"]
    heads = [n for n, line in enumerate(lines) if line.startswith(f"{section}:")]
    if not heads:
        return "\n".join([*lines, "", f"{section}:", *new]) + "\n"
    head = lines[heads[0]]
    if head.split("#")[0].strip() != f"{section}:":
        raise AuthorError([_on_one_line(section, heads[0], head)])
    end = heads[0] + 1
    while end < len(lines) and (lines[end].startswith((" ", "-")) or not lines[end].strip()):
        end += 1
    while not lines[end - 1].strip():
        end -= 1
    name = row.split(":", 1)[0]
    kept = [
        line
        for n, line in enumerate(lines)
        if section == "calibrations"
        or not (heads[0] < n < end and line.strip().startswith(f"{name}:"))
    ]
    end -= len(lines) - len(kept)
    return "\n".join([*kept[:end], *new, *kept[end:]]) + "\n"


def effect(
    folder: Path, name: str, old: str, new: str
) -> tuple[list[str], tuple[Mistake, ...], tuple[Mistake, ...]]:
    """What a reading changes, what is doubtful about it, and the mistakes elsewhere in the house.

    `old` and `new` are house.yaml without it and with it. Raises AuthorError where the reading
    itself cannot be true or be read; mistakes of other files are none of its business.
    """
    collection, elsewhere = sound_house(folder, {"house.yaml": new})
    before, known = sound_house(folder, {"house.yaml": old})
    seen = {(one.kind, one.message, one.place.text) for one in known}
    wrong = [one for one in elsewhere if (one.kind, one.message, one.place.text) not in seen]
    wrong += _backdated(before, collection, folder)
    if wrong:
        raise AuthorError(wrong)
    lines, warnings = _worked_out(collection, name)
    return lines, warnings, elsewhere


def _worked_out(collection: Collection, name: str) -> tuple[list[str], tuple[Mistake, ...]]:
    from anthocard.engine.compute import compute_one
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.engine.trust.reading_checks import check_readings_of
    from anthocard.house.collection import fold
    from anthocard.press.base.languages import ENGLISH, language
    from anthocard.press.words.confidence import calibrations

    log = MistakeLog()
    shelf = Shelf(collection, log)
    recipe = next((one for one in collection.recipes if fold(one.name) == fold(name)), None)
    lines: list[str] = []
    if recipe is not None:
        computed = compute_one(recipe, collection, shelf, log)
        rows = calibrations(computed, language(ENGLISH))
        lines = [f"  {row.label}: {row.before}, {row.after}" for row in rows]
    check_readings_of(name, collection, shelf, log)
    log.raise_if_errors()
    warnings = tuple(one for one in log if one.kind in WARNED)
    if any(one.kind == "backdated-reading" for one in warnings):
        return ["  kept, and not heeded: a later reading stands"], warnings
    return lines or ["  heeded from now on, and ± narrowed"], warnings


#: What an author is asked to read again, or told of a reading.
WARNED = ("backdated-reading", "readings-at-odds", "far-reading", "far-from-measured")


def _backdated(before: Collection, after: Collection, folder: Path) -> list[Mistake]:
    """Measures and methods that were measured later than what would replace them."""
    old, new = before.house, after.house
    rows = [*_days(old.measures, new.measures), *_days(old.methods, new.methods)]
    return [
        Mistake(
            "backdated-reading",
            f"the {name} was measured again on {stands}, after {day}",
            Place(f"{folder.name}/house.yaml"),
            "leave the later one, or take it away first",
        )
        for name, stands, day in rows
        if stands > day
    ]


def _days(old: object, new: object) -> list[tuple[str, date, date]]:
    assert isinstance(old, dict)
    assert isinstance(new, dict)
    both = [name for name in new if name in old and old[name].measured and new[name].measured]
    return [(name, old[name].measured, new[name].measured) for name in both]


def _on_one_line(section: str, number: int, line: str) -> Mistake:
    return Mistake(
        "one-line",
        f"{section} stands on one line, and a row is added below it",
        Place("house.yaml", number + 1, 1, len(line), line),
        "write one row a line below it, each starting with two blanks",
    )
