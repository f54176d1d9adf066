"""Bar cards: exact boxes, both sides, every size and theme, and refusals that name the field."""

from __future__ import annotations

import io
import subprocess
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pikepdf
import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.engine.results import Computed
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.sizes import POINTS_PER_MM, card_paper, sheet_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.bar_cards import Printed, print_card, print_sheets
from anthocard.press.paper.card_page import FITS, card_fits, card_page
from anthocard.press.paper.impose import lay_out
from anthocard.press.paper.job import HERE, card_pdf
from anthocard.press.words.card import make_card

from tests.press.hostile import NAME, POURS, hostile, some_of, with_squares

THEMES = ("base", "dusk", "plain", "almanac")


def at(loc: tuple[str | int, ...]) -> Place:
    return Place("recipes/drinks/first-frost.md", text=".".join(map(str, loc)))


@pytest.fixture(scope="module")
def frost_card(by_hand: SimpleNamespace, house: House) -> Printed:
    one = by_hand.compute(by_hand.drink())
    return HERE.now(print_card(make_card(one, house), one, find_theme(), card_paper("A6"), at))


def words(pdf: bytes) -> str:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True
    )
    return done.stdout.decode().replace("\xa0", " ")


def as_set(pdf: bytes) -> str:
    """The words of the first page, in the order in which they were set."""
    document = pypdfium2.PdfDocument(pdf)
    text: str = document[0].get_textpage().get_text_range()
    document.close()
    return text.replace("\xa0", " ")


@pytest.mark.parametrize("side", ["front", "back"])
def test_boxes_are_exact(frost_card: Printed, side: str) -> None:
    """Trim is A6 (ISO 216), bleed and media 3 mm around it, and a screen shows the trimmed card."""
    with pikepdf.open(io.BytesIO(getattr(frost_card, side))) as pdf:
        (one,) = pdf.pages
        media, bleed, trim, crop = (
            np.array([float(v) for v in one[name]]) / POINTS_PER_MM
            for name in ("/MediaBox", "/BleedBox", "/TrimBox", "/CropBox")
        )
    assert trim[2:] - trim[:2] == pytest.approx([105.0, 148.0], abs=0.01)
    assert trim - media == pytest.approx([3, 3, -3, -3], abs=0.01)
    assert bleed == pytest.approx(media, abs=0.01)
    assert crop == pytest.approx(trim, abs=0.01)


def test_the_strip_runs_out_into_the_bleed(frost_card: Printed, frost: Computed) -> None:
    """Every pixel of the outermost half millimetre beside and under the strip is strip."""
    with pikepdf.open(io.BytesIO(frost_card.front)) as pdf:
        pdf.pages[0].CropBox = pdf.pages[0].MediaBox
        whole = io.BytesIO()
        pdf.save(whole)
    document = pypdfium2.PdfDocument(whole.getvalue())
    pixels = np.asarray(document[0].render(scale=4 / POINTS_PER_MM).to_pil().convert("RGB"))
    document.close()
    foot = pixels[-2:, 8:-8].reshape(-1, 3)
    left, right = pixels[-40:-4, 1], pixels[-40:-4, -3]
    assert not np.any(np.all(np.concatenate([foot, left, right]) > 250, axis=1))
    assert frost.after is not None
    first, last = (
        tuple(int(h[i : i + 2], 16) for i in (1, 3, 5))
        for h in (frost.before.colour.hex, pixels_hex(right[0]))
    )
    assert np.abs(left[0].astype(int) - first).max() <= 2
    assert last == tuple(right[0])


def pixels_hex(pixel: np.ndarray[Any, Any]) -> str:
    return "#" + "".join(f"{int(v):02x}" for v in pixel)


def test_the_text_comes_in_reading_order(frost_card: Printed) -> None:
    """pdftotext: name, then pours in order, then the reveal, then care."""
    text = words(frost_card.front)
    order = ["First Frost", "pea-flower gin", "honey syrup", "citrate buffer", "house bitters",
             "verjus", "% vol"]  # fmt: skip
    assert [text.index(word) for word in order] == sorted(text.index(word) for word in order)


def test_the_back_tells_why(frost_card: Printed) -> None:
    """The back: why it turns with both pH, figures, ten serves by volume, edition."""
    text = words(frost_card.back)
    for told in ("Why it turns", "from 6.2 to 3.1", "10 serves", "500 ml", "edition 4f2a"):
        assert told in text


