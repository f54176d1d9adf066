"""Themes: tokens under blocks under whole files, and a broken one names its own line."""

from pathlib import Path
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.base.faces import packaged
from anthocard.press.base.sandbox import Sandbox
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.proof.theme_warnings import theme_warnings


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


def test_a_style_is_added_to_one_paper(own: Path) -> None:
    """`added/card.css` is laid after the base's whole card.css, and no other paper has it; a slip
    in it is told in its own line."""
    (own / "added").mkdir()
    (own / "added" / "card.css").write_text("h1 { font-size: 40pt; }\nh2 { colour: red; }\n")
    style, base = night(own).style("card.css"), find_theme().style("card.css")
    assert style.startswith(base.rpartition("\n")[0])
    assert "font-size: 40pt" in style.removeprefix(base.rpartition("\n")[0])
    assert night(own).style("label.css") == find_theme().style("label.css")
    line = style.split("\n").index("h2 { colour: red; }") + 1
    place = night(own).place_in(("card.css",), line)
    assert (place.path, place.line) == (str(own / "added" / "card.css"), 2)


def test_a_face_is_found_by_its_name_alone(own: Path) -> None:
    """Files in fonts/ go before packages, whatever they are called; small letters keep their height."""
    (own / "fonts").mkdir()
    for style in ("Regular", "SemiBold", "Italic"):
        path = next(p for p in packaged("IBM Plex Serif") if p.name == f"IBMPlexSerif-{style}.ttf")
        (own / "fonts" / f"{style[0]}.ttf").write_bytes(path.read_bytes())
    (own / "tokens.css").write_text(
        ':root { --text: "IBM Plex Serif", serif; --display: Marcellus, "Spectral"; }'
    )
    faces = night(own).faces
    assert (faces.text, faces.strong) == (own / "fonts" / "R.ttf", own / "fonts" / "S.ttf")
    assert faces.display.name == "Marcellus-Regular.ttf"
    assert faces.grow == pytest.approx(0.527 / 0.516, abs=0.001)
    assert not list(theme_warnings(night(own)))


def test_a_face_that_is_not_there_is_told_where_it_is_named(own: Path) -> None:
    """The next family of the token, or ours, stands in for it, and the author reads which."""
    (own / "tokens.css").write_text(':root {\n  --text: "Lost Grotesk", "IBM Plex Serif"; }\n')
    (told,) = theme_warnings(night(own))
    assert (told.kind, told.severity, told.place.line) == ("no-face", "warning", 2)
    assert "“IBM Plex Serif” stands in" in told.message
    assert "fontpkg-lost-grotesk" in told.mend
    assert night(own).faces.text_family == "IBM Plex Serif"


def test_a_strip_has_four_places(own: Path) -> None:
    """Any other word is a mistake, with its line and the nearest word."""
    (own / "tokens.css").write_text(":root { --strip: heat; }")
    with pytest.raises(AuthorError, match="did you mean “head”"):
        assert night(own).strip


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


def test_a_template_is_compiled_once_and_anew_when_it_changes(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In every language and by a theme found again the same code; other words of a file are read."""
    compiled, generate = [], Sandbox._generate

    def counted(*given: Any, **more: Any) -> str:
        compiled.append(given)
        return generate(*given, **more)

    monkeypatch.setattr(Sandbox, "_generate", counted)
    for words in ("first", "second"):
        (own / "x.html").write_text(words)
        assert [night(own).render("x.html", {}, tag) for tag in ("en", "de")] == [words, words]
    assert len(compiled) == 2
