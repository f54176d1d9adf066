"""A photograph as it is given to `calibrate`: where things lie in it, and the reading it comes to.

Belongs here: the options, the file, and its mistakes. Does not belong here: what a patch tells
(facts.colour.grey_card.py), where the row goes (reading_row.py), what it changes (the engine).
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean
from anthocard.terminal.typed import figure

if TYPE_CHECKING:
    from anthocard.facts.chemistry.liquid import Floats
    from anthocard.facts.colour.grey_card import Spot
    from anthocard.house.collection import Collection

_PERCENT = figure(0.0, 100.0)


def add_photo(parser: argparse.ArgumentParser) -> None:
    """The photograph, and where in it to look."""
    parser.add_argument("--photo", metavar="FILE", help="a photograph with a grey card in it")
    parser.add_argument(
        "--at", metavar="X,Y", type=_spot, help="the liquid in it, %% from the left and the top"
    )
    parser.add_argument("--grey", metavar="X,Y", type=_spot, help="the grey card in it")
    parser.add_argument(
        "--reflects", metavar="PERCENT", type=figure(5.0, 100.0), help="what the card does (18)"
    )
    parser.add_argument(
        "--strip", metavar="X,Y", type=_spot, nargs=2,
        help="the strip of a bar card in it: its first and its last dose",
    )  # fmt: skip
    parser.add_argument("--strip-of", metavar="DRINK", help="whose card that is (NAME's)")


def photographed(options: argparse.Namespace, collection: Collection | None) -> None:
    """Put the colour that a photograph tells, and how far off it may be, in place of a typed one.

    Raises AuthorError; `collection` is looked into for a strip alone.
    """
    from anthocard.engine.mix.fitting import colour_sd
    from anthocard.facts.colour.grey_card import PhotographError, read_patch, strip_sd
    from anthocard.guard.limits import most_of
    from anthocard.guard.reading import bounded
    from anthocard.press.draw.photograph import dots

    path = options.photo
    if options.at is None or options.grey is None:
        _refuse(path, "nobody knows where to look in it", "add --at X,Y and --grey X,Y, in percent")
    try:
        content = bounded(path, most_of("files", "picture"))
        picture = dots(content or b"")
    except OSError as error:
        _refuse(path, error.strerror or "it cannot be unpacked", "name a JPEG, PNG or WebP file")
    except ValueError as error:
        _refuse(path, str(error), "name a JPEG, PNG or WebP file as a camera saves it")
    try:
        patch = read_patch(picture, options.at, options.grey, options.reflects)
        sd = colour_sd()
        if options.strip is not None:
            known = _known(options, collection)
            sd = strip_sd(picture, tuple(options.strip), known, options.grey, options.reflects)
    except PhotographError as error:
        _refuse(path, error.message, error.mend)
    options.lab = [round(one, 1) for one in patch.lab]
    options.within = round(min(30.0, (sd**2 + patch.spread**2) ** 0.5), 1)


def _known(options: argparse.Namespace, collection: Collection | None) -> Floats:
    """The colours of a drink's printed strip, CIELAB, at equal steps of what is poured."""
    import numpy as np

    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.compute import compute_one
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.facts.colour.colours import decode, lab_of_linear, srgb_of_hex
    from anthocard.house.model import Drink

    name = options.strip_of or options.name
    assert collection is not None
    recipe = collection.recipe(name)
    if not isinstance(recipe, Drink):
        drinks = [drink.name for drink in collection.drinks.values()]
        _refuse("--strip", f"no card of “{name}” has a strip", did_you_mean(name, drinks))
    log = MistakeLog()
    turn = compute_one(recipe, collection, Shelf(collection, log), log).turn
    if turn is None:
        _refuse("--strip", f"“{name}” does not turn: its card has no strip", "leave --strip out")
    labs = lab_of_linear(decode(np.array([srgb_of_hex(one) for one in turn.hexes])))
    steps = np.linspace(turn.poured_ml[0], turn.poured_ml[-1], 101)
    return np.stack([np.interp(steps, turn.poured_ml, axis) for axis in labs.T], axis=1)


def _spot(text: str) -> Spot:
    """ "48,60" in percent. Raises ArgumentTypeError."""
    across, comma, down = text.partition(",")
    if not comma:
        raise argparse.ArgumentTypeError(f"“{text}” is no place: write it as 48,60 (percent)")
    return _PERCENT(across), _PERCENT(down)


def _refuse(path: str, message: str, mend: str) -> NoReturn:
    raise AuthorError([Mistake("bad-photograph", message, Place(str(Path(path))), mend)])
