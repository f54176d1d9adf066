"""Menus on paper by the number of drinks: formats, fill, what is kept together, marks that are set."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from anthocard.engine.compute import compute
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Menu
from anthocard.house.reader import read_house
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.job import HERE
from anthocard.press.paper.menu_papers import menu_pdf
from anthocard.press.words.card import Card, make_card

from tests.press.fuzzed import faults

DEMO = Path(__file__).parents[2] / "recipes"


@pytest.fixture(scope="module")
def demo() -> tuple[Collection, dict[str, Card]]:
    collection = read_house(DEMO)
    computed, _ = compute(collection)
    drinks = (one for one in computed.values() if one.is_drink)
    return collection, {one.name: make_card(one, collection.house) for one in drinks}


def of(demo: tuple[Collection, dict[str, Card]], count: int, format_: str = "folded") -> bytes:
    """A menu of so many drinks in sections of up to fifteen, as cut."""
    collection, cards = demo
    known = list(cards.values())
    listed = [
        replace(known[n % len(known)], name=f"{known[n % len(known)].name} {n}")
        for n in range(count)
    ]
    names = [f"drink {n}" for n in range(count)]
    sections = [
        {"name": f"Part {n // 15 + 1}", "note": "As it's told.", "drinks": names[n : n + 15]}
        for n in range(0, count, 15)
    ]
    menu = Menu.model_validate({"name": "Tonight's", "sections": tuple(sections)}, strict=False)
    by_name = dict(zip(map(fold, names), listed, strict=True))
    return cut(HERE.now(menu_pdf(menu, by_name, collection.house, find_theme(), format_)))


def pages(pdf: bytes) -> list[str]:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True
    )
    return done.stdout.decode().split("\f")[:-1]


@pytest.mark.parametrize(
    ("count", "most"), [(1, 1), (5, 2), (15, 6), (40, 8), (60, 8)]
)  # fmt: skip
def test_a_menu_is_as_short_as_its_drinks_let_it(
    count: int, most: int, demo: tuple[Collection, dict[str, Card]]
) -> None:
    """Of the demo's own texts: every drink on it once, in few A5 pages, nothing lost, no straight
    quote; no section leaves one drink alone on a page."""
    pdf = of(demo, count)
    told = pages(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as document:
        assert len(document.pages) <= most
    assert not faults(pdf)
    whole = "".join(told)
    assert "'" not in whole
    assert '"' not in whole
    assert whole.count("% vol") == count
    if count > 5:
        for page in told[1:]:
            assert page.count("% vol") != 1


def test_a_page_that_goes_on_says_so(demo: tuple[Collection, dict[str, Card]]) -> None:
    """A section that runs on: its name, continued, at the head of the page; folios from 2."""
    told = pages(of(demo, 24))
    assert any("Part 1, continued" in page for page in told[2:])
    assert "continued" not in told[1]
    assert re.search(r"\n\s*2\s*$", told[1].rstrip("\n") + "\n".rstrip())


def test_names_outweigh_turns(demo: tuple[Collection, dict[str, Card]]) -> None:
    """Inside the menu a turn is a disc of 8 mm at most: no colour runs across a page there."""
    style = find_theme().style("menu_paper.css")
    width = re.search(r"\.chip \{[^}]*width: ([\d.]+)mm", style)
    assert width
    assert float(width[1]) <= 8
