"""Pictures of drinks in their own glass, traced, as files: still and turning.

Belongs here: sizes, views, putting maps, colours and drawings together, encoding. Does not belong
here: light (engine/optics), what stands in a glass (shown_glass.py), which pictures there are
(html/pictures.py). Functions here run in other processes: everything they need is handed to them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from anthocard.engine.optics.maps import Maps, picture, traced, unpacked
from anthocard.engine.optics.paint import Plate, backdrop, front, shown
from anthocard.facts.chemistry.liquid import Floats
from anthocard.press.draw.garnish import overlay
from anthocard.press.draw.shown_glass import Standing

if TYPE_CHECKING:
    from PIL.Image import Image

WIDE, TALL = (
    180,
    216,
)  # pixels: close to twice what a page gives a glass, and no slower than it must
FRAMES: Final = 10  # of a turn; a page fades from one to the next
SPREAD: Final = 0.55  # how much later the last of a drink turns than the first, of the whole time
STILL, MOVING = 82, 58  # quality of WebP: no ΔE00 above 1 that an eye could lay side by side


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """All a picture is made of: how a glass stands before and after, how it is seen, and what it
    absorbs at even stops of its turn, (n, 81).
    """

    before: Standing
    after: Standing
    elevation_deg: float
    absorbs: Floats
    share: Floats  # (n,) of what is poured in, at those stops
    rising: bool = False
    lies: Floats | None = None  # (liquids, 81) before, from the bottom up, where it lies in layers

    @property
    def parts(self) -> tuple[object, ...]:
        """What decides how it looks, for a key."""
        drawn = (self.before, self.after, self.elevation_deg, self.rising)
        return (*drawn, self.absorbs.astype(np.float32).tobytes(), self.share.tobytes(), self._lies)

    @property
    def _lies(self) -> bytes:
        return b"" if self.lies is None else self.lies.astype(np.float32).tobytes()

    @property
    def first(self) -> Floats:
        """What the liquids of the glass as it stands before absorb along the turn, (n, liquids,
        81): layers, and by the end what they are stirred into.
        """
        if self.lies is None:
            return self.absorbs[:, np.newaxis]
        come = np.linspace(0.0, 1.0, len(self.absorbs))[:, np.newaxis, np.newaxis]
        return np.asarray(self.lies * (1.0 - come) + self.absorbs[:, np.newaxis] * come)


def map_bytes(stands: Standing, elevation_deg: float) -> bytes:
    """The maps of a glass, packed."""
    return traced(stands.glass, stands.filling, elevation_deg, WIDE, TALL).packed()


def still(look: Look, maps: bytes, last: bool, on: str) -> bytes:
    """A WebP of the drink before, or at the `last` after, for a backdrop."""
    stands = look.after if last else look.before
    plate = Plate(unpacked(maps), backdrop(on))
    light = plate.linear(look.absorbs[-1:, np.newaxis] if last else look.first[:1])
    return _webp(_sheet(light, plate.cover, stands, look.elevation_deg), STILL)


def reel(look: Look, first: bytes, last: bytes, on: str) -> bytes:
    """A WebP of FRAMES pictures under one another, from before to after.

    Each comes after an equal change of colour; the drink rises by what is poured by then, and turns
    where it comes in first.
    """
    sheets = _frames(look, unpacked(first), unpacked(last), on, FRAMES)
    from PIL import Image

    long = Image.new("RGBA", (WIDE, TALL * FRAMES))
    for number, sheet in enumerate(sheets):
        long.paste(sheet, (0, number * TALL))
    return _webp(long, MOVING)


def _frames(look: Look, first: Maps, last: Maps, on: str, count: int) -> list[Image]:
    plates = [Plate(maps, backdrop(on)) for maps in (first, last)]
    absorbs = (look.first, look.absorbs[:, np.newaxis])
    drink = np.maximum(first.drink, last.drink)
    stops = np.linspace(0.0, 1.0, len(look.share))
    sheets = []
    for time in np.linspace(0.0, 1.0, count):
        come = front(drink, float(time), SPREAD, look.rising)
        part = float(np.interp(time, stops, look.share))
        light, cover = np.zeros((TALL, WIDE, 3)), np.zeros((TALL, WIDE))
        for plate, liquids, weight in zip(plates, absorbs, (1.0 - part, part), strict=True):
            if weight > 1e-3:
                light += weight * plate.linear(liquids, come)
                cover += weight * plate.cover
        stands = look.after if time > 0.5 else look.before
        sheets.append(_sheet(light, cover, stands, look.elevation_deg))
    return sheets


def _sheet(light: Floats, cover: Floats, stands: Standing, elevation_deg: float) -> Image:
    from PIL import Image

    rgba = np.concatenate([shown(light), cover[..., np.newaxis]], axis=2)
    image = Image.fromarray((rgba * 255.0 + 0.5).astype(np.uint8), "RGBA")
    image.alpha_composite(_drawn(stands, elevation_deg))
    return image


@cache
def _drawn(stands: Standing, elevation_deg: float) -> Any:
    scene, eye = picture(stands.glass, stands.filling, elevation_deg, WIDE, TALL)
    return overlay(scene, eye, stands.garnishes, stands.rim, stands.filling)


def _webp(image: Image, quality: int) -> bytes:
    out = BytesIO()
    image.save(out, "WEBP", quality=quality, method=4, alpha_quality=quality)
    return out.getvalue()
