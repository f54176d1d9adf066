"""Faults of WeasyPrint that are mended: no memory that stays, no parser of C, no drawing read as HTML."""

from typing import Any

import cffi.cparser
import pytest
from anthocard.press.draw.glass import draw_chip
from anthocard.press.paper import typeset
from anthocard.press.paper.job import Job
from anthocard.press.paper.typeset import set_type

STYLE = "p { font-family: 'Fira Sans'; font-variant-numeric: tabular-nums }"


def paper(words: str) -> Job:
    return Job(f'<html lang="en"><title>a</title><p>{words}', STYLE)


def test_a_line_lets_go_of_its_features(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once it is set up, the layout alone holds the list of features; WeasyPrint 70.0 is another.

    A list of Pango begins with the number of those who hold it (Pango's source, from memory).
    """
    assert set_type(paper("12 ml")).pdf  # only now it is loaded, with our faces
    from weasyprint.text import line_break
    from weasyprint.text.ffi import ffi, pango

    holders: list[int] = []
    setup = line_break.Layout.setup

    def watched(self: Any, style: Any) -> None:
        setup(self, style)
        features = pango.pango_layout_get_attributes(self.layout)
        if features != ffi.NULL:
            holders.append(ffi.cast("unsigned int *", features)[0])

    monkeypatch.setattr(line_break.Layout, "setup", watched)
    assert set_type(paper("12 ml")).pdf
    assert set(holders) == {1}


def test_no_number_of_glyphs_wants_a_parser_of_c(monkeypatch: pytest.MonkeyPatch) -> None:
    """A text with another number of letters is set without cffi reading a type for it."""
    assert set_type(paper("abc")).pdf
    asked: list[str] = []
    monkeypatch.setattr(cffi.cparser.Parser, "parse_type", lambda _, name: asked.append(name))
    assert set_type(paper("abcdefghijklmnopq")).pdf
    assert asked == []


def test_faces_are_the_same_either_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """With WeasyPrint's own way of naming lists of glyphs the bytes are those of ours."""
    ours = set_type(paper("The strip turns at 12 ml")).pdf
    assert ours
    from weasyprint.pdf import fonts
    from weasyprint.text.ffi import ffi

    assert fonts.ffi is not ffi
    monkeypatch.setattr(fonts, "ffi", ffi)
    assert set_type(paper("The strip turns at 12 ml")).pdf == ours


def test_a_drawing_is_the_same_folded_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read as XML where it is drawn, or line by line with its page: the same bytes, and its title."""
    job = paper(f"steeped blue {draw_chip('#2a3f8f', 'lines-across', 'deep blue & clear', 'chip')}")
    styled: list[str] = []
    folded = typeset.folded

    def watched(html: str, weasyprint: Any) -> str:
        styled.append(folded(html, weasyprint))
        return styled[-1]

    monkeypatch.setattr(typeset, "folded", watched)
    ours = set_type(job).pdf
    assert "<circle" in job.html
    assert "<circle" not in styled[0]
    monkeypatch.setattr(typeset, "folded", lambda html, weasyprint: html)
    assert set_type(job).pdf == ours


def test_a_drawing_that_is_no_xml_stays_in_its_page() -> None:
    """Not closed, or a drawing in a drawing: HTML mends it as ever."""
    import weasyprint

    for inside in ("<rect width=4 height=4>", '<svg xmlns="http://www.w3.org/2000/svg"><g/></svg>'):
        page = f'<p><svg xmlns="http://www.w3.org/2000/svg" width="4">{inside}</svg></p>'
        assert typeset.folded(page, weasyprint) == page
