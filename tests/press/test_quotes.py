"""Quotation marks by language: hand-set examples of what goes wrong, and laws on any text."""

from __future__ import annotations

import re

import pytest
from anthocard.press.base.quotes import MARKS, curl, curled
from anthocard.press.base.unbroken import capital_accents, tied, unbroken
from hypothesis import given, strategies as st


@pytest.mark.parametrize(
    ("straight", "set_"),
    [
        ("Tonight's Outlook", "Tonight’s Outlook"),
        ("rock 'n' roll", "rock ’n’ roll"),
        ("'Tis the '90s", "’Tis the ’90s"),
        ('"Well," she said, "it\'s 5\'11" tall."', "“Well,” she said, “it’s 5′11” tall.”"),
        ("a shelf 5'11\" high", "a shelf 5′11″ high"),
        ("the bakers' dozen", "the bakers’ dozen"),
        ("'so' he said", "‘so’ he said"),
        ('("quoted")', "(“quoted”)"),
        ("It&#39;s &#34;here&#34;", "It’s “here”"),
        ("It&#x27;s &#x22;here&#x22;", "It’s “here”"),
        ("nothing to do", "nothing to do"),
    ],
)
def test_english_by_hand(straight: str, set_: str) -> None:
    assert curl(straight) == set_


@pytest.mark.parametrize(
    ("tag", "set_"),
    [
        ("de", "Er sagte „so geht’s“."),
        ("fr", "Er sagte «\u202fso geht’s\u202f»."),
        ("en-GB", "Er sagte “so geht’s”."),
        ("xx", "Er sagte “so geht’s”."),
    ],
)
def test_each_language_has_its_own(tag: str, set_: str) -> None:
    assert curl('Er sagte "so geht\'s".', tag) == set_


def test_a_page_is_set_by_the_language_of_each_element() -> None:
    """Tags, styles and code stay; what is inside an element of another language follows that."""
    page = (
        '<html lang="de"><style>p::before { content: "x" }</style><p title=\'"\'>"eins" <br>'
        '<i lang="en">"two"</i> "drei"</p><code>"x"</code></html>'
    )
    assert curled(page) == (
        '<html lang="de"><style>p::before { content: "x" }</style><p title=\'"\'>„eins“ <br>'
        '<i lang="en">“two”</i> „drei“</p><code>"x"</code></html>'
    )


def test_what_a_tag_says_is_set_too() -> None:
    """What is shown or read aloud of a tag, in its element's language; addresses and policies stay."""
    page = (
        '<html lang="en"><meta name="description" content="Tonight&#39;s"><meta http-equiv="C" '
        'content="img-src \'self\'"><img alt="the guest\'s" src="a\'b.png"></html>'
    )
    assert curled(page) == (
        '<html lang="en"><meta name="description" content="Tonight’s"><meta http-equiv="C" '
        'content="img-src \'self\'"><img alt="the guest’s" src="a\'b.png"></html>'
    )


@given(st.text(alphabet="ab '\"5.-(&#39;"), st.sampled_from(sorted(MARKS)))
def test_no_straight_one_is_left_and_no_letter_lost(text: str, tag: str) -> None:
    """Whatever is written: other letters stay as they are, in order, and twice is as once."""
    made = curl(text, tag)
    assert not re.search(r"[\"']", made)
    plain = "[\"'“”„«»‘’‚‹›′″\u202f]"
    assert re.sub(plain, "", made) == re.sub(plain, "", text.replace("&#39;", ""))
    assert curl(made, tag) == made


@pytest.mark.parametrize(
    ("loose", "tag", "kept"),
    [
        ("shake 22.5 ml at 11 °C", "en", "shake 22.5~ml at 11~°C"),
        ("4 % vol, pH 3.1", "en", "4~%~vol, pH~3.1"),
        ("1½ imp oz and 2 dashes", "en-US", "1½~imp~oz and 2~dashes"),
        ("2 gouttes, 30 ml", "fr", "2~gouttes, 30~ml"),
        ("3 Tropfen, 2 Tage", "de-AT", "3~Tropfen, 2~Tage"),
        ("8 of them, 2 in a row, 3 glasses", "en", "8 of them, 2 in a row, 3 glasses"),
        ("5 minced limes, 2 largest", "en", "5 minced limes, 2 largest"),
        ("30 ml", "../../x", "30~ml"),
        ("20\n °C, 40\n% vol", "en", "20~°C, 40~%~vol"),
        ("checked 2 Nov 2026 by 10 may", "en", "checked 2~Nov 2026 by 10 may"),
        ("geprüft am 2. Nov. 2026", "de", "geprüft am 2.~Nov. 2026"),
    ],
)
def test_a_figure_and_its_unit_stay_together(loose: str, tag: str, kept: str) -> None:
    """By hand; ~ is the space that does not break. Words that only begin like a unit are none."""
    assert unbroken(loose, tag) == kept.replace("~", "\N{NO-BREAK SPACE}")
    page = f'<html lang="{tag}"><title>{loose}</title><p>{loose}</p><pre>{loose}</pre></html>'
    made = curled(page)
    assert made.count("\N{NO-BREAK SPACE}") == 2 * kept.count("~")
    assert made.replace("\N{NO-BREAK SPACE}", " ").split() == page.split()


@pytest.mark.parametrize(
    ("name", "stands"),
    [("Überflug", True), ("Été", True), ("über", False), ("Æble", False), ("lime", False)],
)
def test_a_mark_on_a_capital_is_seen(name: str, stands: bool) -> None:
    assert capital_accents(name) is stands


WHOLE = '<span style="white-space: nowrap">'


@pytest.mark.parametrize(
    ("loose", "kept"),
    [
        ("<p>from above: deep purple</p>", "<p>from above: deep~purple</p>"),
        ("<li>as <b>one by one</b>\n</li>", "<li>as <b>one by~one</b>\n</li>"),
        ("<p>two words</p>", "<p>two words</p>"),  # a narrow column may have to part them
        ("<p>it reads extraordinarily well-foundedness</p>", ""),
        ("<p>while breast-fed.</p>", f"<p>while {WHOLE}breast-fed.</span></p>"),
        ("<p>a <b>12 ml</b> · Contains celery.</p>", "<p>a <b>12 ml</b>~· Contains~celery.</p>"),
        ("<li>blue · at 4 % · Vegan.</li>", "<li>blue~· at 4 %~·~Vegan.</li>"),
        ("<li>as violet · Unquestionably.</li>", "<li>as violet~· Unquestionably.</li>"),
        ("<h1>The Glass Is Falling</h1>", ""),  # large type is not sure to have the room
        ("<p>a dose of 22.5\xa0ml</p>", ""),
        ("<p>safe from 3\xa0ml on</p>", "<p>safe from 3\xa0ml~on</p>"),
        ("<td>the wine merchant</td>", ""),  # narrower than any two words
        ("<td>in <i>it</i> from the start</td>", "<td>in <i>it</i> from the~start</td>"),
    ],
)
def test_a_last_line_is_of_two_words(loose: str, kept: str) -> None:
    """And no dot begins one. By hand; “~” is a no-break space."""
    assert tied(loose) == (kept or loose).replace("~", "\N{NO-BREAK SPACE}")
