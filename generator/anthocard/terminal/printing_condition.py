"""The printing condition of a publish: the profile named on the line, or the house's own.

Belongs here: finding and reading it, and what is said when it is none. Does not belong here: inks.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from anthocard.digest import digest

if TYPE_CHECKING:
    from anthocard.house.collection import Collection
    from anthocard.press.plates.condition import Condition

#: An ICC profile of a press takes up to a few megabytes; chosen: what is larger is something else.
LARGEST = 16 * 1024 * 1024
_MEND = "ask your printer for the ICC profile of the paper they print on"


def condition_of(named: Path | None, folder: Path, collection: Collection) -> Condition | None:
    """The condition of `named`, else of `press:` in house.yaml, else None. Raises AuthorError."""
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
    from anthocard.press.plates.condition import NoPressProfile, read_condition

    own = collection.house.press
    if named is not None:
        place, path, name, ink = Place(str(named)), named, named.stem, None
    elif own is not None:
        place = collection.at(collection.house, ("press", "profile"))
        path, name, ink = folder / own.profile, own.name or Path(own.profile).stem, own.ink
        if Path(own.profile).name != own.profile:
            message = f"“{own.profile}” is no name of a file in the house's folder"
            raise AuthorError(
                [Mistake("no-press-profile", message, place, "put it beside house.yaml")]
            )
    else:
        return None
    try:
        return read_condition(_bytes(path), name, ink)
    except (OSError, NoPressProfile) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        message = f"“{path.name}” is no profile to print by: {why}"
        raise AuthorError([Mistake("no-press-profile", message, place, _MEND)]) from error


def print_of(named: Path | None) -> str:
    """A print of the profile on the line, so that another one is another publish."""
    try:
        return "" if named is None else digest(_bytes(named)).hex()
    except OSError:
        return ""


def _bytes(path: Path) -> bytes:
    if not path.is_file() or path.stat().st_size > LARGEST:
        raise OSError(0, "it is no file, or far too large")
    return path.read_bytes()
