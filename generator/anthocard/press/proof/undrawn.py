"""Garnishes that no picture shows, because nobody can tell by their words what they look like.

Belongs here: telling an author so. Does not belong here: which words are known (draw/garnish.py),
glasses that cannot be drawn (engine/optics/walls.py).
"""

from __future__ import annotations

from collections.abc import Iterator

from anthocard.diagnostics.diagnostic import Mistake
from anthocard.house.collection import Collection
from anthocard.press.draw.garnish import garnish_of, shapes


def undrawn(collection: Collection) -> Iterator[Mistake]:
    """A hint at every garnish that is left out of the pictures of its drink."""
    for drink in collection.drinks.values():
        for number, words in enumerate(drink.garnish):
            if garnish_of(words) is None:
                yield Mistake(
                    "garnish-not-drawn",
                    f"nobody can draw “{words}” by its name: {drink.name} is pictured without it,"
                    " in a plain glass",
                    collection.at(drink, ("garnish", number)),
                    f"name what it is as well, such as {', '.join(shapes())};"
                    " on cards and menus it stands as you wrote it",
                    "hint",
                )
