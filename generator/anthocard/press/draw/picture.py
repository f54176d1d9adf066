"""Pictures of a house: the one shown where its address is shared, and the icons of its menu.

Belongs here: the only Pillow import, and where things stand in a picture. Does not belong here: the
shape of a glass (glass.py), its colours (the engine).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from anthocard.engine.optics.outline import Point, glass_profile
from anthocard.house.settings import Glass
from anthocard.press.base.fonts import face_has, face_path
from anthocard.press.draw.filled_glass import Rung
from anthocard.press.draw.glass import filled_to

if TYPE_CHECKING:
    from PIL.Image import Image

NIGHT, MOON, DIM = "#110e16", "#f3eff6", "#b9b2c2"
WIDE, TALL = 1200, 630  # pixels; what the large preview of a shared address holds (memory)
ICONS = {"icon-192.png": 192, "icon-512.png": 512, "icon-180.png": 180}
SHORT = 12  # letters under an icon; what a launcher shows without dots (memory)
FINER = 3  # drawn so many times larger, then scaled down: edges come out smooth


@cache
def social_picture(name: str, voice: str, glasses: tuple[tuple[Glass, Rung], ...]) -> bytes:
    """A PNG of 1200 by 630 with the house's name over its glasses, each at the colour of a rung."""
    image, draw = _sheet(WIDE, TALL)
    left = 80 * FINER
    size = 92
    while size > 40 and draw.textlength(name, _face("display.woff2", size)) > (WIDE - 160) * FINER:
        size -= 4
    draw.text((left, 64 * FINER), name, MOON, _face("display.woff2", size))
    small = _face("text.woff2", 32)
    draw.text((left, (64 + size * 1.45) * FINER), _cut(draw, voice, small), DIM, small)
    room = (WIDE - 160) / max(1, len(glasses))
    for number, (glass, rung) in enumerate(glasses):
        _glass(draw, glass, rung, 80 + room * (number + 0.5), TALL - 56, 1.62)
    return _png(image, (WIDE, TALL))


def drink_picture(name: str, house: str, glass: Glass, first: Rung, last: Rung) -> bytes:
    """A PNG of 1200 by 630 of one drink: its name and the house's, its glass before and after."""
    image, draw = _sheet(WIDE, TALL)
    tall = glass_profile(glass)[-1][1] + glass.stem
    wide = 2 * max(r for r, _ in glass_profile(glass))
    scale = min(480 / tall, 226 / wide)
    for x, rung in ((760, first), (1030, last)) if last != first else ((900, first),):
        _glass(draw, glass, rung, x, TALL - 64, scale)
    lines = _lines(draw, name, 84, 540) if face_has(name) else []
    for number, line in enumerate(lines):
        face = _face("display.woff2", 84)
        draw.text((80 * FINER, (150 + 92 * number) * FINER), line, MOON, face)
    draw.text(
        (80 * FINER, 72 * FINER),
        _cut(draw, house, _face("text.woff2", 32)),
        DIM,
        _face("text.woff2", 32),
    )
    return _png(image, (WIDE, TALL))


@cache
def icons(glass: Glass, rungs: tuple[Rung, ...]) -> dict[str, bytes]:
    """Square PNG icons by file name: one glass of the house, its first colour under its last.

    Everything lies in the middle four fifths, so that a phone may cut them round.
    """
    return {name: _icon(glass, rungs, size) for name, size in ICONS.items()}


def manifest(
    name: str, short: str, language: str, addresses: dict[str, str], start: str = "index.html"
) -> bytes:
    """The web-app manifest; `addresses` of the icons are relative to it, `start` to the folder.

    A name that is too long for the line under an icon is left to be cut by the phone, which does so
    with dots, and never in mid-word by us.
    """
    shown = [
        {"src": addresses[icon], "sizes": f"{size}x{size}", "type": "image/png", "purpose": purpose}
        for icon, size in ICONS.items()
        for purpose in ("any", "maskable")
    ]
    values = {
        "name": name,
        **({"short_name": short} if len(short) <= SHORT else {}),
        "lang": language,
        "id": f"../{start}",
        "start_url": f"../{start}",
        "scope": "../",
        "display": "minimal-ui",
        "background_color": NIGHT,
        "theme_color": NIGHT,
        "icons": shown,
    }
    return f"{json.dumps(values, ensure_ascii=False, indent=1)}\n".encode()


