"""Cards of 5 × 7 in and A5: a layout of their own, with the method on the front."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pikepdf
import pypdfium2
import pytest
from anthocard.house.settings import House
from anthocard.press.base.sizes import POINTS_PER_MM, card_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.bar_cards import _Sides
from anthocard.press.paper.job import HERE
from anthocard.press.words.card import Card, make_card

from tests.press.hostile import some_of
from tests.press.test_bar_cards import THEMES, as_set, at

#: What a hand does, one thing a line; our own.
STEPS = (
    "Chill the goblet with cracked ice.",
    "Muddle basil and syrup in the small tin.",
    "Add all spirits and juices, in this order.",
    "Shake hard for twelve seconds over cubes.",
    "Empty the goblet and fine-strain into it.",
    "Top with cold soda, down the long spoon.",
    "Verjus into the thimble, with its cap on.",
    "Tell the guest: all of it, then one turn.",
)


def full(by_hand: SimpleNamespace, house: House, pours: int, steps: int) -> Card:
    """A drink of so many pours and steps, and what the guest pours."""
    method = "\n".join(f"{n}. {step}" for n, step in enumerate(STEPS[:steps], start=1))
    measures = tuple(by_hand.measure(f"plain syrup {n}", 12.5) for n in range(pours))
    drink = by_hand.drink(staff_text=f"## Method\n\n{method}\n")
    return make_card(by_hand.compute(drink, measures=measures), house)


def front(card: Card, theme: str, size: str) -> bytes:
    sides = _Sides(find_theme(theme), card_paper(size), at, HERE)
    return HERE.now(sides.front(card))


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(
    ("size", "mm", "pours", "steps"), [("A5", (148.0, 210.0), 14, 8), ("5x7", (127.0, 177.8), 9, 5)]
)
def test_a_full_drink_fits_with_its_method(
    theme: str, size: str, mm: tuple[float, float], pours: int, steps: int,
    by_hand: SimpleNamespace, house: House,
) -> None:  # fmt: skip
    """Every pour, every step and the allergens on the front, in the order they are done."""
    pdf = front(full(by_hand, house, pours, steps), theme, size)
    with pikepdf.open(io.BytesIO(pdf)) as read:
        (page,) = read.pages
        trim = [float(v) / POINTS_PER_MM for v in page.TrimBox]
    assert (trim[2] - trim[0], trim[3] - trim[1]) == pytest.approx(mm, abs=0.02)
    text = " ".join(as_set(pdf).split())
    told = [f"plain syrup {n}" for n in range(pours)] + ["verjus"]
    told += [f"{n}. {step}" for n, step in enumerate(STEPS[:steps], start=1)]
    assert [words for words in told if words not in text] == []
    assert "Contains sulphites." in text


@pytest.mark.parametrize(("theme", "size"), some_of(THEMES, ("A5", "5x7")))
@pytest.mark.parametrize(("fit", "minutes"), [("snug", 16), ("tight", 14)])
def test_a_method_is_read_at_arms_length(
    fit: str, minutes: int, size: str, theme: str, by_hand: SimpleNamespace, house: House
) -> None:
    """At 0.7 m an x of amounts, names, steps and allergens is seen under so many minutes of arc:
    h = 0.7 m · tan(angle), from the ink as pdfium draws it."""
    card = full(by_hand, house, 3, 2)
    sides = _Sides(find_theme(theme), card_paper(size), at, HERE)
    document = pypdfium2.PdfDocument(HERE.now(sides._front(card, (fit,))))
    page = document[0].get_textpage()
    read = page.get_text_range()
    least_mm = 700.0 * np.tan(np.radians(minutes / 60))
    for word, letter in (("syrup", "u"), ("shaken with", "w"), ("Muddle", "u"),
                         ("basil", "s"), ("Contains sulphites", "u")):  # fmt: skip
        where = read.index(word) + word.index(letter)
        low, high = page.get_charbox(where)[1::2]
        assert (high - low) / POINTS_PER_MM >= 0.995 * least_mm, word
    document.close()


@pytest.mark.parametrize(("theme", "size"), some_of(THEMES, ("A5", "5x7"), 2, 1))
def test_long_steps_are_as_large_or_on_the_spec_page(
    size: str, theme: str, by_hand: SimpleNamespace, house: House
) -> None:
    """Six steps of two or three lines and four times as much: an x of each is seen under 14 minutes
    of arc at 0.7 m, or the front says where the method is; never smaller letters.
    """
    card, least_mm = full(by_hand, house, 3, 6), 700.0 * np.tan(np.radians(14 / 60))
    held = 0
    for more in (1, 2, 4):
        words = f" {' '.join(STEPS[2:4] * more)}\n"
        pdf = front(replace(card, staff_text=card.staff_text.replace("\n", words)), theme, size)
        with pypdfium2.PdfDocument(pdf) as document:
            page = document[0].get_textpage()
            read = page.get_text_range()
            at_step = [found.start() for found in re.finditer(r"(?<=hard for t)w", read)]
            heights = [page.get_charbox(where) for where in at_step]
        told = "spec page." in " ".join(as_set(pdf).split()) and "Method:" in as_set(pdf)
        assert bool(heights) != told
        assert all((high - low) / POINTS_PER_MM >= 0.995 * least_mm for _, low, _, high in heights)
        held += bool(heights)
    assert held < 3


def test_a_method_that_no_setting_holds_is_told_where(
    by_hand: SimpleNamespace, house: House
) -> None:
    """Fourteen pours and eight long steps are too much for 5 × 7 in: the front says where they are."""
    card = full(by_hand, house, 14, 8)
    long = replace(card, staff_text=card.staff_text.replace("\n", f" {STEPS[3]} {STEPS[4]}\n"))
    text = " ".join(as_set(front(long, "base", "5x7")).split())
    assert "Method: spec page." in text
    assert STEPS[0] not in text
    assert all(f"plain syrup {n}" in text for n in range(14))
