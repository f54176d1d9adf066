"""Words of authors as HTML: safe, self-contained."""

import pytest
from anthocard.press.base.markdown import dropped_markup, guest_html, markdown_html


@pytest.mark.parametrize(
    ("markdown", "gone", "left"),
    [
        ("<script>alert(1)</script>ok", "script", "ok"),
        ('<img src="http://x/y.png" onerror="z()">ok', "img", "ok"),
        ("![ok](../../elsewhere.png)ok", "img", "ok"),
        ('<p style="color:red" onclick="z()">ok</p>', "onclick", "ok"),
        ("[ok](javascript:alert(1))", "javascript", "ok"),
        ("[ok](https://elsewhere.example/)", "elsewhere", "ok"),
        ("[ok](//elsewhere.example/)", "elsewhere", "ok"),
        ("[ok](\\\\\\\\elsewhere.example)", 'href="\\', "ok"),
        ("[ok](/etc/passwd)", "passwd", "ok"),
        ("[ok](../../../staff/index.html)", "staff", "ok"),
        ("[ok](spec.html#x)", "rel=", 'href="spec.html#x"'),
        ("<iframe src=x></iframe><style>p{}</style>ok", "iframe", "ok"),
    ],
)
def test_markdown_can_do_no_harm(markdown: str, gone: str, left: str) -> None:
    """Scripts, styles, handlers, pictures and links that leave the folder are dropped."""
    for html in (str(markdown_html(markdown)), str(guest_html(markdown))):
        assert gone not in html
        assert left in html


@pytest.mark.parametrize(
    ("markdown", "told"),
    [
        ("<script>alert(1)</script>", "the tag <script>"),
        ("![a leaf](../../leaf.png)", "the picture “../../leaf.png”"),
        ("[x](https://elsewhere.example/)", "the link “https://elsewhere.example/”"),
        ("[x](../../x.md)", "the link “../../x.md”"),
        ('<p onclick="z()">x</p>', "the attribute onclick"),
    ],
)
def test_what_is_taken_out_is_told(markdown: str, told: str) -> None:
    """An author hears of everything that a page leaves out; plain words are let through unheard."""
    (refused,) = dropped_markup(markdown)[0]
    assert refused.words == told
    assert refused.written in markdown
    assert dropped_markup("*Plain* words, [a link](x.html) and a table.")[0] == ()


def test_a_link_to_a_recipe_leads_to_its_page() -> None:
    """“../syrups/Honey.md” is the file an author knows; staff get its page, guests its place."""
    text = "[x](../syrups/White Syrup.md#method)".replace(" ", "-")
    assert 'href="white-syrup.html#method"' in markdown_html(text)
    assert 'href="#white-syrup"' in guest_html(text)
    assert dropped_markup(text)[1] == ("../syrups/White-Syrup.md#method",)


def test_markdown_is_markdown() -> None:
    """Lists, emphasis and tables come out as such; nothing comes out of nothing."""
    assert "<ol>" in markdown_html("## Method\n\n1. Stir.\n2. Strain.")
    assert "<table>" in markdown_html("| a | b |\n|---|---|\n| 1 | 2 |")
    assert markdown_html("  \n") == ""


def test_footnotes_of_one_text_do_not_reach_the_next() -> None:
    """The converter keeps nothing between two texts."""
    markdown_html("*[ABV]: alcohol by volume\n\nABV")
    assert "<abbr" not in markdown_html("ABV")