@pytest.mark.parametrize(
    ("paper", "factor"), [("A6", 1.0), ("4x6", 1.0), ("A5", 1.165), ("5x7", 1.0)]
)
def test_larger_cards_have_larger_letters(
    paper: str, factor: float, by_hand: SimpleNamespace, house: House
) -> None:
    """Letters grow with the card and are never smaller than on A6; on A5, as much as it is larger
    than 5 × 7 in. The largest letter on the card is its name; heights from pdftotext's boxes.
    """
    one = by_hand.compute(by_hand.drink())
    card = make_card(one, house)
    small = tallest(HERE.now(print_card(card, one, find_theme(), card_paper("A6"), at)).front)
    large = tallest(HERE.now(print_card(card, one, find_theme(), card_paper(paper), at)).front)
    assert large >= 0.98 * factor * small


def tallest(pdf: bytes) -> float:
    done = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    boxes = [line for line in done.stdout.decode().splitlines() if "<word" in line]
    ends = [[float(part.split('"')[1]) for part in line.split()[1:5]] for line in boxes]
    return max(box[3] - box[1] for box in ends)


@pytest.mark.parametrize(("theme", "paper"), some_of(THEMES, papers.names("cards"), 4))
def test_a_hostile_recipe_fits_or_is_named(
    theme: str, paper: str, by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """Each theme and each size once: nine pours under the longest name in three scripts fit one page,
    every line of them; fourteen fit too, or a refusal names the drink and what to shorten.
    """
    dressed = with_squares(theme, tmp_path / "squares")
    for pours in (9, POURS):
        one = hostile(by_hand, pours)
        try:
            made = HERE.now(print_card(make_card(one, house), one, dressed, card_paper(paper), at))
        except AuthorError as refused:
            (mistake,) = refused.mistakes
            assert pours == POURS
            assert NAME in mistake.message
            assert mistake.place.text in ("pours", "name", "garnish")
            continue
        with pikepdf.open(io.BytesIO(made.front)) as pdf:
            assert len(pdf.pages) == 1
        text = " ".join(as_set(made.front).split())  # a name may stand on two lines
        assert all(f"number {n}" in text for n in range(pours) if n % 5)


def test_a_refusal_names_the_field(by_hand: SimpleNamespace, house: House) -> None:
    """A serving line of a page's length is what is too long, and it is said so, at its place."""
    drink = by_hand.drink(
        reveal={"pour": "verjus", "amount": "12.5 ml", "served": "slowly, and once more " * 9}
    )
    pours = tuple(by_hand.measure(f"spirit number {n}", 5.0 + n) for n in range(11))
    one = by_hand.compute(drink, measures=pours)
    with pytest.raises(AuthorError) as refused:
        HERE.now(print_card(make_card(one, house), one, find_theme(), card_paper("A6"), at))
    (mistake,) = refused.value.mistakes
    assert mistake.place.text == "reveal.served"
    assert "First Frost" in mistake.message
    assert "reveal.served" in mistake.mend


def test_a_letter_nobody_has_is_refused_by_name(by_hand: SimpleNamespace, house: House) -> None:
    """Without a face for it, a script is refused with the drink's name, never set as boxes."""
    one = hostile(by_hand)
    with pytest.raises(AuthorError, match="no face on paper has"):
        HERE.now(print_card(make_card(one, house), one, find_theme(), card_paper("A6"), at))


async def _made(card: Printed) -> Printed:
    return card


def test_sheets_carry_their_legend_and_repeat(frost_card: Printed) -> None:
    """The margin tells house, edition, sheet i/n and the seal; a rebuild gives the same bytes."""
    layout = lay_out(card_paper("A6"), sheet_paper("A4"))
    legend = "The Cold Frame · edition 4f2a · 2026-03-01"
    first, second = (
        HERE.now(
            print_sheets(
                [_made(frost_card) for _ in range(3)], layout, find_theme(), [legend] * 2, "long"
            )
        )
        for _ in range(2)
    )
    assert first == second
    text = words(first)
    assert text.count(legend) == 4
    for told in ("sheet 1/2 front", "sheet 1/2 back", "sheet 2/2 back", "keep 3 mm seal"):
        assert told in text


def test_same_card_same_bytes(frost_card: Printed, by_hand: SimpleNamespace, house: House) -> None:
    """A card made again is the same file."""
    one = by_hand.compute(by_hand.drink())
    assert (
        HERE.now(print_card(make_card(one, house), one, find_theme(), card_paper("A6"), at))
        == frost_card
    )


def test_a_card_with_more_on_it_starts_tighter(by_hand: Any, house: House) -> None:
    """No setting is tried that could not hold the lines; the tightest always is."""
    counts = []
    for pours in (1, 4, 8, 14):
        measures = tuple(by_hand.measure(f"thing {i}", 10.0) for i in range(pours))
        card = make_card(by_hand.compute(by_hand.drink(), measures=measures), house)
        counts.append(len(card_fits(card, find_theme())))
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]
    assert 1 <= counts[-1] <= counts[0] <= len(FITS)


