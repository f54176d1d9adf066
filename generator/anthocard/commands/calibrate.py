"""anthocard calibrate: how to measure, step by step, and the numbers written into the house."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from anthocard.commands.houses import add_house, house_folder

EXAMPLE = """\
examples:
  anthocard calibrate
  anthocard calibrate "lemon juice" --ph 2.38
  anthocard calibrate "blue gin" --ph 5.1 --absorbance 574=0.27 --absorbance 618=0.23 --diluted 5
  anthocard calibrate "blue gin" --colour "#3a4ac0" --path 40mm
  anthocard calibrate "blue gin" --strained 97.5
  anthocard calibrate dash --weigh 15.2 --count 20 --density 0.95
  anthocard calibrate "HARBOUR LIGHT" --when after --ph 2.95

Without a name it only explains. With one it writes a dated row at the end of house.yaml.
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
  Weigh the drink before the ice and after straining, three times: water added over what was there.
  anthocard calibrate stirred --dilution 26

Strong acids: eye protection. What was measured is never served.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("name", metavar="NAME", nargs="?", help="what was measured")
    add_house(parser)
    parser.add_argument("--ph", metavar="PH", type=float, help="what the meter read")
    parser.add_argument("--colour", metavar="HEX", help="#rrggbb beside a white card")
    parser.add_argument("--lab", metavar="N", type=float, nargs=3, help="CIELAB, D65")
    parser.add_argument(
        "--absorbance", metavar="NM=READING", action="append", default=[], help="may be repeated"
    )
    parser.add_argument("--path", metavar="LENGTH", help="of the cuvette or tube, such as 10mm")
    parser.add_argument("--diluted", metavar="TIMES", type=float, help="1 in so many")
    parser.add_argument("--strained", metavar="PERCENT", type=float, help="what came through")
    parser.add_argument("--when", choices=["before", "after"], help="of a drink: the reveal")
    parser.add_argument("--weigh", metavar="GRAMS", type=float, help="of all dashes together")
    parser.add_argument("--count", metavar="N", type=int, default=20, help="how many (20)")
    parser.add_argument(
        "--density", metavar="G_PER_ML", type=float, default=1.0, help="of what was weighed (1.0)"
    )
    parser.add_argument("--dilution", metavar="PERCENT", type=float, help="of a method")
    parser.add_argument("--on", metavar="DATE", help="the day it was measured (today)")


def run(options: argparse.Namespace) -> int:
    """Explain, or write one reading into house.yaml and read the house again."""
    from datetime import date

    if options.name is None:
        print(PROTOCOL)
        return 0
    _ask(options)
    day = options.on or date.today().isoformat()
    file = house_folder(options.house) / "house.yaml"
    before = file.read_text(encoding="utf-8")
    section, row = _row(options, day)
    file.write_text(_added(before, section, row, day), encoding="utf-8")
    try:
        told = _effect(file.parent, options.name)
    except BaseException:
        file.write_text(before, encoding="utf-8")
        raise
    print(f"{file}: {section}: {row}")
    print("\n".join(told))
    return 0


def _ask(options: argparse.Namespace) -> None:
    """At a terminal, ask for the readings that were not given; an empty line skips one."""
    given = (options.ph, options.colour, options.lab, options.strained, options.weigh)
    if options.absorbance or options.dilution or any(one is not None for one in given):
        return
    if not sys.stdin.isatty():
        return
    print(PROTOCOL)
    questions = (
        ("ph", "pH of the aliquot", float),
        ("diluted", "diluted 1 in how many", float),
        ("colour", "colour beside a white card, #rrggbb", str),
        ("path", "width of the tube, such as 40mm", str),
        ("strained", "what came through the strainer, %", float),
    )
    for key, question, kind in questions:
        answer = input(f"{question} (empty to skip): ").strip().removesuffix("%")
        if answer:
            try:
                setattr(options, key, kind(answer))
            except ValueError:
                print("that is no number, so it was skipped")


def _row(options: argparse.Namespace, day: str) -> tuple[str, str]:
    """The section of house.yaml and the row to add, as YAML."""
    if options.weigh is not None:
        ml = options.weigh / options.count / options.density
        return "measures", f"{options.name}: {{ml: {ml:.3g}, measured: {day}}}"
    if options.dilution is not None:
        return "methods", f"{options.name}: {{dilution: {options.dilution:g} %, measured: {day}}}"
    absorbances = ", ".join(pair.replace("=", ": ") for pair in options.absorbance)
    parts: dict[str, Any] = {
        "of": f'"{options.name}"',
        "when": options.when,
        "ph": options.ph,
        "diluted": options.diluted,
        "path": options.path,
        "colour": None if options.colour is None else f'"{options.colour}"',
        "lab": options.lab,
        "absorbances": f"{{{absorbances}}}" if absorbances else None,
        "strained": None if options.strained is None else f"{options.strained:g} %",
        "measured": day,
    }
    told = ", ".join(f"{key}: {value}" for key, value in parts.items() if value is not None)
    return "calibrations", f"- {{{told}}}"


def _added(text: str, section: str, row: str, day: str) -> str:
    """The file with a row at the end of a section, which is made if it is not there."""
    lines = text.rstrip("\n").split("\n")
    new = [f"  # written by anthocard calibrate, {day}", f"  {row}"]
    heads = [n for n, line in enumerate(lines) if line.split("#")[0].strip() == f"{section}:"]
    if not heads:
        return "\n".join([*lines, "", f"{section}:", *new]) + "\n"
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


def _effect(folder: Path, name: str) -> list[str]:
    """What the reading changed, once the whole house is read and worked out with it."""
    from anthocard.engine.compute import compute
    from anthocard.house.collection import fold
    from anthocard.house.reader import read_house
    from anthocard.press.words.confidence import calibrations

    book = read_house(folder)
    computed, _ = compute(book)
    told = [
        f"  {row.label}: {row.before}, {row.after}"
        for one in computed.values()
        if fold(one.name) == fold(name)
        for row in calibrations(one)
    ]
    return told or ["  heeded from now on, and ± narrowed"]
