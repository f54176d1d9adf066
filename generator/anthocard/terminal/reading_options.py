"""Readings as they are given to a command: the options, and what they come to in a file of a house.

Belongs here: what `calibrate` and `lot` ask of an instrument alike. Does not belong here: where a
row goes (reading_row.py, lot_rows.py), what it changes (the engine).
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from datetime import date
from typing import Any, Final

from anthocard.terminal.typed import figure

PH: Final = figure(0.5, 12.0)
DILUTED: Final = figure(1.0, 1000.0)
SHARE: Final = figure(0.0, 100.0)
BRIX: Final = figure(0.0, 90.0)
NO_MORE: Final = object()

#: Key, what is asked at a terminal, and how the answer is read.
Question = tuple[str, str, Callable[[str], object]]
QUESTIONS: Final[dict[str, Question]] = {
    "ph": ("ph", "pH of the aliquot", PH),
    "brix": ("brix", "refractometer, °Bx", BRIX),
    "strength": ("strength", "strength after distilling, % vol", SHARE),
    "diluted": ("diluted", "diluted 1 in how many (for the colour)", DILUTED),
    "colour": ("colour", "colour beside a white card, #rrggbb", str),
    "path": ("path", "width of the tube, such as 40mm", str),
    "strained": ("strained", "what came through the strainer, %", SHARE),
}


def add_readings(parser: argparse.ArgumentParser) -> None:
    """One option an instrument."""
    parser.add_argument("--ph", metavar="PH", type=PH, help="what the meter read")
    parser.add_argument("--colour", metavar="HEX", help="#rrggbb beside a white card")
    parser.add_argument("--lab", metavar="N", type=figure(-130, 130), nargs=3, help="CIELAB, D65")
    parser.add_argument(
        "--absorbance", metavar="NM=READING", action="append", default=[], help="may be repeated"
    )
    parser.add_argument("--path", metavar="LENGTH", help="of the cuvette or tube, such as 10mm")
    parser.add_argument("--diluted", metavar="TIMES", type=DILUTED, help="1 in so many")
    parser.add_argument("--strained", metavar="PERCENT", type=SHARE, help="what came through")
    parser.add_argument("--strength", metavar="PERCENT", type=SHARE, help="%% vol")
    parser.add_argument("--brix", metavar="DEGREES", type=BRIX, help="refractometer, no alcohol")


def given(options: argparse.Namespace) -> bool:
    """Whether any reading was given by option."""
    rows = (
        getattr(options, key) for key in ("ph", "colour", "lab", "strained", "strength", "brix")
    )
    return bool(options.absorbance) or any(one is not None for one in rows)


def row_of(options: argparse.Namespace, on: date, **more: object) -> str:
    """The readings as one row of YAML, in braces; `more` are keys that stand before them."""
    absorbances = ", ".join(pair.replace("=", ": ") for pair in options.absorbance)
    parts: dict[str, Any] = {
        **more,
        "ph": options.ph,
        "brix": options.brix,
        "strength": None if options.strength is None else f"{options.strength:g} %",
        "diluted": options.diluted,
        "path": options.path,
        "colour": None if options.colour is None else json.dumps(options.colour),
        "lab": options.lab,
        "within": getattr(options, "within", None),
        "absorbances": f"{{{absorbances}}}" if absorbances else None,
        "strained": None if options.strained is None else f"{options.strained:g} %",
        "measured": on,
    }
    values = ", ".join(f"{key}: {value}" for key, value in parts.items() if value is not None)
    return f"{{{values}}}"


def ask(options: argparse.Namespace, keys: tuple[str, ...]) -> None:
    """Ask for readings at a terminal; an empty line skips one, Ctrl-D leaves out all the rest.

    What was given by option is not asked, and what was typed before Ctrl-D is kept.
    """
    for key in keys:
        name, question, reader = QUESTIONS[key]
        if getattr(options, name, None) is not None:
            continue
        if key in ("diluted", "path") and not _sees(options, keys, key):
            continue
        typed = answer(f"{question} (empty to skip): ", reader)
        if typed is NO_MORE:
            return
        if typed is not None:
            setattr(options, name, typed)


def _sees(options: argparse.Namespace, keys: tuple[str, ...], key: str) -> bool:
    """Whether a dilution or a path belongs to any colour that was read."""
    return key == "diluted" or options.colour is not None or bool(options.absorbance)


def answer(question: str, reader: Callable[[str], object]) -> object:
    """What is typed, read; None for an empty line, NO_MORE at the end of input.

    What cannot be read is told and asked again.
    """
    while True:
        try:
            typed = input(question).strip()
        except EOFError:
            print()
            return NO_MORE
        if not typed:
            return None
        try:
            return reader(typed)
        except argparse.ArgumentTypeError as error:
            print(f"{error}; type it again, or nothing to skip it")