@pytest.mark.parametrize(("theme", "fit"), some_of(THEMES, FITS))
def test_what_matters_is_read_at_arms_length(
    fit: str, theme: str, by_hand: SimpleNamespace, house: House
) -> None:
    """At 0.7 m an x of what is poured, how much, how it is worked and what it may do to a guest is
    seen under 16 minutes of arc, in the tightest setting under 14: h = 0.7 m · tan(angle), from the
    ink of the letters as pdfium draws them.."""
    measures = (by_hand.measure("oxalis zest", 2.0, "dash"),)
    drink = by_hand.drink(reveal=None, steady=True, garnish=())
    one = by_hand.compute(drink, measures=measures)
    card, looks = make_card(one, house), find_theme(theme)
    pdf = HERE.now(card_pdf(partial(card_page, card, looks), (fit,), looks.style("card.css"),
                            card.name, Place("x.md"), looks.fonts))  # fmt: skip
    least_mm = 700.0 * np.tan(np.radians((14 if fit == FITS[-1] else 16) / 60))
    document = pypdfium2.PdfDocument(pdf)
    page = document[0].get_textpage()
    read = page.get_text_range()
    for word, letter in (("oxalis", "x"), ("zest", "z"), ("dash", "s"), ("shaken with", "w"),
                         ("Contains sulphites", "u")):  # fmt: skip
        at = read.index(word) + word.index(letter)
        low, high = page.get_charbox(at)[1::2]
        assert (high - low) / 72 * 25.4 >= 0.995 * least_mm, word
    document.close()
    assert not {"shades", "upright lines", "rising lines"} & {*read.split()}


@pytest.mark.parametrize(
    ("theme", "most"), [("base", 11), ("dusk", 11), ("plain", 11), ("almanac", 11)]
)
def test_the_tightest_card_holds_a_long_drink(
    theme: str, most: int, by_hand: SimpleNamespace, house: House
) -> None:
    """So many pours and what the guest pours, with allergens large, on an A6."""
    pours = tuple(by_hand.measure(f"plain syrup {n}", 12.5) for n in range(most))
    one = by_hand.compute(by_hand.drink(), measures=pours)
    front = HERE.now(
        print_card(make_card(one, house), one, find_theme(theme), card_paper("A6"), at)
    ).front
    assert all(f"plain syrup {n}" in words(front) for n in range(most))


@pytest.mark.parametrize(
    ("choice", "beside"),
    [
        ({"ounces": "US"}, ["1½ oz + 1 tsp", "½ oz", "½ tsp", "¼ oz + 1 tsp"]),
        ({"ounces": "imperial"}, ["1¾ imp oz", "by scale"]),
        ({"ounces": "none"}, []),
        ({"ounces": "none", "jiggers": (25.0, 12.5, 15.0)}, ["2 × 25 ml"]),
        ({"jiggers": (30.0, 15.0)}, ["½ oz"]),
    ],
    ids=str,
)
def test_a_card_tells_the_ounces_and_jiggers_of_its_house(
    choice: dict[str, Any], beside: list[str], by_hand: SimpleNamespace, house: House
) -> None:
    """50, 15, 2.5 and 12.5 ml as the house pours them; without ounces no “oz” and no spoon stands
    on either side, and the millilitres are the same. 50 ml is not poured by ounce jiggers.
    """
    own = house.model_copy(update=choice)
    one = by_hand.compute(by_hand.drink())
    made = HERE.now(print_card(make_card(one, own), one, find_theme(), card_paper("A6"), at))
    front = as_set(made.front)
    assert all(told in front for told in beside)
    assert all(f"{ml} ml" in " ".join(front.split()) for ml in ("50", "15", "2.5", "12.5"))
    if choice.get("ounces") == "none":
        assert not {"oz", "tsp"} & {*front.split(), *as_set(made.back).split()}
    if "jiggers" in choice:
        assert ("by scale" in front) is ("ounces" not in choice)
