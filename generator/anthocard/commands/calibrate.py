"""anthocard calibrate: how to measure, step by step, and the numbers written into the house."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from datetime import date
from typing import Any, Final

from anthocard.facts.units.quantities import parse_dilution
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.terminal.houses import add_house, house_folder, tell_aside, tell_elsewhere
from anthocard.terminal.output import put_changed, read_text
from anthocard.terminal.reading_row import added, effect
from anthocard.terminal.typed import day, figure, whole

EXAMPLE = """\
examples:
  anthocard calibrate
  anthocard calibrate "lemon juice" --ph 2.38
  anthocard calibrate "blue gin" --ph 5.1 --absorbance 574=0.27 --absorbance 618=0.23 --diluted 5
  anthocard calibrate "blue gin" --colour "#3a4ac0" --path 40mm
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
     white, then take the colour of the tube's middle.
  anthocard calibrate NAME --ph PH --diluted TIMES --absorbance NM=READING …
  anthocard calibrate NAME --ph PH --diluted TIMES --colour "#rrggbb" --path 40mm

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
_NO_MORE: Final = object()
_PH: Final = figure(0.5, 12.0)
_DILUTED: Final = figure(1.0, 1000.0)
_SHARE: Final = figure(0.0, 100.0)
_QUESTIONS: Final[tuple[tuple[str, str, Callable[[str], object]], ...]] = (
    ("ph", "pH of the aliquot", _PH),
    ("diluted", "diluted 1 in how many", _DILUTED),
    ("colour", "colour beside a white card, #rrggbb", str),
    ("path", "width of the tube, such as 40mm", str),
    ("strained", "what came through the strainer, %", _SHARE),
)


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("name", metavar="NAME", nargs="?", help="what was measured")
    add_house(parser)
    parser.add_argument("--ph", metavar="PH", type=_PH, help="what the meter read")
    parser.add_argument("--colour", metavar="HEX", help="#rrggbb beside a white card")
    parser.add_argument("--lab", metavar="N", type=figure(-130, 130), nargs=3, help="CIELAB, D65")
    parser.add_argument(
        "--absorbance", metavar="NM=READING", action="append", default=[], help="may be repeated"
    )
    parser.add_argument("--path", metavar="LENGTH", help="of the cuvette or tube, such as 10mm")
    parser.add_argument("--diluted", metavar="TIMES", type=_DILUTED, help="1 in so many")
    parser.add_argument("--strained", metavar="PERCENT", type=_SHARE, help="what came through")
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
        "--dilution", metavar="SHARE", type=_dilution, action="append", default=[],
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
    told, doubts, elsewhere = effect(file.parent, options.name, text, new)
    while doubts and asks and section == "calibrations":
        print("\n".join(str(one) for one in doubts))
        if not _ask_again(options):
            break
        _, row = _row(options, today)
        newer = added(new, section, row, today)
        told, doubts, elsewhere = effect(file.parent, options.name, new, newer)
        rows, new = [*rows, row], newer
    put_changed(old, new, file.parent)
    for row in rows:
        print(f"{file}: {section}: {row}")
    print("\n".join(told))
    tell_aside(*map(str, doubts))
    tell_elsewhere(elsewhere)
    return 0


def _dilution(text: str) -> float:
    """A share of the start or the end, in % of the start, as argparse wants it read."""
    try:
        return parse_dilution(text)
    except MeasureError as error:
        raise argparse.ArgumentTypeError(f"{error.message}; {error.mend}") from None


def _ask(options: argparse.Namespace) -> None:
    """Ask for the readings that were not given; an empty line skips one, Ctrl-D all the rest."""
    given = (options.ph, options.colour, options.lab, options.strained, options.weigh)
    if options.absorbance or options.dilution or any(one is not None for one in given):
        return
    print(PROTOCOL)
    for key, question, reader in _QUESTIONS:
        answer = _answer(f"{question} (empty to skip): ", reader)
        if answer is _NO_MORE:
            return
        if answer is not None:
            setattr(options, key, answer)


def _ask_again(options: argparse.Namespace) -> bool:
    """Ask for what was read once more; False where nothing was typed."""
    value: object
    if options.absorbance:
        typed = _answer("absorbances of a second dilution, NM=READING … (empty to leave it): ", str)
        key, value = "absorbance", typed.split() if isinstance(typed, str) else None
    elif options.colour is not None:
        key, value = "colour", _answer("colour of a second dilution (empty to leave it): ", str)
    elif options.ph is not None:
        key, value = "ph", _answer("pH of a second aliquot (empty to leave it): ", _PH)
    else:
        return False
    if value is None or value is _NO_MORE:
        return False
    setattr(options, key, value)
    options.strained = None  # it was written with the first reading
    return True


def _answer(question: str, reader: Callable[[str], object]) -> object:
    """What is typed, read; None for an empty line or nonsense, _NO_MORE at the end of input."""
    try:
        typed = input(question).strip()
    except EOFError:
        print()
        return _NO_MORE
    if not typed:
        return None
    try:
        return reader(typed)
    except argparse.ArgumentTypeError as error:
        print(f"{error}; it was skipped")
        return None


def _row(options: argparse.Namespace, on: date) -> tuple[str, str]:
    """The section of house.yaml and the row to add, as YAML."""
    if options.weigh is not None:
        ml = options.weigh / options.count / options.density
        return "measures", f"{options.name}: {{ml: {ml:.3g}, measured: {on}}}"
    if options.dilution:
        told = f"dilution: {sum(options.dilution) / len(options.dilution):.3g} % of the start"
        many = f", weighings: {len(options.dilution)}" if len(options.dilution) > 1 else ""
        return "methods", f"{options.name}: {{{told}{many}, measured: {on}}}"
    absorbances = ", ".join(pair.replace("=", ": ") for pair in options.absorbance)
    parts: dict[str, Any] = {
        "of": json.dumps(options.name, ensure_ascii=False),
        "when": options.when,
        "ph": options.ph,
        "diluted": options.diluted,
        "path": options.path,
        "colour": None if options.colour is None else json.dumps(options.colour),
        "lab": options.lab,
        "absorbances": f"{{{absorbances}}}" if absorbances else None,
        "strained": None if options.strained is None else f"{options.strained:g} %",
        "measured": on,
    }
    told = ", ".join(f"{key}: {value}" for key, value in parts.items() if value is not None)
    return "calibrations", f"- {{{told}}}"