def _icon(glass: Glass, rungs: Sequence[Rung], size: int) -> bytes:
    image, draw = _sheet(size, size)
    bowl = glass.model_copy(update={"stem": 0.0})  # a stem would leave the colours no room
    profile = glass_profile(bowl)
    tall, wide = profile[-1][1], 2 * max(r for r, _ in profile)
    scale = 0.58 * size / max(tall, wide)
    foot = size / 2 + tall * scale / 2
    for rung, share in ((rungs[-1], 0.86), (rungs[0], 0.46)):
        _liquid(draw, filled_to(profile, tall * share), rung.hex, size / 2, foot, scale)
    _glass(draw, bowl, replace(rungs[-1], level_mm=0.0), size / 2, foot, scale)
    return _png(image, (size, size))


def _glass(draw: Any, glass: Glass, rung: Rung, x: float, foot: float, scale: float) -> None:
    """A filled glass standing at `x`, `foot` (pixels), `scale` pixels a millimetre."""
    profile = glass_profile(glass)
    bottom = foot - glass.stem * scale
    if rung.level_mm > 0.0:
        _liquid(draw, filled_to(profile, rung.level_mm), rung.hex, x, bottom, scale)
    line = max(2, round(1.6 * scale * FINER))
    right = [_at(p, x, bottom, scale) for p in profile]
    left = [_at((-r, h), x, bottom, scale) for r, h in profile]
    draw.line([*reversed(left), *right], MOON, line, joint="curve")
    if glass.stem:
        half = 0.58 * max(r for r, _ in profile)
        stem = [_at((0, 0), x, bottom, scale), _at((0, -glass.stem), x, bottom, scale)]
        draw.line(stem, MOON, line)
        base = [
            _at((-half, -glass.stem), x, bottom, scale),
            _at((half, -glass.stem), x, bottom, scale),
        ]
        draw.line(base, MOON, line)


def _liquid(
    draw: Any, liquid: list[Point], hex_: str, x: float, bottom: float, scale: float
) -> None:
    if hex_:
        mirrored = [(-r, h) for r, h in reversed(liquid)]
        draw.polygon([_at(p, x, bottom, scale) for p in (*mirrored, *liquid)], hex_)


def _at(point: Point, x: float, bottom: float, scale: float) -> Point:
    return (x + point[0] * scale) * FINER, (bottom - point[1] * scale) * FINER


def _sheet(wide: int, tall: int) -> tuple[Image, Any]:
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (wide * FINER, tall * FINER), NIGHT)
    return image, ImageDraw.Draw(image)


def _face(name: str, size: int) -> Any:
    from PIL import ImageFont

    basic = ImageFont.Layout.BASIC  # the same everywhere, whether or not the machine shapes text
    return ImageFont.truetype(str(face_path(name)), size * FINER, layout_engine=basic)


def _lines(draw: Any, text: str, size: int, wide: int) -> list[str]:
    """A name in lines of `wide` pixels, four at most; a word that is too long for one is cut."""
    face, lines = _face("display.woff2", size), [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and draw.textlength(longer, face) > wide * FINER:
            lines.append(word)
        else:
            lines[-1] = longer
    for at, line in enumerate(lines):
        while draw.textlength(lines[at], face) > wide * FINER:
            line = line[:-1]
            lines[at] = f"{line}…"
    return lines[:4]


def _cut(draw: Any, text: str, face: Any) -> str:
    """As many words as one line holds."""
    words = text.split()
    while words and draw.textlength(" ".join(words), face) > (WIDE - 160) * FINER:
        words.pop()
    return " ".join(words)


def _png(image: Image, size: tuple[int, int]) -> bytes:
    out = BytesIO()
    image.reduce(FINER).crop((0, 0, *size)).save(out, "PNG", optimize=True)
    return out.getvalue()
