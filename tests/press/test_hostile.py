"""What no layout likes, on the papers besides cards: it fits, flows on, or is refused by name.

Cards are in test_bar_card.py. Labels are one page by nature and refuse; the book, the prep sheet
and the menu go on to another page, whole.
"""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from xml.etree.ElementTree import fromstring

import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.house.collection import fold
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers
from anthocard.press.base.faces import mend_for
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.bearing import give_ways
from anthocard.press.paper.forms import prep_pdf
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import is_small, print_label
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.paper.spec_book import print_book
from anthocard.press.words.bottle_label import Label
from anthocard.press.words.card import make_card
from anthocard.press.words.prep_sheet import Day, Point, Prep, Task, Weight

from tests.press.conftest import SmallBook
from tests.press.hostile import CHINESE, HEBREW, NAME, POURS, hostile, some_of, with_squares

THEMES = ("base", "dusk", "plain", "almanac")
PLACE = Place("recipes/drinks/hostile.md")
LONG = "Donaudampfschifffahrtsgesellschaftskapitaenskajuetenschluessel" * 2
BOX = re.compile(r'<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">')


def told(pdf: bytes) -> str:
    """Every word of it, once none runs off its page."""
    done = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    pages = re.split(r"<page ", done.stdout.decode())[1:]
    for page in pages:
        size = re.match(r'width="(.+?)" height="(.+?)"', page)
        assert size
        for box in BOX.findall(page):
            left, top, right, low = map(float, box)
            assert left >= 0, page
            assert top >= 0
            assert right <= float(size[1]), box
            assert low <= float(size[2]), box
    plain = subprocess.run(["pdftotext", "-", "-"], input=pdf, capture_output=True, check=True)
    return "".join(plain.stdout.decode().split())


