"""Families of type: which files hold one, and which of them a theme sets its papers and pages in.

Belongs here: finding a family among a theme's own files and the installed font packages, and its
weights. Does not belong here: cutting faces down for pages (fonts.py), setting type (typeset.py).

A theme names its families in the tokens `--text` and `--display`, nothing more: what stands in
`fonts/` of the theme goes first, then a package `fontpkg-NAME`. A family that is in neither is
told, and the next name in the token stands in for it.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

#: Always there: they come with the program, and stand in for what another family lacks.
TEXT, DISPLAY = "Fira Sans", "Spectral"
#: The weight of what is strong, and of names: the nearest that a family has is taken.
STRONG: Final = 600
#: x-height of Fira Sans as a share of its size (OS/2): sizes in the styles are written for it.
X_HEIGHT: Final = 0.527
#: Open families (SIL OFL), packaged as `fontpkg-NAME`, for scripts that the shipped ones lack, by
#: how Unicode begins the names of a script's letters: taken wherever they are installed.
FOR_SCRIPT: Final = {
    "HEBREW": "Heebo", "ARABIC": "Amiri", "THAI": "Noto Sans Thai", "KHMER": "Noto Sans Khmer",
    "DEVANAGARI": "Noto Sans Devanagari", "TAMIL": "Noto Sans Tamil", "TELUGU": "Noto Sans Telugu",
}  # fmt: skip
CJK: Final = ("CJK", "HIRAGANA", "KATAKANA", "HANGUL", "IDEOGRAPHIC", "BOPOMOFO")
#: Those for Chinese, Japanese and Korean (SIL OFL) share one package, which lists its files itself.
EASTERN: Final = ("Noto Sans JP", "Noto Sans KR", "Noto Sans SC", "Noto Sans TC")
_EASTERN_PACKAGE: Final = "justmytype-intl-cjk"
#: What stands in for letters that the faces of a theme lack, wherever it is installed.
STAND_INS: Final = (*FOR_SCRIPT.values(), *EASTERN)
_GENERIC = frozenset({"serif", "sans-serif", "monospace", "system-ui", "cursive", "fantasy"})


@dataclass(frozen=True, slots=True)
class Faces:
    """The three files that pages load of a theme, and what their families are called."""

    text: Path
    strong: Path
    display: Path
    text_family: str
    display_family: str

    @property
    def grow(self) -> float:
        """By how much sizes are to be multiplied, so that small letters are as high as Fira's."""
        return 1.0 if self.text_family == TEXT else X_HEIGHT / _x_height(self.text)


def faces_of(text: Iterable[str], display: Iterable[str], own: tuple[Path, ...] = ()) -> Faces:
    """The faces of two lists of families, nearest first; `own` are a theme's own files."""
    text_family, texts = _first((*text, TEXT), own)
    display_family, names = _first((*display, DISPLAY), own)
    return Faces(
        _nearest(texts, 400), _nearest(texts, STRONG), _nearest(names, STRONG),
        text_family, display_family,
    )  # fmt: skip


def families_in(value: str) -> tuple[str, ...]:
    """The families a token names, in order: `"Fira Sans", Georgia, serif`; not the generic ones."""
    names = (part.strip().strip("\"'").strip() for part in value.split(","))
    return tuple(name for name in names if name and name not in _GENERIC)


def there(family: str, own: tuple[Path, ...] = ()) -> bool:
    """Whether a family is to be had, among a theme's own files or in a package."""
    return bool(_of(family, own))


@cache
def packaged(family: str) -> tuple[Path, ...]:
    """The files of a family in its installed package; () without it."""
    return tuple(face.path for face in _in_package(family))


def package_name(family: str) -> str:
    """What to install for a family, where it is packaged at all."""
    if family in EASTERN:
        return _EASTERN_PACKAGE
    return "fontpkg-" + re.sub(r"[^a-z0-9]+", "-", family.lower())


def mend_for(missing: str) -> str:
    """What to do about letters that no face has, by the script of the first that has one."""
    for letter in missing:
        script = unicodedata.name(letter, "").partition(" ")[0].partition("-")[0]
        if script in CJK:
            return f"pip install {_EASTERN_PACKAGE}; or spell it differently"
        if family := FOR_SCRIPT.get(script):
            return f"pip install {package_name(family)}; or spell it differently"
    return "spell it differently, or put a font that has it into fonts/ of your own theme"


def covering(paths: Iterable[Path], letters: frozenset[str]) -> Iterator[tuple[Path, str]]:
    """Of some files those that have letters, each with what those before it have not: first what
    has most of them, of two with as many the upright one of plain weight.
    """
    faces = sorted(
        (face for _, face in map(_read, paths)),
        key=lambda face: (not face.upright, abs(face.weight - 400), face.path),
    )
    left = set(letters)
    while here := max((left & letters_in(face.path) for face in faces), key=len, default=set()):
        path = next(face.path for face in faces if here <= letters_in(face.path))
        left -= here
        yield path, "".join(sorted(here))


@cache
def letters_in(path: Path) -> frozenset[str]:
    """Every letter a file has."""
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        return frozenset(map(chr, font.getBestCmap()))


@dataclass(frozen=True, slots=True)
class _Face:
    path: Path
    weight: int
    upright: bool


@cache
def _in_package(family: str) -> tuple[_Face, ...]:
    spec = find_spec(package_name(family).replace("-", "_"))
    if spec is None or spec.origin is None:
        return ()
    folder = Path(spec.origin).parent
    if family in EASTERN:
        folder /= "fonts"
        told = json.loads((folder / "pack_manifest.json").read_text(encoding="utf-8"))["fonts"]
        files = [row for row in told if row["family"] == family]
    else:
        files = json.loads((folder / "metadata.json").read_text(encoding="utf-8"))["files"]
    faces = (_Face(folder / row["path"], row["weight"], row["style"] == "normal") for row in files)
    return tuple(sorted(faces, key=lambda face: face.path))


@cache
def _read(path: Path) -> tuple[str, _Face]:
    """A file's family, and what kind of face it is, as it says itself."""
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        os2, names = font["OS/2"], font["name"]
        family = names.getDebugName(16) or names.getDebugName(1) or path.stem
        return family, _Face(path, os2.usWeightClass, not os2.fsSelection & 1)


@cache
def _x_height(path: Path) -> float:
    """As a share of the size. Old tables tell none: as if it were Fira's."""
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        height, em = getattr(font["OS/2"], "sxHeight", 0), font["head"].unitsPerEm
        return height / em if height else X_HEIGHT


def _of(family: str, own: tuple[Path, ...]) -> tuple[_Face, ...]:
    """A theme's own first."""
    mine = (face for name, face in map(_read, own) if name.casefold() == family.casefold())
    return tuple(mine) or _in_package(family)


def _first(families: Iterable[str], own: tuple[Path, ...]) -> tuple[str, tuple[_Face, ...]]:
    return next((name, found) for name in families if (found := _of(name, own)))


def _nearest(faces: tuple[_Face, ...], weight: int) -> Path:
    """The upright file nearest to a weight, the heavier of two as near."""
    order = sorted(faces, key=lambda f: (not f.upright, abs(f.weight - weight), -f.weight))
    return order[0].path
