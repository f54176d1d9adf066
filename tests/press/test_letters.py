"""Letters as they are printed: how large on cards of every size, which faces, and no box for any.

Heights are the ink of single letters, read from the finished page by pdfium (PDF units to mm).
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import Place
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.house.collection import Collection, fold
from anthocard.house.reader import read_house
from anthocard.house.settings import House
from anthocard.press.base import faces, sizes as papers
from anthocard.press.base.sizes import POINTS_PER_MM, card_paper, label_sheet, sheet_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.html.assets import make_assets
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.forms import prep_pdf
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import print_labels
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.card import make_card
from anthocard.press.words.prep_sheet import make_prep, par_of
from fontTools.ttLib import TTFont

from tests.press.hostile import CHINESE, HEBREW, some_of, squares, with_squares

THEMES = ("base", "dusk", "plain", "almanac")
RECIPES = Path(__file__).parents[2] / "recipes"


def at(loc: tuple[str | int, ...]) -> Place:
    return Place("recipes/drinks/first-frost.md", text=".".join(map(str, loc)))


def letters(pdf: bytes) -> Iterator[tuple[str, float]]:
    """Every printed letter and the height of its ink, mm."""
    document = pypdfium2.PdfDocument(pdf)
    text = document[0].get_textpage()
    for index, letter in enumerate(text.get_text_range()):
        if letter.isalnum():
            low, high = text.get_charbox(index)[1::2]
            yield letter, (high - low) / POINTS_PER_MM
    document.close()


def heights(pdf: bytes, word: str) -> list[float]:
    """The height of the first letter of `word` wherever it stands, mm; the tallest first."""
    document = pypdfium2.PdfDocument(pdf)
    text = document[0].get_textpage()
    search = text.search(word, match_case=True)
    found = []
    while hit := search.get_next():
        low, high = text.get_charbox(hit[0])[1::2]
        found.append((high - low) / POINTS_PER_MM)
    search.close()
    document.close()
    return sorted(found, reverse=True)


def full(by_hand: SimpleNamespace, pours: int) -> Computed:
    """A drink of so many lines, each with a capital to measure, and the longest serving line."""
    drink = by_hand.drink(name="Hoar First Frost")
    lines = tuple(by_hand.measure(f"Hyssop spirit {n}", 15.0 + 5.0 * n) for n in range(pours))
    return by_hand.compute(drink, measures=lines)  # type: ignore[no-any-return]


@pytest.mark.parametrize(("theme", "paper"), some_of(THEMES, papers.names("cards"), 4, 0))
def test_a_card_is_read_at_arms_length(
    theme: str, paper: str, by_hand: SimpleNamespace, house: House
) -> None:
    """Cap heights on the front: name from 4.5 mm, pours and their amounts from 3.3 mm.

    3.3 mm at 0.7 m are 16 minutes of arc, 4.5 mm are 22 (ISO 9355-2, from memory: 15 acceptable,
    18 to 22 recommended). Roomy and full to the brim, in each theme, on each size.
    """
    for pours in (2, 9):
        one = full(by_hand, pours)
        front = HERE.now(
            print_card(make_card(one, house), one, find_theme(theme), card_paper(paper), at)
        )
        assert heights(front.front, "Hoar First")[0] >= 4.5
        capitals = heights(front.front, "Hyssop")
        assert len(capitals) == pours
        assert min(capitals) >= 3.3
        for n in range(pours):
            assert heights(front.front, f"{15 + 5 * n}")[0] >= 3.3


@pytest.mark.parametrize(("theme", "paper"), some_of(THEMES, papers.names("cards"), 4, 1))
def test_a_back_is_read_in_the_hand(
    theme: str, paper: str, by_hand: SimpleNamespace, house: House
) -> None:
    """The least on a back: x-height 1.2 mm, capitals 1.7 mm, whatever setting it needed.

    1.2 mm is what Reg. (EU) 1169/2011 art. 13(2) asks of food labels, at reading distance.
    """
    for pours in (2, 10):
        one = full(by_hand, pours)
        back = HERE.now(
            print_card(make_card(one, house), one, find_theme(theme), card_paper(paper), at)
        ).back
        found = list(letters(back))
        small = [height for letter, height in found if letter in "acemnorsuvwxz"]
        capitals = [height for letter, height in found if letter in "EFHILTZ"]
        assert len(small) > 100
        assert min(small) >= 1.2
        assert min(capitals) >= 1.7


@pytest.mark.parametrize("theme", THEMES)
def test_every_face_has_the_signs_of_amounts(theme: str) -> None:
    """½ ¼ ¾ ⅓ ⅛ ° × µ Δ in every face of text, but what LACKS tells: there Fira Sans stands in,
    which has all. Micro sign and mu, increment and Delta: either may be written."""
    look = find_theme(theme)
    for path in (look.faces.text, look.faces.strong):
        with TTFont(path, lazy=True) as font:
            known = font.getBestCmap()
        missing = {sign for sign in "½¼¾⅓⅛°×µΔ" if ord(sign) not in known}
        assert missing == LACKS.get(look.faces.text_family, set()), path


LACKS = {"Barlow Semi Condensed": {"⅓"}, "IBM Plex Serif": {"Δ"}, "IBM Plex Sans Condensed": {"Δ"}}


@cache
def demo() -> tuple[Collection, dict[str, Computed]]:
    collection = read_house(RECIPES)
    return collection, dict(compute(collection)[0])


def paper_of(kind: str, theme: str) -> bytes:
    collection, computed = demo()
    look, at_ = find_theme(theme), Place("x.md")
    if kind == "labels":
        made = [one for one in computed.values() if not one.is_drink][:9]
        labels = [
            (make_label(one, make_card(one, collection.house), collection.house), at_)
            for one in made
        ]
        return HERE.now(print_labels(labels, label_sheet("A4-2x4"), look))
    if kind == "prep":
        return HERE.now(
            prep_pdf(make_prep(computed, collection, par_of(collection)), look, sheet_paper("A4"))
        )
    if kind == "menu":
        listed = {
            fold(one.name): make_card(one, collection.house)
            for one in computed.values()
            if one.is_drink
        }
        return HERE.now(
            menu_pdf(next(iter(collection.menus.values())), listed, collection.house, look, "long")
        )
    one = computed["sun-shower"]
    made_card = HERE.now(
        print_card(make_card(one, collection.house), one, look, card_paper("A6"), at)
    )
    return made_card.front if kind == "front" else made_card.back


@pytest.mark.parametrize(
    ("theme", "kind"), some_of(THEMES, ("front", "back", "labels", "prep", "menu"))
)
def test_only_our_faces_on_every_paper(kind: str, theme: str, tmp_path: Path) -> None:
    """pdffonts lists the two families of the theme, each embedded as a subset, and Fira Sans for a
    sign they lack; labels and prep sheets are set in the face of text alone."""
    path = tmp_path / "paper.pdf"
    path.write_bytes(paper_of(kind, theme))
    done = subprocess.run(["pdffonts", str(path)], capture_output=True, check=True, text=True)
    rows = [line.split() for line in done.stdout.splitlines()[2:]]
    families = {re.split("[- ,]", row[0].partition("+")[2])[0] for row in rows}
    faces = find_theme(theme).faces
    text, display = (name.split()[0] for name in (faces.text_family, faces.display_family))
    wanted = {text} if kind in ("labels", "prep") else {text, display}
    assert wanted <= families <= wanted | {"Fira"}
    assert all("yes" in row for row in rows)


@pytest.mark.parametrize(("text", "files"), [("Sun Shower", 0), ("Ливень", 0), (HEBREW, 1)])
def test_pages_carry_faces_for_the_scripts_of_a_house(
    text: str, files: int, tmp_path: Path
) -> None:
    """Letters of a script that the face of text lacks come from a face the theme brings along, under
    the names of its own families and for those letters alone; what that face has itself (Fira Sans:
    Cyrillic) stands in it; a house of Latin letters carries none.
    """
    theme = with_squares("base", tmp_path)
    assets = make_assets(theme, {"guest.css": "", "pages.css": ""}, (), text)
    scripts = assets.named("script-")
    assert len(scripts) == files
    sheet = assets.files[assets["guest.css"]].decode()
    own = set(TTFont(BytesIO(assets.files[assets["text.woff2"]])).getBestCmap())
    letters = {ord(letter) for letter in text if letter.isalpha()}
    if not files:
        assert letters <= own
        assert "unicode-range" not in sheet
        return
    assert not letters & own
    assert set(TTFont(BytesIO(assets.files[scripts[0]])).getBestCmap()) == letters
    rules = [rule for rule in sheet.split("@font-face") if scripts[0].rpartition("/")[2] in rule]
    for family, weight in (
        (theme.faces.text_family, 400),
        (theme.faces.text_family, 600),
        (theme.faces.display_family, 600),
    ):
        (rule,) = (one for one in rules if f'"{family}"' in one and f"weight:{weight};" in one)
        assert all(f"U+{letter:X}" in rule for letter in letters)


def test_one_word_is_set_in_one_face(tmp_path: Path) -> None:
    """Letters that Chinese and Japanese share come from the file that has all of the house's, not
    from whichever is looked at first: two drawings of one script are not mixed in a name."""
    some, whole = tmp_path / "A-Regular.ttf", tmp_path / "B-Regular.ttf"
    squares(some, CHINESE[:2])
    squares(whole, CHINESE)
    found = [*faces.covering((some, whole), frozenset(CHINESE))]
    assert found == [(whole, "".join(sorted(CHINESE)))]


def test_an_eastern_face_is_taken_where_its_package_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four families in one package, by the list it brings along; without naming one in a theme."""
    fonts = tmp_path / "justmytype_intl_cjk" / "fonts"
    fonts.mkdir(parents=True)
    (fonts.parent / "__init__.py").touch()
    path = fonts / "SC[wght].ttf"
    squares(path, CHINESE)
    row = {"path": path.name, "family": "Noto Sans SC", "weight": 100, "style": "normal"}
    (fonts / "pack_manifest.json").write_text(json.dumps({"fonts": [row]}))
    monkeypatch.syspath_prepend(tmp_path)
    try:
        for known in (faces.packaged, faces._in_package):
            known.cache_clear()
        assert not faces.packaged("Noto Sans JP")
        assert path in find_theme("dusk").fonts
    finally:
        for known in (faces.packaged, faces._in_package):
            known.cache_clear()
