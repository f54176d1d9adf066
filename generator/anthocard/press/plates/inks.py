"""Colours of a screen in the inks of a press: black ink alone for type, four inks for drinks.

Belongs here: one colour at a time, and the only use of LittleCMS (in Pillow). Does not belong here:
where colours stand in a file (operators.py, shadings.py), the thresholds themselves (inks.yaml).
"""

from __future__ import annotations

import math
from functools import cache, cached_property
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias

import numpy as np

from anthocard.diagnostics.tables import read_table
from anthocard.press.plates.condition import Condition

if TYPE_CHECKING:
    from PIL.Image import Image

Rgb: TypeAlias = tuple[float, float, float]
Cmyk: TypeAlias = tuple[float, float, float, float]
#: What a colour is set for: type, a plain area, or a shading, in which nothing is turned to grey.
Use: TypeAlias = Literal["type", "area", "shading"]

PAPER: Final[Cmyk] = (0.0, 0.0, 0.0, 0.0)
BLACK: Final[Cmyk] = (0.0, 0.0, 0.0, 1.0)


class Inks:
    """sRGB from 0 to 1 in the inks of one condition, from 0 to 1, to three decimals.

    Relative colorimetric with black point compensation, from sRGB (IEC 61966-2-1) through the
    profile's own table; a sum above the condition's limit takes cyan, magenta and yellow back
    evenly, for the black carries the drawing.
    """

    def __init__(self, condition: Condition) -> None:
        from PIL import Image, ImageCms

        self.condition = condition
        press = ImageCms.ImageCmsProfile(BytesIO(condition.icc))
        srgb, lab = ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB", 5000)
        relative = ImageCms.Intent.RELATIVE_COLORIMETRIC
        exact = ImageCms.Flags.BLACKPOINTCOMPENSATION | ImageCms.Flags.HIGHRESPRECALC
        build = ImageCms.buildTransform
        self.transform: Any = build(srgb, press, "RGB", "CMYK", relative, exact)
        self._to_lab: Any = build(srgb, lab, "RGB", "LAB", relative)
        self._from_press: Any = build(press, lab, "CMYK", "LAB", relative)
        self._rgb, self._cmyk = Image.new("RGB", (1, 1)), Image.new("CMYK", (1, 1))
        self._lab = Image.new("LAB", (1, 1))
        self._known: dict[tuple[Rgb, Use], Cmyk] = {}

    def __call__(self, rgb: Rgb, use: Use) -> Cmyk:
        """The inks of a colour; white is the paper."""
        seen = (_level(rgb[0]), _level(rgb[1]), _level(rgb[2]))
        if (seen, use) not in self._known:
            self._known[seen, use] = self._worked_out(seen, use)
        return self._known[seen, use]

    def of_picture(self, shown: Image) -> bytes:
        """The inks of each pixel of an RGB picture, four bytes each, within the limit."""
        from PIL import ImageCms

        printed = ImageCms.applyTransform(shown, self.transform)
        assert printed is not None  # only a transform in place returns nothing
        inks = np.array(printed, dtype=np.float64)
        colours, black = inks[..., :3], inks[..., 3:]
        most = np.maximum(255 * self.condition.ink_limit - black, 0.0)
        all_three = np.maximum(colours.sum(axis=-1, keepdims=True), 1e-9)
        kept = np.floor(colours * np.minimum(1.0, most / all_three) + 1e-6)
        return np.concatenate([kept, black], axis=-1).astype(np.uint8).tobytes()

    def lab_of(self, rgb: Rgb) -> tuple[float, float, float]:
        """CIELAB of a colour on the screen, D50, white at L* 100."""
        return _lab(self._through(self._to_lab, _bytes(rgb), self._rgb, self._lab))

    def printed_lab(self, inks: Cmyk) -> tuple[float, float, float]:
        """CIELAB of inks on that paper, D50, the paper at L* 100."""
        return _lab(self._through(self._from_press, _bytes(inks), self._cmyk, self._lab))

    def _worked_out(self, rgb: Rgb, use: Use) -> Cmyk:
        if min(rgb) > 0.998:
            return PAPER
        if use != "shading":
            lightness, a, b = self.lab_of(rgb)
            chroma = math.hypot(a, b)
            if lightness > _limit("paper_lightness") and chroma < _limit("paper_chroma"):
                return PAPER
            if chroma < _neutral_below(lightness, use):
                return 0.0, 0.0, 0.0, self._black_for(lightness)
        c, m, y, k = (
            v / 255 for v in self._through(self.transform, _bytes(rgb), self._rgb, self._cmyk)
        )
        over = c + m + y + k - self.condition.ink_limit
        if over > 0 and c + m + y > 0:
            c, m, y = (v * max(0.0, 1 - over / (c + m + y)) for v in (c, m, y))
        return round(c, 3), round(m, 3), round(y, 3), round(k, 3)

    @cached_property
    def _ramp(self) -> list[float]:
        """L* of black ink alone, by 256 steps."""
        return [self.printed_lab((0.0, 0.0, 0.0, k / 255))[0] for k in range(256)]

    def _black_for(self, lightness: float) -> float:
        """Black ink of that lightness, the darkest black at L* 0: contrast is kept."""
        if lightness < _limit("solid_below"):
            return 1.0
        wanted = self._ramp[255] + (self._ramp[0] - self._ramp[255]) * lightness / 100
        return round(min(range(256), key=lambda k: abs(self._ramp[k] - wanted)) / 255, 3)

    @staticmethod
    def _through(transform: Any, value: tuple[int, ...], into: Any, out: Any) -> tuple[int, ...]:
        """One pixel. Not `applyTransform`, which copies the profile into each answer (1.4 ms)."""
        into.putpixel((0, 0), value)
        transform.transform.apply(into.getim(), out.getim())
        pixel: tuple[int, ...] = out.getpixel((0, 0))
        return pixel


@cache
def _limit(key: str) -> float:
    return float(read_table(__package__, "inks.yaml")["neutral"][key]["value"])


def _neutral_below(lightness: float, use: Use) -> float:
    if use == "type":
        return _limit("type_chroma")
    return _limit("dark_chroma" if lightness < _limit("dark_below") else "light_chroma")


def _level(value: float) -> float:
    """To the nearest of 256 levels, as a screen shows it."""
    return round(min(1.0, max(0.0, value)) * 255) / 255


def _bytes(values: tuple[float, ...]) -> tuple[int, ...]:
    return tuple(round(v * 255) for v in values)


def _lab(pixel: tuple[int, ...]) -> tuple[float, float, float]:
    """Pillow's LAB pixel: L* over 255, a* and b* set off by 128."""
    return pixel[0] / 2.55, pixel[1] - 128.0, pixel[2] - 128.0
