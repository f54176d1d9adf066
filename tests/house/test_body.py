"""What staff write must not reach guests: where a body is cut, and every slip that is told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.diagnostics.tables import read_table
from anthocard.house.body import read_body, split_body, starts_staff
from anthocard.house.reader import read_house
from hypothesis import given, strategies as st

House = Callable[..., Path]

SECRET = "1. Shake with the SECRET."
#: Ordinary ways to get the heading wrong, each with the kind of mistake it is told as.
SLIPS = {
    "deeper": (f"Hello.\n\n### Method\n{SECRET}", "heading-level"),
    "higher": (f"Hello.\n\n# Method\n{SECRET}", "heading-level"),
    "bold": (f"Hello.\n\n**Method**\n\n{SECRET}", "heading-level"),
    "bold and colon": (f"Hello.\n\n**Method:** {SECRET}", "heading-level"),
    "colon": (f"Hello.\nMethod: {SECRET}", "heading-level"),
    "a bare word": (f"Hello.\n\nZubereitung\n\n{SECRET}", "heading-level"),
    "no blank": (f"Hello.\n\n##Method\n{SECRET}", "heading-level"),
    "underlined": (f"Hello.\n\nMethod\n------\n{SECRET}", "heading-level"),
    "underlined twice": (f"Hello.\n\nMethod\n===\n{SECRET}", "heading-level"),
    "a tag": (f"Hello.\n\n<h2>Method</h2>\n{SECRET}", "heading-level"),
    "a tag with more": (f"Hello.\n\n<H3 class='x'>Rezept\n</H3>\n{SECRET}", "heading-level"),
    "a summary": (f"Hello.\n<details><summary>Recipe</summary>\n{SECRET}", "heading-level"),
    "indented": (f"Hello.\n\n    ## Method\n    {SECRET}", "heading-level"),
    "quoted": (f"Hello.\n\n> ## Method\n> {SECRET}", "heading-level"),
    "in a list": (f"Hello.\n\n- ## Method\n- {SECRET}", "heading-level"),
    "in a code block": (f"```\n## Method\n{SECRET}\n```\nHello.", "heading-level"),
    "an open code block": (f"Hello.\n\n```\n{SECRET}", "open-code"),
    "another word": (f"Hello.\n\n## How we make it\n{SECRET}", "guest-heading"),
    "misspelt": (f"Hello.\n\n## Metod of old\n{SECRET}", "guest-heading"),
    "look-alike letters": (f"Hello.\n\n## \u041cethod\n{SECRET}", "guest-heading"),
    "a note for staff": (f"Hello.\n\nBar notes\n---------\n{SECRET}", "guest-heading"),
    "a language in words": (f"Hello.\n\n## DE\n{SECRET}", "guest-heading"),
}
DRINK = """\
---
kind: drink
name: Trial
glass: small goblet
method: stirred
pours:
  - 50 ml gin
---
"""


@pytest.mark.parametrize(("text", "kind"), SLIPS.values(), ids=SLIPS)
def test_an_ordinary_slip_stops_the_house(house: House, text: str, kind: str) -> None:
    """Each is an error at its own line, with a caret and a mend; nothing is published."""
    with pytest.raises(AuthorError) as told:
        read_house(house(**{"drinks/trial.md": DRINK + text}))
    (mistake,) = told.value.mistakes
    assert (mistake.kind, mistake.severity) == (kind, "error")
    written = (DRINK + text).split("\n")
    at = mistake.place
    assert written[at.line - 1] == at.text
    assert at.text[at.column - 1 :][: at.length].strip()
    assert mistake.mend


@pytest.mark.parametrize("text", [text for text, kind in SLIPS.values() if kind == "heading-level"])
def test_a_slip_that_is_understood_keeps_the_method_from_guests(text: str) -> None:
    """Where the words for staff are known, they are staff's even while the slip is there."""
    body = read_body(text)
    assert body.staff
    assert "SECRET" not in body.guest


