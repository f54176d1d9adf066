"""A house's own picture of a drink, made fit for pages: upright, small, and nothing beside it.

Belongs here: that, and the dots of one that is measured, through Pillow. Does not belong here:
reading the file (house/files.py), where a page shows it (press/html), pictures that are computed
(traced.py).

It is unpacked and saved anew, so that nothing a camera wrote beside it (where and when it was
taken, by whom) reaches a guest.
"""

from __future__ import annotations

from contextlib import suppress
from io import BytesIO
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from anthocard.guard.limits import most_of

if TYPE_CHECKING:
    from PIL.Image import Image

#: The longer side of what is published, in dots: what a shared address is shown with.
LONGEST: Final = 1200
_FORMATS: Final = ("PNG", "JPEG", "WEBP")
_QUALITY: Final = 82  # of JPEG; chosen: at this size nobody sees more


def is_picture(content: bytes) -> bool:
    """Whether it can be opened, and is not too large to be unpacked."""
    with suppress(Exception):  # Pillow raises whatever its decoders do
        wide, tall = _opened(content).size
        return 0 < wide * tall <= most_of("pictures", "dots")
    return False


def size_of(content: bytes) -> tuple[int, int]:
    """How wide and tall `published` makes it, in dots; of what is no picture (0, 0)."""
    if not is_picture(content):
        return 0, 0
    picture = _opened(content)
    wide, tall = picture.size
    if picture.getexif().get(_ORIENTATION, 1) >= 5:  # on its side
        wide, tall = tall, wide
    share = min(1.0, LONGEST / max(wide, tall))
    return max(1, round(wide * share)), max(1, round(tall * share))


def published(content: bytes) -> bytes:
    """The picture as a JPEG of at most LONGEST dots, in sRGB, over white; no word beside it.

    Raises OSError or ValueError where it cannot be unpacked.
    """
    from PIL import Image, ImageOps

    size = size_of(content)
    if size == (0, 0):
        raise ValueError("this is no picture, or one too large to be unpacked")
    upright = ImageOps.exif_transpose(_opened(content))
    coloured = _in_srgb(upright).convert("RGBA")
    flat = Image.new("RGBA", coloured.size, "white")
    flat.alpha_composite(coloured)
    out = BytesIO()
    small = flat.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    small.save(out, "JPEG", quality=_QUALITY, optimize=True, progressive=True)
    return out.getvalue()


def dots(content: bytes) -> NDArray[np.uint8]:
    """The dots of a picture, upright and in sRGB: shape (high, wide, 3).

    Raises OSError or ValueError where it cannot be unpacked.
    """
    from PIL import ImageOps

    if not is_picture(content):
        raise ValueError("this is no picture, or one too large to be unpacked")
    return np.asarray(_in_srgb(ImageOps.exif_transpose(_opened(content))).convert("RGB"))


_ORIENTATION: Final = 0x0112  # the tag of EXIF that says which side is up


def _opened(content: bytes) -> Image:
    from PIL import Image

    return Image.open(BytesIO(content), formats=_FORMATS)


def _in_srgb(picture: Image) -> Image:
    """The same colours in sRGB, where it says that its own are others."""
    from PIL import ImageCms

    profile = picture.info.get("icc_profile")
    if profile and picture.mode in ("RGB", "L"):
        with suppress(ImageCms.PyCMSError, OSError):
            own = ImageCms.ImageCmsProfile(BytesIO(profile))
            srgb = ImageCms.createProfile("sRGB")
            changed = ImageCms.profileToProfile(picture, own, srgb, outputMode="RGB")
            return picture if changed is None else changed
    return picture
