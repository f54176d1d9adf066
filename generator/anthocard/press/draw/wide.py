"""Colours that a good screen can show and sRGB cannot: what a page says of them.

Belongs here: the rules that give a page's drawings their wider colours, and their leave in its
policy. Does not belong here: which colours there are (the engine), how drawings are made.

Drawings name colours as sRGB in their attributes; a rule of a sheet that only wide screens read
gives the same attribute the colour that it stands for.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np

from anthocard.digest import sha256
from anthocard.engine.results import Computed
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour import colours

_PAINT: Final = re.compile(r'\b(fill|color|stop-color)="(#[0-9a-f]{6})"')
_POLICY: Final = "style-src 'self'"


def widened(page: str, shown: Iterable[Computed]) -> str:
    """A page whose drawings show the colours of some drinks as far as the screen can."""
    wide = _wide(shown)
    used = sorted({found for found in _PAINT.findall(page) if found[1] in wide})
    if not used:
        return page
    rules = "".join(f'[{key}="{hex_}"]{{{key}:{wide[hex_]}}}' for key, hex_ in used)
    sheet = f"@media (color-gamut:p3){{{rules}}}"
    let_in = f"'sha256-{b64encode(sha256(sheet.encode())).decode()}'"
    page = page.replace(_POLICY, f"{_POLICY} {let_in}", 1)
    return page.replace("</head>", f"<style>{sheet}</style>\n</head>", 1)


def _wide(shown: Iterable[Computed]) -> dict[str, str]:
    """How CSS writes each colour that lies outside sRGB, by what stands for it there.

    Where the same sRGB also stands for a colour that is just that, it stays so.
    """
    told = list(_told(shown))
    if not told:
        return {}
    told.reverse()  # of colours that share one, that of a state is kept, which comes first
    labs = np.array([lab for _, lab in told])
    inside = colours.in_gamut(colours.linear_of_xyz(colours.xyz_of_lab(labs)))
    own = {hex_ for (hex_, _), fits in zip(told, inside, strict=True) if fits}
    return {
        hex_: f"color(display-p3 {' '.join(f'{part:.4f}' for part in rgb)})"
        for (hex_, _), rgb in zip(told, colours.display_p3(labs), strict=True)
        if hex_ not in own
    }


def _told(shown: Iterable[Computed]) -> Iterator[tuple[str, Floats]]:
    """Every colour of drinks as sRGB and as CIELAB (3,)."""
    for one in shown:
        for state in one.states:
            for colour in (state.seen.side, state.seen.above):
                yield colour.hex, np.array(colour.lab)
        if one.turn is not None and np.isfinite(one.turn.lab).all():
            yield from zip(one.turn.hexes, one.turn.lab, strict=True)
