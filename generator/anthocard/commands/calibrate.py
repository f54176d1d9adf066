"""anthocard calibrate: how to measure, step by step, and the numbers written into the house."""

from __future__ import annotations

import argparse
import json
import sys
from datetime import date
from typing import Final, get_args

from anthocard.terminal.houses import (
    add_house,
    house_folder,
    sound_house,
    tell_aside,
    tell_elsewhere,
)
from anthocard.terminal.output import put_changed, read_text
from anthocard.terminal.photo import add_photo, photographed
from anthocard.terminal.reading_options import NO_MORE, PH, add_readings, answer, ask, given, row_of
from anthocard.terminal.reading_row import added, effect
from anthocard.terminal.typed import day, dilution, figure, whole

EXAMPLE = """\
examples:
  anthocard calibrate
  anthocard calibrate "lemon juice" --ph 2.38
  anthocard calibrate "blue gin" --ph 5.1 --absorbance 574=0.27 --absorbance 618=0.23 --diluted 5
  anthocard calibrate "blue gin" --colour "#3a4ac0" --path 40mm
  anthocard calibrate "blue gin" --ph 5.1 --diluted 5 --photo tube.jpg --at 48,60 --grey 80,62
  anthocard calibrate "HARBOUR LIGHT" --photo bar.jpg --at 40,50 --grey 75,60 --strip 20,90 80,91
  anthocard calibrate "blue gin" --strained 97.5
  anthocard calibrate dash --weigh 15.2 --count 20 --density 0.95
  anthocard calibrate "HARBOUR LIGHT" --when after --ph 2.95

Without a name it only explains. With one it writes a dated row at the end of house.yaml. The last
reading of a day counts, and a later day replaces an earlier one; what is far from the reading
before it, or from what is worked out, is told and asked for again.
"""

PROTOCOL = """\
pH of a juice, a solution or a drink
  1. Calibrate the meter that day in two buffers, pH 4 and 7; the slope should be 92 to 102 %
     (common practice, no source).
  2. Pour 20 ml off into a clean glass of its own. Never put a probe into a guest's glass, and
     never pour the aliquot back: it is waste.
  3. Let it come to room temperature and lose its bubbles. Stir, dip, wait until it stands still.
  4. Rinse. Read a second aliquot. If they differ by more than 0.05, calibrate again.
  anthocard calibrate NAME --ph READING

Colour of an infusion
  1. Dilute it exactly, such as 10 ml made up to 50 ml (diluted 5), best in two or three buffers
     of known pH: two readings at different pH also tell how its pigment turns.
  2. With a photometer: a 10 mm cuvette, water as blank, absorbance at two wavelengths or more.
     Without: a straight 40 mm tube beside a white card in daylight, photographed; make the card
     white, then take the colour of the tube's middle. Or lay a grey card beside it and name
     the picture: --photo, with both places in percent of its width and height.
  anthocard calibrate NAME --ph PH --diluted TIMES --absorbance NM=READING …
  anthocard calibrate NAME --ph PH --diluted TIMES --colour "#rrggbb" --path 40mm
  anthocard calibrate NAME --ph PH --diluted TIMES --photo FILE --at X,Y --grey X,Y

Colour of a drink in its glass
  Photograph it from the side before a white wall or paper, a grey card and its bar card beside it
  in the same light, without flash. The printed strip tells how far off the colours are.
  anthocard calibrate NAME --when before|after --photo FILE --at X,Y --grey X,Y --strip X,Y X,Y

What comes through the strainer
  Weigh what was poured on and what came through, without pressing: share in percent.
  anthocard calibrate NAME --strained 97.5

A dash, a drop, a spoon
  Count twenty into a tared glass, weigh them, divide by the density.
  anthocard calibrate dash --weigh GRAMS --count 20 --density G_PER_ML

Dilution of a method
  Weigh the drink before the ice and after straining, three times. Grams gained are millilitres of
  water; say what you hold them against: the volume before the ice, or that of the finished drink.
  anthocard calibrate stirred --dilution "44 % of the start" --dilution "31 % of the end" …

Strong acids: eye protection. What was measured is never served.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("name", metavar="NAME", nargs="?", help="what was measured")
    add_house(parser)
    add_readings(parser)
    add_photo(parser)
    parser.add_argument("--when", choices=["before", "after"], help="of a drink: the reveal")
    parser.add_argument(
        "--weigh", metavar="GRAMS", type=figure(0.001, 10_000), help="of all dashes together"
    )
    parser.add_argument(
        "--count", metavar="N", type=whole(1, 1000), default=20, help="how many (20)"
    )
    parser.add_argument(
        "--density", metavar="G_PER_ML", type=figure(0.6, 2.2), default=1.0,
        help="of what was weighed (1.0)",
    )  # fmt: skip
    parser.add_argument(
        "--dilution", metavar="SHARE", type=dilution, action="append", default=[],
        help="ice water of a method, such as “44 %% of the start”; once for each weighing",
    )  # fmt: skip
    parser.add_argument("--on", metavar="DATE", type=day, help="the day it was measured (today)")
    parser.add_argument(
        "--ask", action="store_true",
        help="ask for readings, and again where one is doubtful, as is done at a terminal",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Explain, or write readings into house.yaml once the house was read with them.

    A doubtful reading is kept, told, and asked for again: the last one counts.
    """
    if options.name is None:
        print(PROTOCOL)
        return 0
    if options.photo is not None:
        photographed(
            options, sound_house(house_folder(options.house))[0] if options.strip else None
        )
    asks = options.ask or sys.stdin.isatty()
    if asks:
        _ask(options)
    today = options.on or date.today()
    file = house_folder(options.house) / "house.yaml"
    old = read_text(file)
    text = old.text
    section, row = _row(options, today)
    rows = [row]
    new = added(text, section, row, today)
    lines, warnings, elsewhere = effect(file.parent, options.name, text, new)
    while warnings and asks and section == "calibrations":
        print("\n".join(str(one) for one in warnings))
        if not _ask_again(options):
            break
        _, row = _row(options, today)
        newer = added(new, section, row, today)
        lines, warnings, elsewhere = effect(file.parent, options.name, new, newer)
        rows, new = [*rows, row], newer
    put_changed(old, new, file.parent)
    for row in rows:
        print(f"{file}: {section}: {row}")
    print("\n".join(lines))
    tell_aside(*map(str, warnings))
    tell_elsewhere(elsewhere)
    return 0


