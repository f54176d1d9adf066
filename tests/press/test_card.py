"""The card: every figure rounded once, every word in its place."""

from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import Place
from anthocard.engine.results import Computed
from anthocard.engine.trust.withholding import without_colour
from anthocard.house.collection import fold
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base.number_text import money, percent_vol, tidy
from anthocard.press.base.sizes import card_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.card_page import card_page
from anthocard.press.paper.job import HERE
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.words.card import make_card


def test_amounts_stand_as_a_bartender_reads_them(frost: Computed, house: House) -> None:
    """Big number, unit, name, ounces: the pours in order and the reveal apart.

    The ounce words follow the rounding rules of facts.columns (common practice, no source).
    """
    card = make_card(frost, house)
    lines = [(p.number, p.unit, p.name, p.ounces) for p in card.pours]
    assert lines == [
        ("50", "ml", "pea-flower gin", "1½ oz + 1 tsp"),
        ("15", "ml", "honey syrup", "½ oz"),
        ("2.5", "ml", "citrate buffer", "½ tsp"),
        ("1", "dash", "house bitters", "0.8 ml"),
    ]
    assert card.reveal is not None
    assert (card.reveal.number, card.reveal.ounces) == ("12.5", "¼ oz + 1 tsp")
    assert card.pours[0].slug == "pea-flower-gin"


def test_the_dose_on_the_strip_is_the_dose_in_the_panel(frost: Computed, house: House) -> None:
    """The same amount is never printed in two roundings."""
    card = make_card(frost, house)
    assert card.reveal is not None
    assert [t.ml for t in card.ticks if t.dose] == [f"{card.reveal.number} {card.reveal.unit}"]


def test_a_count_keeps_its_authors_words(by_hand: Any, house: House) -> None:
    """Three pieces are three, with their millilitres beside them; an unmeasured leaf has none."""
    measures = (
        by_hand.measure("lime wedge", 12.5, "piece", count=3.0, text="3 pieces"),
        by_hand.measure("mint", None, "leaf", count=2.0, text="2 leaves"),
        by_hand.measure("salt", None, "g", count=0.25, g=0.25),
    )
    card = make_card(by_hand.compute(by_hand.drink(), measures=measures), house)
    assert [(p.number, p.unit, p.ounces) for p in card.pours] == [
        ("3", "", "12.5 ml"),
        ("2", "leaves", ""),
        ("0.25", "g", ""),
    ]


def test_strength_volume_and_swatches(frost: Computed, house: House) -> None:
    """What is drunk is what is told: strength and volume with the reveal in."""
    card = make_card(frost, house)
    assert (card.strength, card.volume, card.price) == ("19.3 % vol", "124 ml", "12.50")
    assert card.after is not None
    assert (card.before.ph, card.after.ph) == ("pH 6.2", "pH 3.1")
    assert card.before.hex == frost.before.colour.hex
    assert card.before.pattern != card.after.pattern


def test_a_drink_that_stays_has_one_swatch(still: Computed, house: House) -> None:
    """No reveal: one look, a strip of one colour, no ticks."""
    card = make_card(still, house)
    assert card.after is None
    assert card.reveal is None
    assert card.ticks == ()
    assert {stop.hex for stop in card.stops} == {card.before.hex}


def test_a_colour_beyond_the_screen_is_marked(frost: Computed, house: House) -> None:
    """A swatch that had to be toned down says so in words."""
    colour = replace(frost.before.colour, in_gamut=False)
    seen = replace(frost.before.seen, side=colour)
    strong = replace(frost, before=replace(frost.before, seen=seen))
    card = make_card(strong, house)
    assert "screen" in card.before.beyond_screen
    assert card.after is not None
    assert card.after.beyond_screen == ""


def test_guests_and_staff_read_their_own_cautions(frost: Computed, house: House) -> None:
    """A caution with no guest wording never reaches a guest; the card has the first sentence."""
    card = make_card(frost, house)
    assert card.holds == "Contains sulphites."
    assert card.guest_notes == ("Made with raw egg.",)
    assert card.house_notes == ("Contains alcohol.",)
    assert card.cautions[1] == "No copper below pH 6: this is pH 3.1. Use glass."
    assert card.rail == ("No copper below pH 6: this is pH 3.1.",)


def test_a_card_holds_words_only(frost: Computed, house: House) -> None:
    """Rounding ends here: no float survives into what a template sees."""

    def leaves(value: object) -> Any:
        if is_dataclass(value):
            for field in fields(value):
                yield from leaves(getattr(value, field.name))
        elif isinstance(value, tuple):
            for item in value:
                yield from leaves(item)
        else:
            yield value

    kinds = {type(leaf) for leaf in leaves(make_card(frost, house))}
    assert kinds <= {str, bool, type(None)}


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(-0.04, 1, "0"), (-3.0, 0, "−3"), (12.0, 1, "12"), (12.35, 1, "12.3"), (100.0, 0, "100")],
)
def test_tidy_numbers(value: float, decimals: int, text: str) -> None:
    """No idle noughts, no minus nought, a true minus sign. Halves go to even, as IEEE 754 does."""
    assert tidy(value, decimals) == text


def test_words_for_strength_and_money() -> None:
    """One decimal of strength, two of money unless whole."""
    assert [percent_vol(v) for v in (0.0, 0.04, 21.44, 40.0)] == [
        "0 % vol",
        "0 % vol",
        "21.4 % vol",
        "40 % vol",
    ]
    assert [money(v) for v in (13.0, 12.5)] == ["13", "12.50"]


@pytest.mark.parametrize("look", ["base", "plain"])
def test_of_a_colour_that_is_not_known_there_are_words_alone(
    frost: Computed, house: House, look: str
) -> None:
    """No white swatch and no hex stand for it, on a card, its back or a menu: all are set so."""
    one, theme = without_colour(frost), find_theme(look)
    card = make_card(one, house)
    assert card.before.colour == "colour not known"
    assert (card.before.hex, card.before.pattern, card.before.lab, card.stops) == ("", "", "", ())
    html = card_page(card, theme, "even")
    assert "#ffffff" not in html
    assert "colour not known" in html
    made = HERE.now(print_card(card, one, theme, card_paper("A6"), lambda loc: Place("x.md")))
    assert made.front
    assert made.back
    menu = Menu.model_validate(
        {"name": "m", "sections": [{"name": "s", "drinks": [one.name]}]}, strict=False
    )
    assert HERE.now(menu_pdf(menu, {fold(card.name): card}, house, theme, "long"))
