"""Papers: one sheet, true colours in two viewers, our fonts only, in silence, the same twice."""

import io
import logging
import re
import subprocess
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.engine.results import Computed
from anthocard.house.settings import House
from anthocard.press.base.refusals import PaperError, PaperUnavailable
from anthocard.press.base.theme import find_theme
from anthocard.press.paper import typeset as paper
from anthocard.press.paper.card_page import card_fits, card_page
from anthocard.press.paper.job import HERE, card_pdf, paper_pdf
from anthocard.press.paper.typeset import missing_glyphs
from anthocard.press.words.card import Card, make_card
from PIL import Image

THEME = find_theme()
STYLE = THEME.style("card.css")
PLACE = Place("recipes/drinks/first-frost.md")


def printed(card: Card) -> bytes:
    page = partial(card_page, card, THEME)
    return HERE.now(card_pdf(page, card_fits(card, THEME), STYLE, card.name, PLACE))


@pytest.fixture(scope="module")
def frost_pdf(by_hand: Any, house: House) -> bytes:
    return printed(make_card(by_hand.compute(by_hand.drink()), house))


def rasters(pdf: bytes, folder: Path) -> dict[str, np.ndarray[Any, Any]]:
    """The first page by two engines, 150 dpi, RGB."""
    path = folder / "card.pdf"
    path.write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "150", "-png", "-singlefile", str(path), str(folder / "card")],
        check=True,
    )
    document = pypdfium2.PdfDocument(pdf)
    image = document[0].render(scale=150 / 72).to_pil().convert("RGB")
    document.close()
    poppler = Image.open(folder / "card.png").convert("RGB")
    return {"pdfium": np.asarray(image), "poppler": np.asarray(poppler)}


def rgb(hex_: str) -> list[int]:
    return [int(hex_[i : i + 2], 16) for i in (1, 3, 5)]


def test_a_card_is_one_a6_sheet(frost_pdf: bytes) -> None:
    """105 x 148 mm (ISO 216), one page, at 72 points an inch."""
    with pikepdf.open(io.BytesIO(frost_pdf)) as pdf:
        assert len(pdf.pages) == 1
        box = [float(x) for x in pdf.pages[0].mediabox]
    assert box == pytest.approx([0, 0, 105 / 25.4 * 72, 148 / 25.4 * 72], abs=0.01)


def test_swatches_are_the_computed_colour_in_two_viewers(
    frost_pdf: bytes, frost: Computed, tmp_path: Path
) -> None:
    """Pixels of exactly the computed sRGB cover more than 20 mm² each, in pdfium and in Poppler.

    Two engines, because each hides faults the other shows.
    """
    assert frost.after is not None
    for engine, pixels in rasters(frost_pdf, tmp_path).items():
        for state in (frost.before, frost.after):
            same = np.all(pixels == rgb(state.colour.hex), axis=-1).sum()
            assert same * (25.4 / 150) ** 2 > 20, (engine, state.colour.hex)


def test_the_strip_runs_from_edge_to_edge(
    frost_pdf: bytes, frost: Computed, tmp_path: Path
) -> None:
    """No white at either side of the strip, and its first colour is the drink before."""
    for pixels in rasters(frost_pdf, tmp_path).values():
        row = pixels[int(pixels.shape[0] * 0.97)].astype(int)
        assert np.abs(row[2] - rgb(frost.before.colour.hex)).max() <= 2
        assert (row[[1, -2]].min(axis=-1) < 240).all()


def test_a_card_is_tagged_and_speaks(frost_pdf: bytes) -> None:
    """PDF/UA-1 (ISO 14289-1): title, language, structure, and words for each drawing."""
    with pikepdf.open(io.BytesIO(frost_pdf)) as pdf:
        assert str(pdf.Root.Lang) == "en"
        assert "First Frost" in str(pdf.docinfo["/Title"])
        assert bool(pdf.Root.MarkInfo.Marked)
        alts = [
            str(o.Alt) for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/Alt" in o
        ]
    assert sum("goblet" in alt for alt in alts) == 2
    assert sum("Turn strip" in alt for alt in alts) == 1


def test_only_the_packaged_fonts_are_used(frost_pdf: bytes, tmp_path: Path) -> None:
    """The machine's own faces never reach a card, so it looks the same everywhere."""
    (tmp_path / "card.pdf").write_bytes(frost_pdf)
    told = subprocess.run(
        ["pdffonts", str(tmp_path / "card.pdf")], check=True, capture_output=True, text=True
    ).stdout.splitlines()[2:]
    names = {re.sub(r"^[A-Z]{6}\+", "", line.split()[0]) for line in told}
    assert {re.split(r"[-]", name)[0] for name in names} == {"Fira", "Spectral"}


def test_type_is_as_large_as_promised(frost_pdf: bytes) -> None:
    """Cap heights: name 4.5 mm, pours 3.3 mm, ticks 2.2 mm at least (read at 0.7 m: 20 to 22
    minutes of arc; ISO 9355-2 as remembered). Fira caps 0.689 em, Spectral 0.66 em (their OS/2)."""
    document = pypdfium2.PdfDocument(frost_pdf)
    page = document[0].get_textpage()
    sizes: dict[str, float] = {}
    for word, cap in (("First Frost", 0.66), ("honey", 0.689), ("pH 5", 0.689), ("50", 0.689)):
        searcher = page.search(word)
        start, _ = searcher.get_next()
        low, high = page.get_charbox(start, loose=True)[1::2]
        sizes[word] = (high - low) / 72 * 25.4 * cap
        searcher.close()
    document.close()
    assert sizes["First Frost"] > 4.5
    assert sizes["honey"] > 3.3
    assert sizes["50"] > 3.3
    assert sizes["pH 5"] > 2.2


