"""Themes: tokens under blocks under whole files, and a broken one names its own line."""

from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.base.theme import Theme, find_theme


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "themes" / "night"
    folder.mkdir(parents=True)
    return folder


def night(own: Path) -> Theme:
    return find_theme("night", own.parents[1])


def test_tokens_alone_make_a_theme(own: Path) -> None:
    """A theme of one file sets a property after the base has, and changes nothing else."""
    (own / "tokens.css").write_text(":root { --paper: #101010; }")
    style = night(own).style("card.css")
    base = find_theme().style("card.css")
    assert style.index("--paper: #101010") > style.index("--paper: #ffffff")
    assert style.replace(":root { --paper: #101010; }\n", "") == base


def test_a_block_is_replaced_and_the_rest_is_the_bases(own: Path) -> None:
    """card.html may extend base/card.html without meaning itself."""
    (own / "page.html").write_text(
        '{% extends "base/page.html" %}{% block body %}<p>mine</p>{% endblock %}'
    )
    html = night(own).render("page.html", {"style": "x.css"})
    assert "<p>mine</p>" in html
    assert "Content-Security-Policy" in html


def test_a_whole_file_wins(own: Path) -> None:
    """A file of the same name replaces the base's."""
    (own / "page.html").write_text("only {{ style }}")
    assert night(own).render("page.html", {"style": "<this>"}) == "only &lt;this&gt;"


@pytest.mark.parametrize(
    ("source", "line", "words"),
    [
        ("fine\n{% if %}\n", 2, "xpected"),
        ("fine\nfine\n{{ nothing.here }}\n", 3, "nothing"),
        ("{{ ''.__class__.__mro__ }}", 1, "unsafe"),
    ],
)
def test_a_broken_template_names_its_own_line(
    own: Path, source: str, line: int, words: str
) -> None:
    """Syntax, an unknown value and a forbidden reach are told with path and line."""
    (own / "page.html").write_text(source)
    with pytest.raises(AuthorError) as caught:
        night(own).render("page.html", {})
    mistake = caught.value.mistakes[0]
    assert (mistake.place.path, mistake.place.line) == (str(own / "page.html"), line)
    assert words in mistake.message


def test_an_unknown_theme_is_told_with_the_nearest(own: Path) -> None:
    """A slip of the pen finds its mend."""
    with pytest.raises(AuthorError, match="did you mean “night”"):
        find_theme("nigth", own.parents[1])


def test_the_bases_templates_use_nothing_they_are_not_given() -> None:
    """Undefined names are errors, not silence: the base theme is checked as strictly as any."""
    with pytest.raises(AuthorError, match="card"):
        find_theme().render("card.html", {"fit": "even"})
