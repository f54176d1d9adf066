"""Faces for the pages: those a theme chose, cut down to what pages need, as WOFF2.

Belongs here: subsetting. Does not belong here: which files a theme's faces are (faces.py), the
faces of papers (typeset.py).
"""

from __future__ import annotations

import unicodedata
from functools import cache, partial
from io import BytesIO
from pathlib import Path

from anthocard.press.base.faces import Faces, covering, faces_of, letters_in
from anthocard.press.store.key import Memo, make_it, print_of

#: The plain names of the faces in the styles of pages.
NAMES = ("text.woff2", "text-strong.woff2", "display.woff2")
#: What every page may need: ASCII, and signs of amounts, figures and our own phrases.
ALWAYS = frozenset(map(chr, range(0x20, 0x7F))) | frozenset(
    "\u00a0£€°±·×½¼¾⅓⅔⅛–—‘’“”…−≈≤≥→ΔµäöüÄÖÜßéè"
)
#: Accented letters are added as a house uses them, those of other scripts where the face has them.
LATIN = range(0xA1, 0x250)
#: Layout features of our own faces; other scripts need all of theirs, to join and to place marks.
_OURS, _EVERY = ("kern", "tnum", "lnum"), ("*",)


@cache
def web_fonts(faces: Faces, text: frozenset[str], memo: Memo = make_it) -> dict[str, bytes]:
    """The faces by plain file name, with the letters of `text`; the same bytes on every run."""
    wanted = ALWAYS | {letter for letter in text if ord(letter) in LATIN}
    return {
        name: _subset_of(path, wanted | (_foreign(text) & letters_in(path)), _OURS, memo)
        for name, path in _by_name(faces).items()
    }


def script_fonts(
    faces: Faces, paths: tuple[Path, ...], text: frozenset[str], memo: Memo = make_it
) -> dict[str, tuple[bytes, str]]:
    """For letters that a theme's own face of text lacks: files cut from what else of `paths` has
    them, by plain name, each with its letters. No house of Latin letters has any.
    """
    lacking = _foreign(text) - letters_in(faces.text) if _foreign(text) else frozenset()
    found = covering(paths, lacking) if lacking else ()
    return {
        f"script-{number}.woff2": (_subset_of(path, frozenset(letters), _EVERY, memo), letters)
        for number, (path, letters) in enumerate(found, 1)
    }


def _foreign(text: frozenset[str]) -> frozenset[str]:
    """Letters, marks and figures of other scripts than Latin."""
    return frozenset(
        one for one in text if ord(one) >= LATIN.stop and unicodedata.category(one)[0] in "LMN"
    )


def _subset_of(path: Path, letters: frozenset[str], features: tuple[str, ...], memo: Memo) -> bytes:
    parts = print_of((path,)), "".join(sorted(letters)), features
    return memo("face", parts, partial(_subset, path, letters, features))


def face_path(name: str) -> Path:
    """The whole face that a page of the usual theme loads under one of NAMES."""
    return _by_name(faces_of((), ()))[name]


def _by_name(faces: Faces) -> dict[str, Path]:
    return dict(zip(NAMES, (faces.text, faces.strong, faces.display), strict=True))


def face_has(text: str) -> bool:
    """Whether pictures can show a text: other scripts than Latin are in none of the faces."""
    return all(ord(letter) < LATIN.stop or letter in ALWAYS for letter in text)


@cache  # a second of work: a preview looks at its house again and again
def _subset(path: Path, letters: frozenset[str], features: tuple[str, ...]) -> bytes:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    options = Options(flavor="woff2", layout_features=[*features], hinting=False)
    options.drop_tables += ["meta"]  # names languages only, and the subsetter does not know it
    subsetter = Subsetter(options)
    out = BytesIO()
    with TTFont(path, recalcTimestamp=False, lazy=True) as font:
        subsetter.populate(unicodes={*map(ord, letters)} & set(font.getBestCmap()))
        subsetter.subset(font)
        font.flavor = "woff2"
        font.save(out)
    return out.getvalue()
