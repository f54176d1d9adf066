"""No word leaves its paper, lies over another or is cut off: by our own boxes and by Poppler's."""

from __future__ import annotations

import subprocess
from pathlib import Path
from types import SimpleNamespace

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.house.settings import House
from anthocard.press.base.sizes import card_paper
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.paper import typeset
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.job import ENDS, FIT, HERE, Job
from anthocard.press.paper.lost_words import lost
from anthocard.press.words.card import make_card

from tests.press.fuzzed import faults, papers_of_chance

STYLE = "@page { size: 100mm 60mm; margin: 8mm } * { margin: 0; font: 10pt/1.2 'Fira Sans' }"


def told(body: str, more: str = "", safe_mm: float = 3.0) -> str:
    """What becomes of the words of a page."""
    html = f'<html lang="en"><head><title>x</title></head><body>{body}</body></html>'
    found = lost(typeset._render(html, STYLE + more, (), {}), safe_mm)
    return "" if found is None else f"{found.text}: {found.how}"


@pytest.mark.parametrize(
    ("body", "more", "how"),
    [
        ("<p>all is well", "", ""),
        ("<p>one<p>under the other, close", "p { line-height: 1 }", ""),
        ("<p>a" + "b" * 80, "", "off the paper"),
        ("<p style='margin-left: -6mm'>near", "", "near: 2.0 mm from the edge"),
        ("<p style='position: absolute; top: 51mm'>low", "", "off the paper"),
        ("<p>one two<p style='margin-top: -4mm'>three", "", "three: printed over “one two”"),
        ("<p style='width: 12mm; white-space: nowrap; overflow: hidden'>cut off it is", "", "cut"),
        ("<p style='height: 9mm; overflow: hidden'>one<br>two<br>three", "", "three: cut off"),
        ("<p style='width: 20mm; white-space: nowrap'>over nothing at all, so it is whole", "", ""),
        ("<p style='transform: rotate(90deg)'>turned words are for the eye alone", "", ""),
    ],
)
def test_each_way_to_lose_a_word_is_seen(body: str, more: str, how: str) -> None:
    """By hand: a page of 100 × 60 mm, words 8 mm inside it, and each of them spoilt in one way."""
    said = told(body, more)
    assert how in said
    assert bool(how) == bool(said)


def test_the_first_page_and_the_third_are_read_alike() -> None:
    """A word may be lost on any page."""
    body = "<p style='break-after: page'>one<p style='break-after: page'>two"
    assert told(body + "<p>three") == ""
    assert told(body + "<p style='margin-left: -20mm'>three").startswith("three")


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_papers_of_houses_of_chance_are_whole(
    seed: int, by_hand: SimpleNamespace, house: House
) -> None:
    """Names of sixty letters, long prices, many allergens, one theme each: nothing beyond the trim
    less 3 mm, no word over a word, by Poppler; else refused by the drink's name."""
    sizes = ("A6", "4x6", "A5", "5x7")[seed : seed + 2]
    made = [*papers_of_chance(by_hand, house, seed, sizes)]
    assert sum(bool(pdf) for _, pdf, _ in made) >= 2
    for what, pdf, trimmed in made:
        if pdf:
            assert not faults(pdf, 3.0 if trimmed else 0.5), what


def test_a_theme_that_loses_a_word_is_refused_at_it(
    by_hand: SimpleNamespace, house: House, tmp_path: Path
) -> None:
    """A theme of a house's own gets the same guard: names set in a line that never breaks."""
    (tmp_path / "own").mkdir()
    style = (find_theme().folders[-1] / "card.css").read_text()
    wide = ".what { white-space: nowrap; } main > * { overflow: visible; }"
    (tmp_path / "own" / "card.css").write_text(style + wide)
    own = Theme("own", (tmp_path / "own", *find_theme().folders))
    name = "elderflower liqueur of the third week of May, chilled"
    one = by_hand.compute(by_hand.drink(), measures=(by_hand.measure(name, 20.0),))
    line = f"  - 20 ml {name}"

    def at(loc: tuple[str | int, ...]) -> Place:
        return Place("x.md", 7, 5, 5, line) if loc[:1] == ("pours",) else Place("x.md")

    with pytest.raises(AuthorError) as refused:
        HERE.now(print_card(make_card(one, house), one, own, card_paper("A6"), at))
    (mistake,) = refused.value.mistakes
    assert mistake.kind == "lost-words"
    assert "First Frost" in mistake.message
    assert mistake.place.written in name
    assert mistake.place.line == 7


def test_what_runs_on_to_a_page_nearly_empty_is_set_closer_each_alone() -> None:
    """By hand, pages of ten lines: what is over by one is set closer, what is over by more has its
    last part on its second page whole, and what fits stays as it is, though it stands beside them.
    """
    lines = "<p>line".__mul__
    body = "".join(
        f"<article class='{FIT}'>{lines(n)}<div class=under>{lines(6)}</div></article>"
        for n in (3, 5, 7, 30)
    )
    style = (
        "@page { size: 100mm 70mm; margin: 10mm 10mm 10mm } * { margin: 0; font: 10pt/5mm 'Fira Sans' }"
        "article { break-before: page } .close p { line-height: 4.5mm }"
        ".parted .under { break-before: page }"
    )
    html = f'<html lang="en"><head><title>x</title></head><body>{body}</body></html>'
    made = typeset.set_type(Job(html, style, safe_mm=3.0, ends=ENDS))
    done = subprocess.run(["pdftotext", "-", "-"], input=made.pdf, capture_output=True, check=True)
    assert [text.count("line") for text in done.stdout.decode().split("\f")[:-1]] == [
        9,  # fits
        11,  # over by one of ten: closer, eleven go on a page
        7, 6,  # over by three, by two if closer: parted
        10, 10, 10, 6,  # parted, as the last page of four is no use with less
    ]  # fmt: skip
