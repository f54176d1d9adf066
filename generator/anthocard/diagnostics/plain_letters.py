"""Words in letters that any terminal has: what its encoding lacks is spelt, never a traceback.

Belongs here: which plain letters stand for ours, and JSON for a stream that cannot show all.
Does not belong here: what is said (the commands).
"""

from __future__ import annotations

import codecs
import sys
import unicodedata
from typing import Any, Final

_PLAIN: Final = {
    "“": '"', "”": '"', "‘": "'", "’": "'", "–": "-", "—": "-", "−": "-", "…": "...", "·": ".",
    "°": " deg ", "±": "+/-", "×": "x", "Δ": "d", "≥": ">=", "≤": "<=", "≈": "about ", "→": "->",
    "●": "o", "│": "|", "┤": "|", "└": "+", "─": "-", "⁄": "/", "µ": "u", "μ": "u", "€": "EUR",
    "£": "GBP", "\N{NO-BREAK SPACE}": " ", "\N{NARROW NO-BREAK SPACE}": " ", "ß": "ss", "æ": "ae",
    "Æ": "AE", "ø": "o", "Ø": "O", "œ": "oe", "ł": "l", "đ": "d",
}  # fmt: skip


def speak_plainly() -> None:
    """Let both streams of this process spell what their encoding has no letters for."""
    codecs.register_error("plain-letters", _spelt)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="plain-letters")


def plain(text: str) -> str:
    """The text in ASCII: signs spelt, accents off, a question mark for what has no spelling."""
    letters = []
    for sign in text:
        known = sign if sign.isascii() else _PLAIN.get(sign)
        if known is None:
            known = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode() or "?"
        letters.append(known)
    return "".join(letters)


def json_text(data: Any) -> str:
    """JSON for standard output: escaped where its encoding is not Unicode, so that none is lost."""
    import json

    unicode = (getattr(sys.stdout, "encoding", None) or "").lower().startswith("utf")
    return json.dumps(data, ensure_ascii=not unicode, indent=2)


def _spelt(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain(error.object[error.start : error.end]), error.end
