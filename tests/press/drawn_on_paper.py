"""What a PDF shows as pictures, read back from its bytes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import yaml

BOUNDS = yaml.safe_load(Path(__file__).with_name("picture_bounds.yaml").read_text("utf-8"))


@dataclass(frozen=True)
class DrawnPicture:
    """A picture on a page: its pixels as they are stored and how much each covers, 0-1; the fewest
    dots an inch, whether a viewer may smooth it, the space its colours are in.
    """

    pixels: np.ndarray
    cover: np.ndarray
    dots_an_inch: float
    smoothed: bool
    space: str


def pictures_of(pdf: bytes) -> list[DrawnPicture]:
    """The pictures of all pages as they are drawn, once for each time."""
    found = []
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            found += _of_stream(page, page.obj.Resources, np.eye(3))
    return found


def figures(node: Any) -> Iterator[Any]:
    """The structure elements that are figures, in the order they are read."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            if kid.S == "/Figure":
                yield kid
            yield from figures(kid)


def _of_stream(stream: Any, resources: Any, at: np.ndarray) -> list[DrawnPicture]:
    found, kept = [], []
    for operands, operator in pikepdf.parse_content_stream(stream, "q Q cm Do"):
        match str(operator):
            case "q":
                kept.append(at)
            case "Q":
                at = kept.pop() if kept else at
            case "cm":
                a, b, c, d, e, f = (float(v) for v in operands)
                at = np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]]) @ at
            case "Do":
                drawn = resources.XObject[str(operands[0])]
                if drawn.Subtype == "/Image":
                    found.append(_picture(drawn, at))
                else:
                    found += _of_stream(drawn, drawn.get("/Resources", resources), at)
            case _:
                pass
    return found


def _picture(drawn: Any, at: np.ndarray) -> DrawnPicture:
    wide_pt, tall_pt = np.hypot(*at[0, :2]), np.hypot(*at[1, :2])
    dots = min(72.0 * int(drawn.Width) / wide_pt, 72.0 * int(drawn.Height) / tall_pt)
    shape = int(drawn.Height), int(drawn.Width), -1
    pixels, cover = (_bytes(one).reshape(shape) for one in (drawn, drawn.SMask))
    smoothed = any(bool(one.get("/Interpolate", False)) for one in (drawn, drawn.SMask))
    return DrawnPicture(pixels, cover[..., 0] / 255.0, dots, smoothed, str(drawn.ColorSpace))


def _bytes(drawn: Any) -> np.ndarray:
    if drawn.ColorSpace == "/DeviceCMYK":
        return np.frombuffer(drawn.read_bytes(), dtype=np.uint8)
    mode = "RGB" if drawn.ColorSpace == "/DeviceRGB" else "L"
    return np.array(pikepdf.PdfImage(drawn).as_pil_image().convert(mode)).ravel()
