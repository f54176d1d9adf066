"""Languages: what the pages say of their own, and how figures are written."""

import string
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.engine.results import Computed
from anthocard.facts.colour.names import vocabulary
from anthocard.facts.colour.pigments import plants
from anthocard.facts.law.allergens import label, listed
from anthocard.facts.law.rules import rules
from anthocard.press.base.languages import (
    SECTIONS,
    Words,
    is_known,
    words,
)
from anthocard.press.base.theme import find_theme
from anthocard.press.build.site import contents
from anthocard.press.words.guest import sharpness

FOLDER = Path(__file__).parents[2] / "generator" / "anthocard" / "press" / "base" / "words"
TABLES = sorted(FOLDER.glob("*.yaml"))


@pytest.mark.parametrize(
    ("tag", "price", "strength", "volume"),
    [  # CLDR by Babel 2.18, read there
        ("en-GB", "£12.50", "19.3\u00a0% vol", "125 ml"),
        ("de", "12,50\u00a0£", "19,3\u00a0% vol", "125 ml"),
        ("en-US", "£12.50", "19.3\u00a0% vol", "4 fl oz"),
        ("xx", "£12.50", "19.3\u00a0% vol", "125 mL"),
    ],
)
def test_figures_are_written_as_a_language_writes_them(
    tag: str, price: str, strength: str, volume: str
) -> None:
    """Number, currency and unit by locale; an unheard-of language is written as English."""
    tongue = words(tag)
    assert tongue.price(12.5, "GBP") == price
    assert tongue.percent_vol(19.34) == strength
    assert tongue.volume(124.0).replace("\u00a0", " ") == volume


def test_a_whole_price_drops_its_pence() -> None:
    """“£12”, as menus print it."""
    assert words("en-GB").price(12.0, "GBP") == "£12"
    assert words("de").price(12.0, "EUR") == "12\u00a0€"


def test_a_missing_phrase_stays_english() -> None:
    """On the page the English stands in; the proofreader is told which."""
    tongue = Words("de", {"phrases": {"Pour": "Eingießen"}})
    assert tongue.say("Pour") == "Eingießen"
    assert tongue.say("Never written") == "Never written"
    assert tongue.missing(["Pour", "Never written"], "phrases") == ("Never written",)
    assert words("en-GB").missing(["anything"], "phrases") == ()


def test_which_languages_have_words() -> None:
    """English needs none, German has a table, a third falls back."""
    assert is_known("en-US")
    assert is_known("de-AT")
    assert not is_known("fr")


def test_languages_call_themselves_by_their_own_name() -> None:
    """A guest looks for “Deutsch”, not for “German”."""
    assert (words("de").own_name, words("en-GB").own_name) == ("Deutsch", "English")


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_a_language_is_whole(path: Path) -> None:
    """Every colour, allergen, plant, degree of sharpness and caution for guests has its word."""
    table = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert set(table) == set(SECTIONS)
    tongue = words(path.stem)
    assert tongue.missing([name.word for name in vocabulary()], "colours") == ()
    places = [word for key in ("EU", "GB", "US", "ANZ", "CA", "all") for word in listed(key)]
    assert tongue.missing([label(key) for key in places], "allergens") == ()
    assert tongue.missing([plant.label for plant in plants().values()], "plants") == ()
    assert tongue.missing([sharpness(ph / 10) for ph in range(0, 140)], "sharpness") == ()
    universal = [rule.key for rule in rules() if rule.guest and not rule.local]
    assert set(universal) - {"allergens", "allergens-unsure"} <= set(table["cautions"])


def test_the_german_page_says_nothing_in_english(
    book: Any, computed: dict[str, Computed], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every phrase that the templates and the wording ask for has its German."""
    lacking: list[str] = []
    say = Words.say

    def noted(self: Words, english: str, section: str = "phrases", **figures: object) -> str:
        lacking.extend(self.missing([english], section))
        return say(self, english, section, **figures)

    monkeypatch.setattr(Words, "say", noted)
    house = book.house.model_copy(update={"languages": ("de",)})
    contents(replace(book, house=house), computed, find_theme(), papers=False)["guest/de.html"]()
    assert lacking == []


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_a_translation_keeps_the_figures(path: Path) -> None:
    """What stands in braces in one language stands in the other."""
    for english, other in yaml.safe_load(path.read_text(encoding="utf-8"))["phrases"].items():
        fields = [
            {name for _, name, _, _ in string.Formatter().parse(text) if name}
            for text in (english, other)
        ]
        assert fields[0] == fields[1]
