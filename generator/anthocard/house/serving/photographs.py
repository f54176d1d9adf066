"""The pictures that a house took of its drinks, as they lie in its folder.

Belongs here: which are asked for, and reading those. Does not belong here: what a drink says of its
picture (model.py), opening a file (files.py), making it fit for a page (press/draw/photograph.py).
"""

from __future__ import annotations

from pathlib import Path

from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.house.collection import Collection
from anthocard.house.files import read_picture


def photographs(folder: Path, collection: Collection, log: MistakeLog) -> dict[str, bytes]:
    """Every picture that a drink names, by its name; what cannot be read is a mistake there."""
    found: dict[str, bytes] = {}
    for drink in collection.drinks.values():
        if drink.picture is not None and drink.picture.file not in found:
            place = collection.at(drink, ("picture", "file"))
            content = read_picture(folder, drink.picture.file, place, log)
            if content is not None:
                found[drink.picture.file] = content
    return found
