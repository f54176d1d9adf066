"""Colours on the back of a card and in the book: the computed sRGB in two viewers.

Two engines (pdfium and Poppler), because each hides faults the other shows. The front of a card is
in test_paper.py.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import Place
from anthocard.engine.results import Computed
from anthocard.house.settings import House
from anthocard.press.base.sizes import book_paper, card_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.job import HERE
from anthocard.press.paper.spec_book import print_book
from anthocard.press.words.card import make_card
from PIL import Image

from tests.press.conftest import SmallBook

THEMES = ("base", "dusk", "plain", "almanac")
DPI = 150


def rasters(pdf: bytes, page: int, folder: Path) -> Iterator[np.ndarray[Any, Any]]:
    """One page by pdfium, then by Poppler, RGB."""
    document = pypdfium2.PdfDocument(pdf)
    yield np.asarray(document[page].render(scale=DPI / 72).to_pil().convert("RGB")).astype(int)
    document.close()
    path, number = folder / "paper.pdf", str(page + 1)
    path.write_bytes(pdf)
    command = ["pdftoppm", "-r", str(DPI), "-f", number, "-l", number, "-png", "-singlefile"]
    subprocess.run([*command, str(path), str(folder / "page")], check=True)
    yield np.asarray(Image.open(folder / "page.png").convert("RGB")).astype(int)


def rgb(hex_: str) -> list[int]:
    return [int(hex_[i : i + 2], 16) for i in (1, 3, 5)]


@pytest.mark.parametrize("theme", THEMES)
def test_the_strip_of_a_back(
    theme: str, by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """Along the foot: the colour before at the left end, the one after at the dose."""
    one = by_hand.compute(by_hand.drink())
    card = make_card(one, house)

    def at(loc: tuple[str | int, ...]) -> Place:
        return Place("x.md")

    back = cut(HERE.now(print_card(card, one, find_theme(theme), card_paper("A6"), at)).back)
    (dose,) = (tick for tick in card.ticks if tick.dose)
    for pixels in rasters(back, 0, tmp_path):
        row = pixels[int(pixels.shape[0] * 0.95)]
        assert np.abs(row[2] - rgb(one.before.colour.hex)).max() <= 2
        # The white line of the dose is 1.3 mm wide: the strip is read 1 mm beside it, where the
        # colour has gone on by some steps of 255.
        beside = int(row.shape[0] * float(dose.percent) / 100 + DPI / 25.4)
        assert np.abs(row[beside] - rgb(one.after.colour.hex)).max() <= 10


@pytest.mark.parametrize("theme", THEMES)
def test_the_glasses_of_the_book(
    theme: str, frost: Computed, infusion: Computed, house: House, tmp_path: Path
) -> None:
    """Each glass on the facing page holds more than 20 mm² of exactly its computed colour."""
    look = find_theme(theme)
    computed = {one.slug: one for one in (infusion, frost)}
    cards = {slug: make_card(one, house) for slug, one in computed.items()}
    small = SmallBook(house, {})
    pdf = HERE.now(print_book(small, computed, cards, look, {}, book_paper("A5")))  # type: ignore[arg-type]
    document = pypdfium2.PdfDocument(pdf)
    texts = [one.get_textpage().get_text_range() for one in document]
    document.close()
    (page,) = (
        n for n, text in enumerate(texts) if text.count("Why it turns") and "Figures" in text
    )
    assert frost.after is not None
    for pixels in rasters(pdf, page, tmp_path):
        for state in (frost.before, frost.after):
            same = np.all(pixels == rgb(state.colour.hex), axis=-1).sum()
            assert same * (25.4 / DPI) ** 2 > 20
