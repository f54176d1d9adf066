"""The secret of those who share a folder of what was made.

Belongs here: reading it, and refusing one that is none. Does not belong here: a user's own secret
(disk/cache_files.py), what is signed with it (press/store/store.py).
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.digest import digest
from anthocard.guard.reading import bounded

#: Where the key of a shared folder may stand; and the fewest characters that nobody guesses: 16 of
#: them drawn by chance from letters and digits are 95 bits. Chosen.
KEY_VARIABLE: Final = "ANTHOCARD_CACHE_KEY"
_FEWEST: Final = 16
_MOST_KEY: Final = 4096
_SECRET_BYTES: Final = 32


def shared_secret(file: Path | None) -> bytes | None:
    """The secret of those who share a folder, from a file or from the environment; None without.

    Raises AuthorError where it is too short to be one, or where everybody may read it; OSError.
    """
    given, place = os.environ.get(KEY_VARIABLE, "").encode(), KEY_VARIABLE
    if file is not None:
        place, given = str(file), (bounded(file, _MOST_KEY) or b"").strip()
        if os.name == "posix" and file.stat().st_mode & 0o007:
            raise _no_key("others on this machine may read this key", place, f"chmod o= {file}")
    elif not given:
        return None
    if len(given) < _FEWEST:
        mend = f"draw {_FEWEST} letters and digits or more by chance, the same for all who share"
        raise _no_key("this is no key that nobody could guess", place, mend)
    return digest(given, _SECRET_BYTES)


def _no_key(message: str, place: str, mend: str) -> AuthorError:
    return AuthorError([Mistake("no-key", message, Place(place), mend)])
