"""Every demo card as it goes to a press, measured: `python -m tests.press.pressed [THEME or SIZE …]`.

Of themes all four and of sizes A6 where none is named.

Belongs here: what a press would mind, read by our own look and by Ghostscript's separations: RGB,
type on several plates, boxes, ink, seams at the trim, the time it takes. Does not belong here:
faults planted on purpose (test_plates.py).
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, partial
from itertools import product
from pathlib import Path

import numpy as np
import pikepdf
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.facts.colour.colours import delta_e_2000
from anthocard.house.reader import Collection, read_house
from anthocard.press.base.sizes import POINTS_PER_MM, card_paper, names
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.job import HERE
from anthocard.press.plates.condition import read_condition
from anthocard.press.plates.conversion import press_ready
from anthocard.press.plates.inks import Inks
from anthocard.press.plates.preflight import problems
from anthocard.press.words.card import make_card
from PIL import Image, ImageCms

RECIPES = Path(__file__).parents[2] / "recipes"
PROFILE = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
THEMES = ("base", "dusk", "plain", "almanac")
#: A seam is looked for this far to either side of the trim, mm: beyond what anti-aliasing mixes.
BESIDE_MM = 0.35

#: Along the trim colours are weighed over so many dots, 0.4 mm at 300 dots an inch: a Lab of eight
#: bits goes in whole steps of a* and b*, so that one level of one ink alone may tell 1.03 ΔE00.
ALONG = 5

#: More black than this, of 255, is a mark on a strip, no colour of it.
MARK = 240


@dataclass(frozen=True, slots=True)
class Measured:
    """One side: faults in words, the most ink on one place (%), the widest seam (ΔE00), seconds."""

    what: str
    faults: tuple[str, ...]
    ink_percent: float
    seam: float
    seconds: float


@cache
def demo() -> tuple[Collection, dict[str, Computed]]:
    collection = read_house(RECIPES)
    return collection, dict(compute(collection)[0])


def sides(pairs: Iterable[tuple[str, str]], size: str = "A6") -> Iterator[tuple[str, bytes]]:
    """Both sides of cards by slug and theme, as an office printer gets them."""
    collection, computed = demo()
    for slug, theme in pairs:
        one = computed[slug]
        card, at = make_card(one, collection.house), partial(collection.at, one.recipe)
        made = HERE.now(print_card(card, one, find_theme(theme), card_paper(size), at))
        yield f"{slug} {theme} front", made.front
        yield f"{slug} {theme} back", made.back


def measured(pairs: Iterable[tuple[str, str]], size: str = "A6", dpi: int = 300) -> list[Measured]:
    """Every side put into inks, looked at, and separated by Ghostscript in one go."""
    inks = Inks(read_condition(PROFILE.read_bytes(), "CGATS TR 001"))
    names, ready, seconds = [], [], []
    for what, pdf in sides(pairs, size):
        began = time.process_time()
        ready.append(press_ready(pdf, inks))
        seconds.append(time.process_time() - began)
        names.append(what)
    plates = list(_separated(ready, dpi))
    found = []
    for what, pdf, plate, took in zip(names, ready, plates, seconds, strict=True):
        faults = [*problems(pdf), *_boxes(pdf, size)]
        found.append(Measured(what, tuple(faults), _ink(plate), _seam(pdf, plate, dpi), took))
    return found


def _boxes(pdf: bytes, size: str) -> Iterator[str]:
    paper = card_paper(size)
    with pikepdf.open(io.BytesIO(pdf)) as document:
        trim = [float(v) / POINTS_PER_MM for v in document.pages[0].TrimBox]
    wide, tall = trim[2] - trim[0], trim[3] - trim[1]
    if abs(wide - paper.width_mm) > 0.02 or abs(tall - paper.height_mm) > 0.02:
        yield f"trimmed to {wide:.2f} × {tall:.2f} mm"


def _separated(pdfs: list[bytes], dpi: int) -> Iterator[np.ndarray]:
    """Shares of cyan, magenta, yellow and black, (rows, columns, 4), overprint simulated."""
    with tempfile.TemporaryDirectory() as folder:
        whole = pikepdf.new()
        for pdf in pdfs:
            whole.pages.extend(pikepdf.open(io.BytesIO(pdf)).pages)
        whole.save(f"{folder}/all.pdf")
        command = [
            "gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiff32nc", f"-r{dpi}",
            "-dOverprint=/simulate", "-o", f"{folder}/p%04d.tif", f"{folder}/all.pdf",
        ]  # fmt: skip
        subprocess.run(command, check=True, capture_output=True)
        for path in sorted(Path(folder).glob("p*.tif")):
            yield np.asarray(Image.open(path))


def _ink(plate: np.ndarray) -> float:
    return float(plate.astype(float).sum(axis=-1).max() / 2.55)


def _seam(pdf: bytes, plate: np.ndarray, dpi: int) -> float:
    """The widest difference across the trim, along all four edges, small marks left out."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        page = document.pages[0]
        trim, media = ([float(v) for v in page[key]] for key in ("/TrimBox", "/MediaBox"))
    scale, near = dpi / 72, BESIDE_MM * POINTS_PER_MM
    left, right = (trim[0] - media[0]), (trim[2] - media[0])
    top, low = (media[3] - trim[3]), (media[3] - trim[1])
    across = [int(x * scale) for x in (left - near, left + near, right - near, right + near)]
    down = [int(y * scale) for y in (top - near, top + near, low - near, low + near)]
    inner_x, inner_y = slice(across[1], across[2] + 1), slice(down[1], down[2] + 1)
    lines = [
        (plate[inner_y, across[0]], plate[inner_y, across[1]]),
        (plate[inner_y, across[3]], plate[inner_y, across[2]]),
        (plate[down[0], inner_x], plate[down[1], inner_x]),
        (plate[down[3], inner_x], plate[down[2], inner_x]),
    ]
    widest = 0.0
    for outside, inside in lines:
        marks = (outside[:, 3] > MARK) | (inside[:, 3] > MARK)
        clear = ~np.convolve(marks, np.ones(17), mode="same").astype(bool)
        if clear.any():
            here, there = _even(_lab(outside)), _even(_lab(inside))  # a raster may lie a pixel off
            shifts = (np.roll(there, by, axis=0) for by in (-1, 0, 1))
            wide = np.min([delta_e_2000(here, one) for one in shifts], axis=0)
            widest = max(widest, float(np.max(wide[clear])))
    return widest


