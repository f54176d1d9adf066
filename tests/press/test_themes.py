"""The four themes: own characters, enough contrast, and broken ones say where."""

from __future__ import annotations

import io
import re
from pathlib import Path
from types import SimpleNamespace

import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.house.settings import House
from anthocard.press.base.sizes import card_paper
from anthocard.press.base.theme import STRIPS, Theme, find_theme
from anthocard.press.html.assets import make_assets
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.job import HERE
from anthocard.press.paper.typeset import font_files
from anthocard.press.words.card import make_card
from fontTools.ttLib import TTFont

THEMES = ("base", "dusk", "plain", "almanac")


def at(loc: tuple[str | int, ...]) -> Place:
    return Place("recipes/drinks/first-frost.md")


def tokens(name: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", find_theme(name).style("tokens.css")))


def luminance(hex_: str) -> float:
    channels = [int(hex_[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize(
    ("ink", "paper"),
    [("ink", "paper"), ("quiet", "paper"), ("on-panel", "panel"), ("on-panel-quiet", "panel")],
)
def test_letters_keep_seven_to_one(name: str, ink: str, paper: str) -> None:
    """Contrast for low light: 7:1 for every pair (WCAG 2.2, 1.4.6 and its relative luminance)."""
    colours = tokens(name)
    high, low = sorted((luminance(colours[ink]), luminance(colours[paper])), reverse=True)
    assert (high + 0.05) / (low + 0.05) >= 7.0


def card(theme: Theme, by_hand: SimpleNamespace, house: House) -> bytes:
    one = by_hand.compute(by_hand.drink())
    return HERE.now(print_card(make_card(one, house), one, theme, card_paper("A6"), at)).front


def test_each_has_its_own_character(by_hand: SimpleNamespace, house: House) -> None:
    """The same drink is another card in each; dusk is dark right to its trimmed corner."""
    made = {name: card(find_theme(name), by_hand, house) for name in THEMES}
    assert len(set(made.values())) == 4
    corners = {}
    for name, pdf in made.items():
        document = pypdfium2.PdfDocument(io.BytesIO(pdf))
        corners[name] = document[0].render(scale=1).to_pil().convert("L").getpixel((2, 2))
        document.close()
    assert corners["dusk"] < 40
    assert corners["base"] > 240
    assert corners["plain"] > 240
    assert corners["almanac"] > 240


def test_no_two_themes_are_alike() -> None:
    """Other faces for names and for text, and another order of the parts of a card: not recoloured."""
    looks = [find_theme(name) for name in THEMES]
    assert len({one.faces.display_family for one in looks}) == 4
    assert len({one.faces.text_family for one in looks}) == 4
    orders = []
    for one in looks:
        path = next(f / "card.html" for f in one.folders if (f / "card.html").is_file())
        text = path.read_text(encoding="utf-8")
        named = re.findall(r"self\.(\w+)\(\)", text)
        orders.append(tuple(named or re.findall(r"block (head|pours|reveal|looks|care)\b", text)))
    assert {len(order) for order in orders} == {5}
    assert len({(*order, one.strip) for order, one in zip(orders, looks, strict=True)}) == 4


@pytest.mark.parametrize("name", THEMES)
def test_pages_load_the_faces_of_papers(name: str) -> None:
    """Both sheets of pages name the theme's families, and load cuts of the very files of papers."""
    theme = find_theme(name)
    assets = make_assets(theme, {"guest.css": "", "pages.css": ""}, (), "Sun Shower")
    for sheet in ("guest.css", "pages.css"):
        style = assets.files[assets[sheet]].decode()
        loaded = re.findall(r'font-family:"([^"]+)";src:url\("([\w.-]+woff2)"', style)
        for (family, file), path in zip(
            loaded, (theme.faces.text, theme.faces.strong, theme.faces.display), strict=True
        ):
            assert family in (theme.faces.text_family, theme.faces.display_family)
            with (
                TTFont(io.BytesIO(assets.files[f"assets/{file}"])) as cut_down,
                TTFont(path) as whole,
            ):
                assert cut_down["name"].getDebugName(4) == whole["name"].getDebugName(4)
                assert path in font_files(theme.fonts)


@pytest.mark.parametrize("place", STRIPS)
def test_a_strip_lies_where_the_theme_says(
    place: str, by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """Foot, head, left, right: its colours fill that edge to the trim, and words keep clear of it."""
    folder = tmp_path / "own"
    folder.mkdir()
    (folder / "tokens.css").write_text(f":root {{ --strip: {place}; }}")
    pdf = cut(card(Theme("own", (folder, *find_theme().folders)), by_hand, house))
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    pixels = document[0].render(scale=2).to_pil().convert("HSV")
    document.close()
    wide, tall = pixels.size
    spots = {
        "foot": [(x, tall - 3) for x in range(2, wide - 2, 20)],
        "head": [(x, round(16 * tall / 148)) for x in range(2, wide - 2, 20)],
        "left": [(3, y) for y in range(2, tall - 2, 20)],
        "right": [(wide - 4, y) for y in range(2, tall - 2, 20)],
    }
    # A dose is marked by a white line beside a dark one.
    filled = {
        where: sum(pixels.getpixel(spot)[1] > 60 for spot in at_) / len(at_)
        for where, at_ in spots.items()
    }
    assert filled[place] > 0.9
    assert all(share < 0.3 for where, share in filled.items() if where != place)


def test_drawings_take_the_themes_ink() -> None:
    """Lines of a drawing are never black on a dark card: they are the theme's ink."""
    html = find_theme("dusk").render_paper("legend.html", {"parts": [("stroke currentColor", "")]})
    assert tokens("dusk")["ink"] in html
    assert "currentColor" not in html


@pytest.mark.parametrize(("file", "text", "line", "words"), [
    ("card.html", '{% extends "base/card.html" %}\n{% block head %}\n{{ card.nom }}\n{% endblock %}', 3, "nom"),
    ("card.html", '{% extends "base/card.html" %}\n{% block head %}\n{{ card.name }', 3, "unexpected"),
    ("card.html", '{% extends "base/card.html" %}\n\n{% block head %}{{ card.name + 1 }}{% endblock %}', 3, "str"),
    ("tokens.css", ":root { --ink: #000000 }\nh1 { colour-of-mind: blue; }", 2, "colour-of-mind"),
])  # fmt: skip
def test_a_broken_theme_says_where(
    file: str, text: str, line: int, words: str,
    by_hand: SimpleNamespace, house: House, tmp_path: Path,
) -> None:  # fmt: skip
    """An unknown value, a syntax error, a wrong type, an unknown property: file and line."""
    folder = tmp_path / "broken"
    folder.mkdir()
    (folder / file).write_text(text, encoding="utf-8")
    theme = Theme("broken", (folder, *find_theme().folders))
    with pytest.raises(AuthorError) as refused:
        card(theme, by_hand, house)
    (mistake,) = refused.value.mistakes
    assert mistake.place.path == str(folder / file)
    assert mistake.place.line == line
    assert words in mistake.message


def test_a_theme_sees_words_only(by_hand: SimpleNamespace, house: House) -> None:
    """No float reaches a template: what a theme could round, it cannot get."""
    one = make_card(by_hand.compute(by_hand.drink()), house)

    def floats(value: object) -> bool:
        if isinstance(value, float):
            return True
        if isinstance(value, tuple):
            return any(floats(v) for v in value)
        return any(floats(getattr(value, n)) for n in getattr(value, "__dataclass_fields__", ()))

    assert not floats(one)
