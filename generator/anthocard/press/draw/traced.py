"""Pictures of drinks in their own glass, traced, as files: still and turning.

Belongs here: sizes, views, putting maps, colours and drawings together, encoding. Does not belong
here: light (engine/optics), what stands in a glass (shown_glass.py), which pictures there are
(html/pictures.py). Functions here run in other processes: everything they need is handed to them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from anthocard.engine.optics.entering import Entering, places
from anthocard.engine.optics.maps import Maps, picture, traced, unpacked
from anthocard.engine.optics.paint import Plate, backdrop, covered, painted, shown
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour import colours
from anthocard.house.serving.pours import How
from anthocard.press.draw.garnish import overlay
from anthocard.press.draw.picture import NIGHT
from anthocard.press.draw.shown_glass import ShownGlass

if TYPE_CHECKING:
    from PIL.Image import Image

    from anthocard.engine.optics.camera import Camera
    from anthocard.engine.optics.scene import Scene

WIDE, TALL = (180, 216)  # pixels: close to twice what a page gives a glass
FRAMES: Final = 10  # of a turn; a page fades from one to the next
SIDE: Final = 480  # pixels of a film, which is square
FINER: Final = 2  # a glass is traced so many times larger than a page shows it: films and papers do
SEEN: Final = 14  # pictures of a turn in a film
BACK: Final = 4  # pictures in which it goes back, fading
FIRST_MS, EACH_MS, LAST_MS = 900, 100, 1500  # how long they stand: before, on the way, after
ALPHA: Final = 95  # quality of WebP where a page is let through: coarser, and a shade has steps
STILL, MOVING = 82, 58  # quality of WebP: no ΔE00 above 1 that an eye could lay side by side
PAINS: Final = 2  # WebP's `method`: from 4 on it takes two to three times as long for a tenth less


@dataclass(frozen=True, slots=True, eq=False)
class PictureSubject:
    """All a picture is made of: how a glass stands before and after, how it is seen, and what it
    absorbs at even stops of its turn, (n, 81).
    """

    before: ShownGlass
    after: ShownGlass
    elevation_deg: float
    absorbs: Floats
    share: Floats  # (n,) of what is poured in, at those stops
    how: How = "poured"
    lies: Floats | None = None  # (liquids, 81) before, from the bottom up, where it lies in layers
    frozen: Floats | None = None  # (81,): what is frozen in it before

    @property
    def parts(self) -> tuple[object, ...]:
        """What decides how it looks, for a key."""
        drawn = (self.before, self.after, self.elevation_deg, self.how)
        lie = [b"" if one is None else _bytes(one) for one in (self.lies, self.frozen)]
        return (*drawn, _bytes(self.absorbs), self.share.tobytes(), *lie)

    @property
    def first(self) -> Floats:
        """What tints the glass as it stands before absorbs along the turn, (n, k, 81): layers, and
        what is frozen in them, and by the end what they are stirred into.
        """
        mixed = self.absorbs[:, np.newaxis]
        come = np.linspace(0.0, 1.0, len(mixed))[:, np.newaxis, np.newaxis]
        found = mixed if self.lies is None else self.lies * (1.0 - come) + mixed * come
        if self.frozen is not None:
            melting = self.frozen * (1.0 - come) + mixed * come
            found = np.concatenate([found, melting], axis=1)
        return np.asarray(found)


def _bytes(values: Floats) -> bytes:
    return values.astype(np.float32).tobytes()


def map_bytes(stands: ShownGlass, elevation_deg: float, finer: int = 1) -> bytes:
    """The maps of a glass, packed; in so many times more pixels across and down than on a page."""
    wide, tall = finer * WIDE, finer * TALL
    return traced(stands.glass, stands.filling, elevation_deg, wide, tall).packed()


def still(subject: PictureSubject, maps: bytes, last: bool, on: str) -> bytes:
    """A WebP of the drink before, or at the `last` after, for a backdrop."""
    return _webp(_still(subject, _for_page(maps), last, on), STILL)


def print_still(subject: PictureSubject, maps: bytes, last: bool, on: str) -> bytes:
    """The same for paper: a PNG of all its pixels, of which none is blurred by packing."""
    image = _still(subject, _whole(maps), last, on)
    pixels = np.array(image)
    pixels[pixels[..., 3] == 0] = 0  # what nobody sees takes no room
    out = BytesIO()
    _image(pixels).save(out, "PNG", compress_level=1)  # the paper it goes into packs it anew
    return out.getvalue()


def _still(subject: PictureSubject, maps: Maps, last: bool, on: str) -> Image:
    stands = subject.after if last else subject.before
    plate = Plate(maps, backdrop(on))
    light = plate.linear(subject.absorbs[-1:, np.newaxis] if last else subject.first[:1])
    seen = painted(shown(light), plate.cover, plate.kept)
    return _sheet(seen, stands, subject.elevation_deg)


_whole = lru_cache(maxsize=4)(unpacked)  # films and papers are made of the same ones


@lru_cache(maxsize=8)  # stills and turns for several grounds are made of the same ones
def _for_page(maps: bytes) -> Maps:
    """Maps as large as a page shows them."""
    found = _whole(maps)
    while found.shape[1] > WIDE:
        found = found.halved()
    return found


def reel(subject: PictureSubject, first: bytes, last: bytes, on: str) -> bytes:
    """A WebP of FRAMES pictures beside one another, from before to after.

    Each comes after an equal change of colour; the drink rises by what is poured by then, and turns
    where it comes in first.
    """
    sheets = _frames(subject, _for_page(first), _for_page(last), on, FRAMES)
    from PIL import Image

    long = Image.new("RGBA", (WIDE * FRAMES, TALL))
    for number, sheet in enumerate(sheets):
        long.paste(sheet, (number * WIDE, 0))
    return _webp(long, MOVING)


def film(subject: PictureSubject, first: bytes, last: bytes) -> bytes:
    """A WebP that plays the turn for ever on a dark ground, of maps FINER times as fine: for those
    who show it elsewhere. The same bytes for the same drink.
    """
    turn = [_on_ground(one) for one in _frames(subject, _whole(first), _whole(last), "bar", SEEN)]
    back = [_between(turn[-1], turn[0], n / (BACK + 1)) for n in range(1, BACK + 1)]
    times = [FIRST_MS, *[EACH_MS] * (SEEN - 2), LAST_MS, *[EACH_MS] * BACK]
    out = BytesIO()
    turn[0].save(
        out, "WEBP", save_all=True, append_images=[*turn[1:], *back], duration=times, loop=0,
        quality=MOVING, method=PAINS,
    )  # fmt: skip
    return out.getvalue()


def _on_ground(sheet: Image) -> Image:
    from PIL import Image

    ground = Image.new("RGBA", (SIDE, SIDE), NIGHT)
    ground.alpha_composite(sheet, ((SIDE - sheet.width) // 2, (SIDE - sheet.height) // 2))
    return ground.convert("RGB")


def _between(one: Image, other: Image, share: float) -> Image:
    from PIL import Image

    return Image.blend(one, other, share)


def _frames(subject: PictureSubject, first: Maps, last: Maps, on: str, count: int) -> list[Image]:
    plates = [Plate(maps, backdrop(on)) for maps in (first, last)]
    absorbs = (subject.first, subject.absorbs[:, np.newaxis])
    tall, wide = first.shape
    seen = places(*_scene(subject.after, subject.elevation_deg, wide, tall))
    ends = [
        plate.linear(one, n) for n, (plate, one) in enumerate(zip(plates, absorbs, strict=True))
    ]
    change = np.maximum(first.drink, last.drink)
    drink = change > 0.0
    labs = [colours.lab_of_linear(colours.decode(shown(light[drink]))) for light in ends]
    change[drink] *= colours.delta_e_2000(*labs)
    turn = Entering(subject.how, seen, change)
    stops = np.linspace(0.0, 1.0, len(subject.share))
    lit = []
    for time in np.linspace(0.0, 1.0, count):
        come = turn.come(float(time))
        part = float(np.interp(time, stops, subject.share))
        light, cover, kept = (np.zeros((tall, wide, *n), dtype=np.float32) for n in ((3,), (), ()))
        for plate, liquids, weight in zip(plates, absorbs, (1.0 - part, part), strict=True):
            if weight > 1e-3:
                light += weight * plate.linear(liquids, come)
                cover += weight * plate.cover
                kept += weight * plate.kept
        lit.append((shown(light), cover, kept))
    # All let the page through alike, as much as any of them may: what is the same in pictures
    # beside one another is packed once.
    kept = np.max([covered(*one) for one in lit], axis=0)
    stands = [subject.before, subject.after]
    return [
        _sheet(painted(seen, cover, kept), stands[2 * n >= count], subject.elevation_deg)
        for n, (seen, cover, _) in enumerate(lit)
    ]


def _image(pixels: NDArray[np.uint8]) -> Image:
    from PIL import Image

    return Image.fromarray(pixels, "RGBA")


def _sheet(pixels: Floats, stands: ShownGlass, elevation_deg: float) -> Image:
    image = _image((pixels * 255.0 + 0.5).astype(np.uint8))
    image.alpha_composite(_drawn(stands, elevation_deg, image.width, image.height))
    return image


def _scene(stands: ShownGlass, elevation_deg: float, wide: int, tall: int) -> tuple[Scene, Camera]:
    return picture(stands.glass, stands.filling, elevation_deg, wide, tall)


@cache
def _drawn(stands: ShownGlass, elevation_deg: float, wide: int, tall: int) -> Any:
    scene, eye = _scene(stands, elevation_deg, wide, tall)
    return overlay(scene, eye, stands.garnishes, stands.rim, stands.filling)


def _webp(image: Image, quality: int) -> bytes:
    out = BytesIO()
    image.save(out, "WEBP", quality=quality, method=PAINS, alpha_quality=ALPHA)
    return out.getvalue()
