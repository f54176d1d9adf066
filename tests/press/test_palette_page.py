"""The wall chart as a page."""

import re

import pytest
from anthocard.engine.trade.wallchart import plates
from anthocard.facts.chemistry.liquid import PLANTS
from anthocard.press.base.languages import language
from anthocard.press.base.theme import find_theme
from anthocard.press.draw.picture import ICONS
from anthocard.press.html.assets import make_assets
from anthocard.press.html.palette_page import STYLE, palette_page, palette_rules, plants_page

from tests.engine.opened import drink, opened


def test_the_wall_chart_is_one_whole_page() -> None:
    """Every plant has a table with a caption, scoped heads and a word for every colour."""
    page = palette_page(find_theme(), "A Test Bench", "en")
    assert page.count("<caption>") == len(PLANTS)
    assert page.count('scope="col"') == 14 * len(PLANTS)
    assert 'title=""' not in page
    assert "http://" not in page
    assert page.count("data:font/woff2") == 3  # our faces are in it
    assert "prefers-color-scheme: dark" in page


def test_its_faces_are_those_its_style_names() -> None:
    """A face that no rule of the page asks for would be carried for nothing."""
    theme = find_theme()
    page = palette_page(theme, "A Test Bench", "en")
    carried = re.findall(r'@font-face \{ font-family: "([^"]+)"; src: url\("data:', page)
    assert carried == [theme.faces.text_family, theme.faces.text_family, theme.faces.display_family]
    for family, token in ((carried[0], "text"), (carried[2], "display")):
        assert theme.token(token).startswith(f'"{family}"')


@pytest.mark.parametrize(
    ("tag", "said", "figures"),
    [
        ("de", ("getrocknete Blüten", "in Wasser", "bei 20 % vol", "üblich, 1,2 g/l"), "7,5"),
        ("fr", ("fleurs séchées", "dans l’eau", "à 20 % vol", "courant, 1,2 g/l"), "7,5"),
    ],
)
def test_the_wall_chart_is_of_one_language(tag: str, said: tuple[str, ...], figures: str) -> None:
    """Plants, parts, doses, solvents, colours and figures: no English word of the tables is left."""
    page = palette_page(find_theme(), "A Test Bench", tag).partition("<body>")[2]
    read = re.sub(r"\s+", " ", re.sub("<[^>]*>", "", page))
    for words in (*said, figures):
        assert words in read
    english = {row.part for row in plates()} | {row.label for row in plates()}
    english -= {language(tag).word("plant part", word) for word in english}
    english -= {language(tag).word("plant", word) for word in english}
    assert [word for word in english if f" {word}, " in read or f", {word} " in read] == []
    for word in ("in water", "at 20", "usual,", "strong,", "7.5"):
        assert word not in read


def test_the_book_has_it_as_a_page() -> None:
    """The same tables in the book's own faces, by day and by night; its colours are classes of its
    sheet, since no page may bring a style along.
    """
    house, theme = opened({"drinks/d.md": drink("50 ml gin")}).collection.house, find_theme()
    assets = make_assets(theme, {"pages.css": "", STYLE: palette_rules()}, (), "a")
    assets = assets.with_files(dict.fromkeys((*ICONS, "book.js", "book.webmanifest"), b""))
    page = plants_page(house, theme, assets)
    assert page.count("<caption>") == len(PLANTS)
    assert "style=" not in page
    assert "noindex" in page
    sheet = assets.files[assets[STYLE]].decode()
    told = set(re.findall(r'<td class="(c\w{6})"', page))
    assert len(told) > 100
    assert all(f".{one}{{background:" in sheet for one in told)
    assert page.index(assets[STYLE]) < page.index(assets["pages.css"])  # whose dark inks count