def _ask(options: argparse.Namespace) -> None:
    """Ask for the readings that fit the thing and were not given."""
    if given(options) or options.weigh is not None or options.dilution:
        return
    sort = _sort(options)
    if sort in _WEIGHED:
        _ask_weighed(options, sort)
        return
    print(PROTOCOL)
    if sort == "drink" and options.when is None:
        typed = answer("before or after the reveal (before): ", _moment)
        options.when = typed if isinstance(typed, str) else None
    ask(options, _FITTING[sort])


#: What is asked of each sort of thing: a dash is weighed, a drink is read by a meter alone.
_FITTING: Final = {
    "drink": ("ph",),
    "infusion": ("ph", "colour", "diluted", "path", "strained"),
    "solution": ("ph", "brix"),
    "syrup": ("ph", "brix"),
    "preparation": ("ph", "colour", "diluted", "path", "brix"),
    "stock": ("ph", "brix"),
}
_WEIGHED: Final = {
    "measure": "grams of all of them together (twenty, or --count): ",
    "method": "ice water, such as “44 % of the start” or “31 % of the end”: ",
}


def _ask_weighed(options: argparse.Namespace, sort: str) -> None:
    """What a scale says of a dash, a drop, a spoon or a method."""
    typed = answer(_WEIGHED[sort], figure(0.001, 10_000) if sort == "measure" else dilution)
    if not isinstance(typed, float):
        return
    if sort == "measure":
        options.weigh = typed
    else:
        options.dilution = [typed]


def _moment(text: str) -> str:
    if text.casefold() not in ("before", "after"):
        raise argparse.ArgumentTypeError(f"“{text}” is neither “before” nor “after”")
    return text.casefold()


def _sort(options: argparse.Namespace) -> str:
    """What sort of thing was measured: measure, method, drink, infusion …; stock is bought."""
    from anthocard.house.ice import Method
    from anthocard.house.settings import OWN_MEASURES

    if options.name.casefold() in OWN_MEASURES:
        return "measure"
    if options.name.casefold() in get_args(Method):
        return "method"
    collection, _ = sound_house(house_folder(options.house))
    recipe = collection.recipe(options.name)
    if recipe is None:
        return "stock"
    options.name = recipe.name  # where its file was named
    return recipe.kind


def _ask_again(options: argparse.Namespace) -> bool:
    """Ask for what was read once more; False where nothing was typed."""
    value: object
    if options.absorbance:
        typed = answer("absorbances of a second dilution, NM=READING … (empty to leave it): ", str)
        key, value = "absorbance", typed.split() if isinstance(typed, str) else None
    elif options.colour is not None:
        key, value = "colour", answer("colour of a second dilution (empty to leave it): ", str)
    elif options.ph is not None:
        key, value = "ph", answer("pH of a second aliquot (empty to leave it): ", PH)
    else:
        return False
    if value is None or value is NO_MORE:
        return False
    setattr(options, key, value)
    options.strained = None  # it was written with the first reading
    return True


def _row(options: argparse.Namespace, on: date) -> tuple[str, str]:
    """The section of house.yaml and the row to add, as YAML."""
    if options.weigh is not None:
        ml = options.weigh / options.count / options.density
        return "measures", f"{options.name}: {{ml: {ml:.3g}, measured: {on}}}"
    if options.dilution:
        read = f"dilution: {sum(options.dilution) / len(options.dilution):.3g} % of the start"
        many = f", weighings: {len(options.dilution)}" if len(options.dilution) > 1 else ""
        return "methods", f"{options.name}: {{{read}{many}, measured: {on}}}"
    of = json.dumps(options.name, ensure_ascii=False)
    return "calibrations", f"- {row_of(options, on, of=of, when=options.when)}"
