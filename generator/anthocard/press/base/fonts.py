"""Faces for the pages: the packaged fonts, cut down to what pages need, as WOFF2.

Belongs here: subsetting. Does not belong here: the faces of papers (typeset.py).
"""

from __future__ import annotations

from functools import cache, partial
from importlib.resources import files
from io import BytesIO
from pathlib import Path

from anthocard.press.store.key import Keep, make_it

#: Plain file name -> package and its file; the names are those in the theme's styles.
FACES = {
    "text.woff2": ("fontpkg_fira_sans", "FiraSans-Regular.ttf"),
    "text-strong.woff2": ("fontpkg_fira_sans", "FiraSans-SemiBold.ttf"),
    "display.woff2": ("fontpkg_spectral", "Spectral-SemiBold.ttf"),
}
#: What every page may need: ASCII, and signs of amounts, figures and our own phrases.
ALWAYS = frozenset(map(chr, range(0x20, 0x7F))) | frozenset(
    "\u00a0£€°±·×½¼¾⅓⅔⅛–—‘’“”…−≈≤≥→ΔµäöüÄÖÜßéè"
)
#: Accented letters are added as a house uses them; other scripts are left to the reader's system.
LATIN = range(0xA1, 0x250)


@cache
def web_fonts(text: frozenset[str], keep: Keep = make_it) -> dict[str, bytes]:
    """The faces by plain file name, with the letters of `text`; the same bytes on every run."""
    wanted = ALWAYS | {letter for letter in text if ord(letter) in LATIN}
    letters = "".join(sorted(wanted))
    return {
        name: keep("face", (name, letters), partial(_subset, face_path(name), wanted))
        for name in FACES
    }


def face_path(name: str) -> Path:
    """The whole face that one of FACES is cut from."""
    package, file = FACES[name]
    return Path(str(files(package) / "files" / file))


def face_has(text: str) -> bool:
    """Whether pictures can show a text: other scripts than Latin are in none of the faces."""
    return all(ord(letter) < LATIN.stop or letter in ALWAYS for letter in text)


@cache  # a second of work: a preview looks at its house again and again
def _subset(path: Path, letters: frozenset[str]) -> bytes:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    options = Options(flavor="woff2", layout_features=["kern", "tnum", "lnum"], hinting=False)
    options.drop_tables += ["meta"]  # names languages only, and the subsetter does not know it
    subsetter = Subsetter(options)
    out = BytesIO()
    with TTFont(path, recalcTimestamp=False) as font:
        subsetter.populate(unicodes={*map(ord, letters)} & set(font.getBestCmap()))
        subsetter.subset(font)
        font.flavor = "woff2"
        font.save(out)
    return out.getvalue()
