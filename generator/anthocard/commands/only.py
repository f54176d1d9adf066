"""What `publish --only` chooses, in the words of an author.

Belongs here: from words to a test of paths. Does not belong here: which files there are (site.py).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from anthocard.diagnostics.diagnostic import (
    AuthorError,
    Mistake,
    Place,
    did_you_mean,
)


def chooser(wanted: list[str] | None, recipes: dict[str, str]) -> Callable[[str], bool] | None:
    """A test of paths below the build folder, from the words after --only; None without any.

    `recipes` are names by slug. Raises AuthorError for a word that means nothing.
    """
    if not wanted:
        return None
    names = {name.casefold(): slug for slug, name in recipes.items()}
    folders: set[str] = set()
    slugs: set[str] = set()
    for word in wanted:
        stem = Path(word).stem if word.endswith(".md") else word
        if word in ("guest", "staff"):
            folders.add(word)
        elif stem in recipes or stem.casefold() in names:
            slugs.add(stem if stem in recipes else names[stem.casefold()])
        else:
            known = ["guest", "staff", *recipes, *recipes.values()]
            message = f"there is nothing called “{word}” to publish"
            place = Place("--only")
            raise AuthorError([Mistake("no-such-part", message, place, did_you_mean(word, known))])
    return lambda path: path.partition("/")[0] in folders or Path(path).stem in slugs
