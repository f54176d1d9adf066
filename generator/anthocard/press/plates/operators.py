"""The colours of one page or drawing in inks, operator by operator; nothing else of it is touched.

Belongs here: a content stream (ISO 32000-1 §8.6.8) as text. Does not belong here: which streams a
file has (conversion.py). WeasyPrint writes one operator a line and its strings in hexadecimal, so a
line that ends in a colour's operator is one; a stream that holds anything else is refused.
"""

from __future__ import annotations

import re
from typing import Final

from anthocard.press.plates.inks import BLACK, Inks, Rgb

#: The states that black type is set in, and all else: white type would vanish otherwise.
OVERPRINT, KNOCKOUT = "/BlackOver", "/KnockOut"

_COLOUR: Final = re.compile(
    rb"^(?:(?P<rgb>[-\d.]+ [-\d.]+ [-\d.]+) (?P<set>rg|RG)|(?P<grey>[-\d.]+) (?P<level>g|G)"
    rb"|(?P<save>q)|(?P<back>Q)|(?P<type>BT)|(?P<end>ET))$",
    re.M,
)
_PAINTED: Final = re.compile(rb"(?:^| )(BT|re|m|f\*?|B\*?|b\*?|S|s|sh|Do)$", re.M)
_OTHER_SPACE: Final = re.compile(rb"^/(?!Pattern |DeviceGray |DeviceCMYK )\S+ (?:cs|CS)$", re.M)
_UNREADABLE: Final = re.compile(rb"\(|^BI$", re.M)


def in_inks(content: bytes, inks: Inks) -> tuple[bytes, bool]:
    """The stream in inks, and whether it sets black type that overprints.

    Raises ValueError for a stream that was not written by WeasyPrint, or a colour of another space.
    """
    if _UNREADABLE.search(content):
        raise ValueError("a stream with literal strings or pictures in it")
    if other := _OTHER_SPACE.search(content):
        raise ValueError(f"a colour that is neither RGB nor grey: {other[0].decode()}")
    black = over = used = False
    stack: list[tuple[bool, bool]] = []

    def put(found: re.Match[bytes]) -> bytes:
        nonlocal black, over, used
        if found["save"]:
            stack.append((black, over))
        elif found["back"]:
            black, over = stack.pop() if stack else (False, False)
        elif found["type"]:
            if black != over:
                over, used = black, used or black
                return f"{OVERPRINT if black else KNOCKOUT} gs\n".encode() + found[0]
        elif found["end"]:
            if over:  # a black rule on a dark strip would be more ink than paper bears
                over = False
                return found[0] + f"\n{KNOCKOUT} gs".encode()
        elif found["rgb"]:
            red, green, blue = (float(v) for v in found["rgb"].split())
            colour: Rgb = (red, green, blue)
            painted = _PAINTED.search(content, found.end())
            cmyk = inks(colour, "type" if painted and painted[1] == b"BT" else "area")
            black = cmyk == BLACK if found["set"] == b"rg" else black
            return b"%g %g %g %g %s" % (*cmyk, b"k" if found["set"] == b"rg" else b"K")
        else:
            level = float(found["grey"])
            black = level == 0 if found["level"] == b"g" else black
            return b"0 0 0 %g %s" % (round(1 - level, 3), b"k" if found["level"] == b"g" else b"K")
        return found[0]

    return _COLOUR.sub(put, content), used


def in_grey(content: bytes) -> bytes:
    """The stream of a mask by brightness, which is light and no ink: its colours as greys."""

    def put(found: re.Match[bytes]) -> bytes:
        if not found["rgb"]:
            return found[0]
        red, green, blue = (float(v) for v in found["rgb"].split())
        grey = 0.3 * red + 0.59 * green + 0.11 * blue  # ISO 32000-1 §10.3.3
        return b"%.4f %s" % (grey, b"g" if found["set"] == b"rg" else b"G")

    return _COLOUR.sub(put, content)