@pytest.mark.parametrize(("theme", "size"), some_of(THEMES, papers.names("books")))
def test_the_book_goes_on_whole(
    theme: str, size: str, by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """Fourteen pours, three scripts, a word longer than the page: every line, none off the page."""
    one = hostile(by_hand)
    text = "1. " + "Stir it round and round again. " * 80 + f"\n2. {LONG}\n3. The very end."
    drink = one.recipe.model_copy(update={"staff_text": text, "guest_text": LONG})
    one = replace(one, recipe=drink)
    dressed = with_squares(theme, tmp_path / "squares")
    cards = {one.slug: make_card(one, house)}
    small, paper = SmallBook(house, {}), papers.book_paper(size)
    words = told(HERE.now(print_book(small, {one.slug: one}, cards, dressed, {}, paper)))  # type: ignore[arg-type]
    assert all(f"spiritnumber{n}" in words for n in range(POURS) if n % 5)
    assert "Theveryend." in words
    assert words.count("Stir") == 80


@pytest.mark.parametrize(("theme", "format_"), some_of(THEMES, papers.names("menus"), 3))
def test_the_menu_goes_on_whole(
    theme: str, format_: str, by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """Seven of them with long prices and stories: every one on the paper, none off it."""
    one = hostile(by_hand)
    card = replace(make_card(one, house), price="1234.50", guest_text=f"{LONG} {'and so on ' * 90}")
    cards = {fold(f"{NAME} {n}"): replace(card, name=f"{NAME} No{n}") for n in range(7)}
    names = [f"{NAME} {n}" for n in range(7)]
    menu = Menu.model_validate(
        {"name": NAME, "sections": ({"name": LONG[:80], "drinks": names},)}, strict=False
    )
    dressed = with_squares(theme, tmp_path / "squares")
    words = told(HERE.now(menu_pdf(menu, cards, house, dressed, format_)))
    assert all(f"No{n}" in words for n in range(7))
    assert words.count("1234.50") == 7


@pytest.mark.parametrize(
    ("inside", "way"),
    [
        (HEBREW, "rtl"), ("شراب الرمان", "rtl"), (CHINESE, "ltr"), ("verjus", "ltr"),
        (f"12 · {HEBREW}", "rtl"), (f"gin {HEBREW}", "ltr"), ("12", "ltr"),
        (f'<b class="l">{HEBREW}</b> gin', "rtl"),
    ],
)  # fmt: skip
def test_a_line_runs_as_its_first_strong_letter(inside: str, way: str) -> None:
    """HTML Standard 3.2.6.4: neither figures nor the letters of tags are asked, and nothing that
    stands behind the element."""
    line = f'<tr><td class="x" dir="auto" lang="he">{inside}</td><td>{HEBREW} gin</td></tr>'
    page = fromstring(f"<html><body>{line}</body></html>")
    give_ways(page)
    assert [cell.get("dir") for cell in page.iter("td")] == [way, None]


def test_right_to_left_names_are_set_and_read_from_the_right(
    by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """On a card the first letter of a Hebrew name lies right of its last, its amount stays left of
    both, and Poppler reads the name as it was written. Positions by pdfium."""
    measures = (by_hand.measure(HEBREW, 80.0), by_hand.measure(CHINESE, 90.0))
    one = by_hand.compute(by_hand.drink(), measures=measures)
    theme = with_squares("base", tmp_path / "squares")
    made = HERE.now(
        print_card(make_card(one, house), one, theme, papers.card_paper("A6"), lambda loc: PLACE)
    )
    document = pypdfium2.PdfDocument(made.front)
    text = document[0].get_textpage()
    lefts: dict[str, float] = {}
    for index, letter in enumerate(text.get_text_range()):
        lefts.setdefault(letter, text.get_charbox(index)[0])
    document.close()
    assert lefts["8"] < lefts[HEBREW[-1]] < lefts[HEBREW[0]]
    assert lefts["9"] < lefts[CHINESE[0]] < lefts[CHINESE[-1]]
    read = re.sub("[\u202a-\u202e]", "", told(cut(made.front)))  # Poppler marks what runs so
    assert HEBREW.replace(" ", "") in read


@pytest.mark.parametrize(
    ("letter", "said"),
    [("ש", "fontpkg-heebo"), ("ش", "fontpkg-amiri"), ("ก", "fontpkg-noto-sans-thai"),
     ("雨", "-intl-cjk"), ("の", "-intl-cjk"), ("한", "-intl-cjk"), ("☃", "fonts/")],
)  # fmt: skip
def test_a_missing_letter_is_told_with_a_face_that_has_it(letter: str, said: str) -> None:
    """By the letter's script: a font package, or any font at all."""
    assert said in mend_for(f"\u2603{letter}")


@pytest.mark.parametrize(("theme", "sheet"), some_of(THEMES, ("A4", "Letter")))
def test_the_prep_sheet_goes_on_whole(theme: str, sheet: str, tmp_path: Path) -> None:
    """Fourteen weights for each of four hostile tasks: every one on the paper, none off it."""
    weights = tuple(
        Weight(f"{CHINESE} {HEBREW} {LONG} w{n}", "1234.5 kg", "") for n in range(POURS)
    )
    points = (Point("temperature", "20 °C"), Point("colour", "deep blue"))
    tasks = tuple(
        Task(
            f"{NAME} t{n}", "infusion", "4F2A", "10 litres", weights, (LONG, f"{LONG} s{n}"),
            LONG, points, (Point("keeps", LONG),), (LONG,),
        )
        for n in range(4)
    )  # fmt: skip
    bought = tuple((f"{LONG} b{n}", "10 litres") for n in range(40))
    made = Prep("The Cold Frame", "en", ((NAME, "40"),), (Day("On the day", tasks),), bought)
    words = told(
        HERE.now(
            prep_pdf(made, with_squares(theme, tmp_path / "squares"), papers.sheet_paper(sheet))
        )
    )
    for n in range(4):
        assert f"t{n}" in words
        assert f"s{n}" in words
    assert words.count("w13") == 4
    assert all(f"b{n}" in words for n in range(40))


@pytest.mark.parametrize(("theme", "sheet"), some_of(THEMES, papers.names("labels"), 4))
def test_a_label_fits_or_names_recipe_and_field(theme: str, sheet: str, tmp_path: Path) -> None:
    """A long name in three scripts fits (on 38 × 21 mm a short one, under four lines that warn); a
    hundred parts, or a storage line of a page, are refused by the recipe's name and the field. A
    small label bears neither of these.
    """
    dressed = with_squares(theme, tmp_path / "squares")
    paper = papers.label_sheet(sheet).label
    small = paper.height_mm < 25.0
    whole = label(name="Evening שקט 雨后晴空" if small else NAME)
    told(HERE.now(print_label(whole, paper, dressed, PLACE)))
    parts = ", ".join(f"{n} g/l {CHINESE} acid number {n}" for n in range(10 * POURS))
    cases = {
        "parts": {"strength": parts}, "store": {"store": "cold and dark, " * 150},
        "name": {"name": f"{NAME} " * 15}, "allergens": {"allergens": "CONTAINS " + "mustard, " * 250},
    }  # fmt: skip
    for field in ("name", "allergens") if is_small(paper) else cases:
        full = label(**cases[field])
        with pytest.raises(AuthorError) as refused:
            HERE.now(print_label(full, paper, dressed, PLACE))
        (mistake,) = refused.value.mistakes
        assert full.name in mistake.message
        assert mistake.message.endswith(f"too much in {field}")
        assert mistake.place == PLACE


def label(**more: str) -> Label:
    values = {
        "name": "fruit acid", "house": "The Cold Frame", "edition": "4F2A", "language": "en",
        "statement": "ACID: do not drink neat", "strength": "55 g/l citric acid", "made": "",
        "discard": "", "within": "by day 14", "lot": "", "store": "5 °C or colder",
        "allergens": "no allergen of the local list known", "hazard": "pH 1.8: splashes hurt eyes.",
        "chip": "", "qr": "",
    }  # fmt: skip
    return Label(**{**values, **more}, warning=True, free=False)
