"""Room at the head of a bar card for what it hangs by: a hole or a clip."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import Place
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.job import HERE
from anthocard.press.words.card import make_card

THEMES = ("base", "dusk", "plain", "almanac")
DOTS_PER_MM = 6


def head(pdf: bytes, wide_mm: float, deep_mm: float) -> np.ndarray:
    """Where the head of a trimmed side, `wide_mm` about its middle, differs from its own paper."""
    page = pypdfium2.PdfDocument(pdf)[0]
    left, bottom, right, top = page.get_trimbox()
    page.set_cropbox(left, bottom, right, top)
    pixels = page.render(scale=DOTS_PER_MM / papers.POINTS_PER_MM).to_numpy().astype(int)
    middle, half = pixels.shape[1] // 2, int(wide_mm / 2 * DOTS_PER_MM)
    seen = pixels[: int(deep_mm * DOTS_PER_MM), middle - half : middle + half]
    return np.abs(seen - seen[0, 0]).sum(axis=2) > 30


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("room", "size"), [("hole", "A6"), ("hole", "5x7"), ("clip", "A6")])
def test_the_head_is_free_for_what_a_card_hangs_by(
    theme: str, room: str, size: str, by_hand: SimpleNamespace, house: House
) -> None:
    """Of both sides: 13 mm of head bear no word or line; a hole's cross lies within the 6 mm that go
    with it, in the middle, so that it is one hole on both sides.
    """
    one = by_hand.compute(by_hand.drink())
    held = house.model_copy(update={"card_room": room})
    made = HERE.now(
        print_card(
            make_card(one, held), one, find_theme(theme), papers.card_paper(size),
            lambda _: Place("x.md"),
        )
    )  # fmt: skip
    lengths = papers.room(room)
    for side in (made.front, made.back):
        marks = np.argwhere(head(side, 60.0, lengths["mm"] - 0.3)) / DOTS_PER_MM
        if room == "clip":
            assert not marks.size
            continue
        centre = (lengths["edge"] + lengths["across"] / 2, 30.0)
        off = np.hypot(*(marks - centre).T)
        assert len(marks) > 2 * DOTS_PER_MM
        assert off.max() < lengths["across"] / 2 - 1.0


def test_a_card_without_room_begins_at_its_head(by_hand: SimpleNamespace, house: House) -> None:
    """What the test above asks of a card is not true of every card."""
    one = by_hand.compute(by_hand.drink())
    made = HERE.now(
        print_card(
            make_card(one, house), one, find_theme(), papers.card_paper("A6"),
            lambda _: Place("x.md"),
        )
    )  # fmt: skip
    assert head(made.front, 60.0, 12.7).any()
