"""What pages load beside themselves: sheets, scripts, faces, named by a print of their bytes.

Belongs here: fingerprinted names, so that a host may let browsers keep a file for ever, and what
stands in a sheet for them. Does not belong here: cutting the faces (fonts.py), what a sheet says
(the themes).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from anthocard.digest import digest
from anthocard.press.base.faces import STRONG, Faces
from anthocard.press.base.fonts import NAMES, script_fonts, web_fonts
from anthocard.press.base.theme import Theme
from anthocard.press.store.key import Memo, make_it

FOLDER = "assets"
#: How a sheet's faces come: guests get them whenever they are there; a page of the spec book never
#: jumps under a thumb, and once kept they are always there.
SHOWN = {"guest.css": "swap"}


@dataclass(frozen=True)
class Assets:
    """Files by address below the page, and the address of each by its plain name."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    addresses: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        """The address of “guest.css” from the page. Raises KeyError."""
        return self.addresses[name]

    def named(self, start: str) -> list[str]:
        """The addresses of all files whose plain name begins so, in the order they were added."""
        return [address for name, address in self.addresses.items() if name.startswith(start)]

    def seen_from(self, up: str) -> Assets:
        """The same files, their addresses from a page further down: “../”."""
        return Assets(self.files, {name: f"{up}{path}" for name, path in self.addresses.items()})

    def with_files(self, more: Mapping[str, bytes]) -> Assets:
        """These and more, each under its fingerprinted name."""
        files, addresses = dict(self.files), dict(self.addresses)
        for name, content in more.items():
            addresses[name] = fingerprinted(name, content)
            files[addresses[name]] = content
        return Assets(files, addresses)


def make_assets(
    theme: Theme, sheets: Mapping[str, str], scripts: Iterable[str], text: str, memo: Memo = make_it
) -> Assets:
    """Sheets and scripts of a theme and the faces for `text`; the same input, the same names.

    `sheets` says by name what rules are added to each.
    """
    letters = frozenset(text)
    foreign = script_fonts(theme.faces, theme.fonts, letters, memo)
    fonts = {name: face for name, (face, _) in foreign.items()}
    assets = Assets().with_files(web_fonts(theme.faces, letters, memo) | fonts)
    made: dict[str, bytes] = {}
    waiting = theme.text("waiting.css")
    for name, added in sheets.items():
        faces = "\n".join((face_rules(theme.faces, name), *_script_rules(theme.faces, foreign)))
        style = f"{faces}\n{waiting}\n{theme.style(name)}\n{added}\n"
        for plain, address in assets.addresses.items():
            style = style.replace(f'url("{plain}")', f'url("{address.removeprefix(FOLDER + "/")}")')
        made[name] = squeezed(style).encode()
    made |= {name: theme.text(name).encode() for name in scripts}
    return assets.with_files(made)


def face_rules(faces: Faces, sheet: str) -> str:
    """What a sheet says of the three faces, under the names of their families."""
    shown = SHOWN.get(sheet, "optional")
    return "\n".join(
        f'@font-face {{ font-family: "{family}"; src: url("{name}") format("woff2");'
        f" font-weight: {weight}; font-display: {shown}; }}"
        for name, (family, weight) in zip(NAMES, _kinds(faces), strict=True)
    )


def _kinds(faces: Faces) -> tuple[tuple[str, int], ...]:
    """Family and weight of each of NAMES."""
    text = faces.text_family
    return (text, 400), (text, STRONG), (faces.display_family, STRONG)


def _script_rules(faces: Faces, scripts: Mapping[str, tuple[bytes, str]]) -> Iterator[str]:
    """What a sheet says of faces for other scripts: each stands in for its letters alone, under the
    very family and weight of the theme's own, since only alike rules make one face together.
    """
    for name, (_, letters) in scripts.items():
        reach = ",".join(f"U+{ord(letter):X}" for letter in letters)
        for family, weight in dict.fromkeys(_kinds(faces)):
            yield (
                f'@font-face {{ font-family: "{family}"; src: url("{name}") format("woff2");'
                f" font-weight: {weight}; font-display: swap; unicode-range: {reach}; }}"
            )


def squeezed(style: str) -> str:
    """A sheet without its comments and the blanks that nobody but its author needs."""
    parts = re.split(r'("[^"]*")', re.sub(r"/\*.*?\*/", "", style, flags=re.DOTALL))
    parts[::2] = [re.sub(r"\s*([{};,])\s*|(:)\s+", r"\1\2", part) for part in parts[::2]]
    return "".join(parts)


def fingerprinted(name: str, content: bytes) -> str:
    """“assets/guest.4f2a9c01.css”: another content, another name."""
    stem, dot, ending = name.rpartition(".")
    return f"{FOLDER}/{stem}.{digest(content, 4).hex()}{dot}{ending}"
