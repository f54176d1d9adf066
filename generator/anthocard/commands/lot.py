"""anthocard lot: what was made, as weighed and as read; and whether it passes."""

from __future__ import annotations

import argparse
import json
import sys
from datetime import date
from typing import TYPE_CHECKING, Any

from anthocard.terminal.houses import (
    add_house,
    house_folder,
    not_sound,
    sound_house,
    tell_aside,
    tell_elsewhere,
)
from anthocard.terminal.reading_options import add_readings, ask, given, row_of
from anthocard.terminal.typed import day

if TYPE_CHECKING:
    from pathlib import Path

    from anthocard.diagnostics.diagnostic import Mistake
    from anthocard.house.collection import Collection
    from anthocard.house.lots import Lot
    from anthocard.terminal.output import Text

EXAMPLE = """\
examples:
  anthocard lot                                   every lot and whether it passes
  anthocard lot "blue gin" --start --by Ada --weighed "1.4 g dried butterfly pea flowers" \
--weighed "700 ml gin" --volume "680 ml"
  anthocard lot "blue gin" --ph 6.1
  anthocard lot "blue gin" --absorbance 574=0.27 --absorbance 618=0.23 --diluted 5 --ph 5
  anthocard lot "blue gin" --corrected "0.7 g more for 120 minutes"
  anthocard lot "blue gin" --use                  drinks are worked out from it from now on
  anthocard lot "blue gin" --lot 26330A --discard

A lot is written into lots.yaml of the house. Without readings a command at a terminal asks for
them. Pass means a colour told from the recipe's side by side at most, and a pH within 0.15 of it.
A lot that is not in use changes nothing that guests see. Never taste what was read with a probe in
it, and never pour it back.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("name", metavar="NAME", nargs="?", help="what was made, by name or file")
    add_house(parser)
    parser.add_argument("--start", action="store_true", help="write down a new lot")
    parser.add_argument("--lot", metavar="MARK", help="which lot (the last one made)")
    parser.add_argument("--by", metavar="WHO", help="who made it")
    parser.add_argument(
        "--weighed", metavar="LINE", action="append", default=[],
        help="what went in as it was weighed, such as “1.4 g dried flowers”; may be repeated",
    )  # fmt: skip
    parser.add_argument("--volume", metavar="AMOUNT", help="what there is of it, such as “680 ml”")
    add_readings(parser)
    parser.add_argument("--corrected", metavar="WHAT", help="what was done to put it right")
    parser.add_argument("--use", action="store_true", help="pour this lot from now on")
    parser.add_argument("--discard", action="store_true", help="it was poured away")
    parser.add_argument("--on", metavar="DATE", type=day, help="the day of all this (today)")
    parser.add_argument("--ask", action="store_true", help="ask for readings, as at a terminal")
    parser.add_argument("--json", action="store_true", help="the verdict as JSON, for tools")


def run(options: argparse.Namespace) -> int:
    """Write down what is given, then tell the verdict; 1 where a lot should not be poured."""
    from anthocard.house.lots import LOTS_FILE
    from anthocard.terminal.output import put_changed, read_text

    folder = house_folder(options.house)
    collection, elsewhere = sound_house(folder)
    tell_elsewhere(elsewhere)
    if options.name is None:
        return _tell_all(collection, options)
    name = _made(options.name, collection, elsewhere)
    today = options.on or date.today()
    old = read_text(folder / LOTS_FILE)
    text, mark = _written(options, name, collection, old, today)
    if text != old.text:
        collection = _read_again(folder, text, elsewhere)
        put_changed(old, text, folder)
        tell_aside(f"wrote {folder / LOTS_FILE}")
    lot = next(one for one in collection.lots_of(name) if one.lot == mark)
    return _tell(collection, [lot], options)


def _made(name: str, collection: Collection, elsewhere: Any) -> str:
    """The recipe that a name or a file means. Raises AuthorError."""

    from anthocard.diagnostics.diagnostic import Mistake, Place, did_you_mean
    from anthocard.house.collection import fold

    by_file = collection.recipe(name) if name.endswith(".md") else None
    if by_file is not None:
        name = by_file.name
    for made in collection.made:
        if fold(name) in (fold(made.name), fold(collection.slug(made))):
            return made.name
    names = [made.name for made in collection.made]
    message = f"the house makes nothing called “{name}”"
    raise not_sound(
        Mistake("no-such-recipe", message, Place(name), did_you_mean(name, names)), tuple(elsewhere)
    )


def _written(
    options: argparse.Namespace, name: str, collection: Collection, old: Text, today: date
) -> tuple[str, str]:
    """The text of lots.yaml with all that was given, and the mark of the lot it is about."""
    from anthocard.terminal.lot_rows import started, with_key, with_reading

    text = old.text
    lots = collection.lots_of(name)
    if options.start:
        mark = options.lot or _next_mark(lots, today)
        keys: dict[str, object] = {"of": name, "lot": mark, "made": today}
        if options.by:
            keys["by"] = json.dumps(options.by, ensure_ascii=False)
        if options.volume:
            keys["volume"] = options.volume
        text = started(text, keys, options.weighed)
        line = len(text.rstrip("\n").split("\n"))
    else:
        lot = _chosen(options, name, lots)
        mark, line = lot.lot, collection.at_lot(lot).line
        for key in ("by", "volume"):
            if getattr(options, key):
                text = with_key(text, line, key, getattr(options, key))
        if options.corrected:
            done = json.dumps(options.corrected, ensure_ascii=False)
            text = with_reading(text, line, f"{{corrected: {done}, measured: {today}}}")
        elif not given(options) and _asks(options, lot):
            ask(options, ("ph", "brix", "strength", "colour", "diluted", "path"))
    if given(options):
        text = with_reading(text, line, row_of(options, today))
    if options.use:
        text = with_key(text, line, "in_use", today)
    if options.discard:
        text = with_key(text, line, "discarded", today)
    return text, mark


def _asks(options: argparse.Namespace, lot: Lot) -> bool:
    quiet = options.use or options.discard or options.json or options.by or options.volume
    return not quiet and not lot.current_readings and (options.ask or sys.stdin.isatty())


def _next_mark(lots: tuple[Lot, ...], made: date) -> str:
    from anthocard.engine.trade.records import lot

    taken = {one.lot for one in lots}
    letters = (chr(code) for code in range(ord("A"), ord("Z") + 1))
    return next(mark for mark in (lot(made, letter) for letter in letters) if mark not in taken)


def _chosen(options: argparse.Namespace, name: str, lots: tuple[Lot, ...]) -> Lot:
    """The lot that is meant: the one named, else the last. Raises AuthorError."""
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean

    found = [lot for lot in lots if options.lot in (None, lot.lot)]
    if found:
        return max(reversed(found), key=lambda lot: lot.made)
    if lots:
        mend = did_you_mean(options.lot, [lot.lot for lot in lots])
        raise AuthorError(
            [Mistake("no-such-lot", f"{name} has no lot {options.lot}", Place("--lot"), mend)]
        )
    mend = f"write one down: anthocard lot “{name}” --start"
    raise AuthorError([Mistake("no-such-lot", f"no lot of {name} was made", Place(name), mend)])


def _read_again(folder: Path, text: str, known: tuple[Mistake, ...]) -> Collection:
    """The house with the new text; raises AuthorError where that brings a mistake not `known`."""
    from anthocard.diagnostics.diagnostic import AuthorError
    from anthocard.house.lots import LOTS_FILE

    collection, mistakes = sound_house(folder, {LOTS_FILE: text})
    before = {(one.kind, one.message, one.place.text) for one in known}
    wrong = [one for one in mistakes if (one.kind, one.message, one.place.text) not in before]
    if wrong:
        raise AuthorError(wrong)
    return collection


def _tell_all(collection: Collection, options: argparse.Namespace) -> int:
    if not collection.lots:
        tell_aside("No lot was written down yet: anthocard lot NAME --start")
        return 0
    return _tell(collection, collection.lots, options)


def _tell(collection: Collection, lots: Any, options: argparse.Namespace) -> int:
    """Every verdict; 1 where one of a lot in use, or asked for, is to correct or to discard."""
    from anthocard.diagnostics.plain_letters import json_text
    from anthocard.engine.trade.lot_verdict import verdict
    from anthocard.press.data.lot_json import lot_json
    from anthocard.terminal.lot_words import verdict_lines

    verdicts = [verdict(collection, lot) for lot in lots]
    if options.json:
        print(json_text({"lots": [lot_json(one) for one in verdicts]}))
    else:
        print("\n\n".join("\n".join(verdict_lines(one)) for one in verdicts))
    pouring = (one for one in verdicts if one.lot.discarded is None)
    return int(any(one.call in ("correct", "discard") for one in pouring))