def _even(lab: np.ndarray) -> np.ndarray:
    """The mean of each with those beside it, (n, 3)."""
    ends = np.pad(lab, ((ALONG // 2, ALONG // 2), (0, 0)), mode="edge")
    return np.lib.stride_tricks.sliding_window_view(ends, ALONG, axis=0).mean(axis=-1)


def _lab(cmyk: np.ndarray) -> np.ndarray:
    """Lab of inks by the profile, relative to its paper; (n, 4) of levels to (n, 3)."""
    pixels = Image.frombytes("CMYK", (len(cmyk), 1), np.ascontiguousarray(cmyk).tobytes())
    made = ImageCms.applyTransform(pixels, _to_lab())
    light, a, b = (np.asarray(band, float)[0] for band in made.split())
    a, b = a - 128.0, b - 128.0  # as Pillow sets them off
    return np.stack([light / 2.55, a, b], axis=-1)


@cache
def _to_lab() -> ImageCms.ImageCmsTransform:
    profile = ImageCms.getOpenProfile(io.BytesIO(PROFILE.read_bytes()))
    lab = ImageCms.createProfile("LAB")
    return ImageCms.buildTransform(profile, lab, "CMYK", "LAB", renderingIntent=1)


def main(asked: list[str]) -> int:
    """Every demo card in each theme and size; the worst of each measure, and what is beyond it."""
    slugs = [slug for slug, one in demo()[1].items() if one.is_drink]
    sizes = [size for size in names("cards") if size in asked]
    pairs = [*product([look for look in asked if look not in sizes] or THEMES, slugs)]
    worst = 0
    for size in sizes or ["A6"]:
        found = measured(((slug, look) for look, slug in pairs), size)
        bad = [one for one in found if one.faults or one.ink_percent > 300.5 or one.seam > 1.0]
        for one in bad:
            print(one.what, *one.faults, f"{one.ink_percent:.0f} %", f"seam {one.seam:.2f}")
        ink, seam = max(one.ink_percent for one in found), max(one.seam for one in found)
        mean = 1000 * sum(one.seconds for one in found) / len(found)
        told = f"ink {ink:.0f} %, seam {seam:.2f}, {mean:.1f} ms"
        print(f"{size}: {len(found)} sides, {len(bad)} beyond: {told}", flush=True)
        worst += len(bad)
    return bool(worst)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