def test_the_same_card_is_the_same_bytes(frost_pdf: bytes, frost: Computed, house: House) -> None:
    """Printed twice in one process: not a byte differs."""
    assert printed(make_card(frost, house)) == frost_pdf


def test_a_good_card_logs_nothing(
    frost: Computed, house: House, caplog: pytest.LogCaptureFixture
) -> None:
    """Silence is a result."""
    with caplog.at_level(logging.WARNING):
        printed(make_card(frost, house))
    assert caplog.records == []


@pytest.mark.parametrize(
    "markup",
    [
        '<img src="https://elsewhere.example/x.png" alt="x">',
        '<img src="file:///etc/hostname" alt="x">',
        '<p style="background: url(https://elsewhere.example/x.png)">x</p>',
    ],
)
def test_nothing_is_fetched_from_anywhere(markup: str) -> None:
    """A theme that reaches out of the page is refused aloud, not left half drawn."""
    html = f'<html lang="en"><head><title>x</title></head><body>{markup}</body></html>'
    with pytest.raises(PaperError):
        HERE.now(paper_pdf(lambda: html, STYLE))


def test_a_style_that_is_not_understood_is_told(frost: Computed, house: House) -> None:
    """A property that WeasyPrint ignores is a PaperError: a card never loses a rule in silence."""
    html = card_page(make_card(frost, house), THEME, "even")
    with pytest.raises(PaperError, match="colour-of-mind"):
        HERE.now(paper_pdf(lambda: html, STYLE + "\nh1 { colour-of-mind: blue; }"))


def hostile(by_hand: Any, pours: int, name: str, words: str) -> Computed:
    measures = tuple(by_hand.measure(f"{words} {i + 1}", 12.5) for i in range(pours))
    computed: Computed = by_hand.compute(by_hand.drink(name=name), measures=measures, slug="x")
    return computed


@pytest.mark.parametrize("pours", [1, 2, 3, 5, 7, 9])
def test_a_usual_card_fits_by_giving_way(by_hand: Any, house: House, pours: int) -> None:
    """Air goes first, then sizes, never a line."""
    card = make_card(hostile(by_hand, pours, "A Name of Middling Length", "plain syrup"), house)
    document = pypdfium2.PdfDocument(printed(card))
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert all(f"plain syrup {i + 1}" in text for i in range(pours))
    assert "verjus" in text


@pytest.mark.parametrize("name", ["base", "dusk", "plain", "almanac"])
@pytest.mark.parametrize("pours", [1, 2, 3, 4, 5, 6, 7, 8, 9])
def test_a_card_gives_way_no_more_than_it_must(
    by_hand: Any, house: House, pours: int, name: str
) -> None:
    """Steps are small enough: at least three quarters of a card's height are filled, or six tenths
    where the strip stands upright: its column is tall, and narrow, so that names step by lines."""
    theme = find_theme(name)
    card = make_card(hostile(by_hand, pours, "A Name of Middling Length", "plain syrup"), house)
    for fit in card_fits(card, theme):
        html = card_page(card, theme, fit)
        document = paper._render(html, theme.style("card.css"), theme.fonts, {})
        if len(document.pages) == 1:
            break
    boxes = document.pages[0]._page_box.descendants()
    main = next(box for box in boxes if box.element_tag == "main")
    filled = sum(child.height for child in main.children) / main.height
    assert filled > (0.6 if theme.strip in ("left", "right") else 0.75) or 'class="grand"' in html


def test_a_card_that_cannot_fit_is_refused_by_name(by_hand: Any, house: House) -> None:
    """Fourteen long lines under a name of eighty letters: the author is told which card it is."""
    name = "The Extraordinarily Long and Winding Tale of the Lamplighter and His Reluctant O"
    card = make_card(hostile(by_hand, 14, name, "twice-distilled cornflower and quince"), house)
    with pytest.raises(AuthorError, match="Lamplighter") as caught:
        printed(card)
    assert caught.value.mistakes[0].kind == "card-too-full"
    assert caught.value.mistakes[0].place == PLACE


@pytest.mark.parametrize("name", ["霜の初め", "أول صقيع", "ความเย็น"])
def test_a_script_no_face_has_is_refused_by_name(by_hand: Any, house: House, name: str) -> None:
    """Empty boxes are never printed: the missing characters and the drink are named."""
    with pytest.raises(AuthorError, match="no face on paper has") as caught:
        printed(make_card(hostile(by_hand, 2, name, "syrup"), house))
    assert name in str(caught.value)


def test_a_themes_own_font_widens_what_can_be_set() -> None:
    """Characters are looked up in the packaged faces and in a theme's own."""
    assert missing_glyphs("½ ¼ ¾ ⅓ ⅛ ° × − µ Δ ж ß ø") == ""
    assert missing_glyphs("a霜b霜") == "霜"


def test_no_pango_is_told_with_the_line_that_mends_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine without the libraries gets the exact command, not a stack of names."""
    monkeypatch.setattr(paper.sys, "platform", "linux")
    assert "apt-get install -y libpango-1.0-0" in str(PaperUnavailable(OSError("libpango")))
    monkeypatch.setattr(paper.sys, "platform", "darwin")
    assert "brew install pango" in str(PaperUnavailable(OSError("libpango")))