def test_the_heading_is_known_in_ten_languages(house: House) -> None:
    """Every word of the table starts the words for staff, capital or not, with or without marks."""
    rows = read_table("anthocard.house", "body.yaml")["staff"]
    assert len(rows) == 10
    for word in (word for row in rows.values() for word in row["words"]):
        for heading in (f"## {word}", f"## {word.upper()}:", f"  ## **{word}** ##"):
            body = read_body(f"Hello.\n\n{heading}\n{SECRET}")
            assert (body.guest, body.slips) == ("Hello.", ()), heading
            assert "SECRET" in body.staff
    text = "Hello.\n\n## Methode\n" + SECRET
    drink = read_house(house(**{"drinks/trial.md": DRINK + text})).drinks["Trial"]
    assert drink.guest_text == "Hello."


@pytest.mark.parametrize(
    ("body", "guest", "staff"),
    [
        ("Hello.\n\n## Method\n1. x", "Hello.", "## Method\n1. x"),
        ("Hello.", "Hello.", ""),
        ("## method:\nx", "", "## method:\nx"),
        ("a\n## Method\nb\n## Method\nc", "a", "## Method\nb\n## Method\nc"),
        ("a\n\n## de\n\nb\n## Method\nc", "a\n\n## de\n\nb", "## Method\nc"),
        (
            "```\ncode\n```\na\n\n---\nb\n## Method\nc",
            "```\ncode\n```\na\n\n---\nb",
            "## Method\nc",
        ),
        ("a\n\n## Method\n### By hand\n```\nopen", "a", "## Method\n### By hand\n```\nopen"),
        ("An old method: we wait.\nMethods vary.", "An old method: we wait.\nMethods vary.", ""),
    ],
)
def test_a_sound_body_is_cut_in_silence(body: str, guest: str, staff: str) -> None:
    """Guests read what stands before the heading; rules, code and prose above it are no slip."""
    assert split_body(body) == (guest, staff)
    assert read_body(body).slips == ()


@pytest.mark.parametrize("heading", ["## de", "## Guests", "### Gäste", "## Para los clientes:"])
def test_words_for_guests_below_the_method_are_told(house: House, heading: str) -> None:
    """They would be read by staff alone, so they are a warning; they stay with staff."""
    text = f"Hello.\n\n## Method\n{SECRET}\n\n{heading}\nHallo."
    collection = read_house(house(**{"drinks/trial.md": DRINK + text}))
    (told,) = collection.warnings
    assert told.kind == "guests-below"
    assert told.place.text == heading
    assert "Hallo" in collection.drinks["Trial"].staff_text


def test_a_list_of_steps_without_any_heading_is_told(house: House) -> None:
    """A numbered list and no words for staff at all: guests would read the method."""
    collection = read_house(house(**{"drinks/trial.md": f"{DRINK}Hello.\n\n{SECRET}"}))
    assert [one.kind for one in collection.warnings] == ["steps-for-guests"]


@given(
    st.lists(
        st.sampled_from(
            [
                "## Method",
                "##Method",
                "Hello.",
                "```",
                "~~~",
                "",
                "---",
                "## de",
                "**Rezept**",
                "1. x",
                "<h2>",
                "> ## Method",
                "    ## Method",
                "a | b",
                "# x",
                "===",
                "\t",
            ]
        )
    ).map("\n".join)
    | st.text(max_size=80)
)
def test_no_word_is_lost_and_guests_never_read_past_the_heading(text: str) -> None:
    """Whatever is written: both halves together hold every word, and the first heading cuts."""
    body = read_body(text)
    guest, staff = split_body(text)
    assert f"{guest}\n{staff}".split() == text.split()
    shown = "\n".join([body.guest, *body.others.values()]).split("\n")
    errors = [slip for slip in body.slips if slip.certain]
    assert errors or not any(starts_staff(line) for line in shown)
