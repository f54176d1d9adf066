"""Quotation marks by language: hand-set examples of what goes wrong, and laws on any text."""

from __future__ import annotations

import re

import pytest
from anthocard.press.base.quotes import MARKS, curl, curled
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
