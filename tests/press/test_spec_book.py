"""The printed spec book and menu: all parts, working page numbers and links, both standards' marks."""

from __future__ import annotations

import io
import itertools
import re
import subprocess
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from generator.bench.drink import compute
from generator.bench.figures import Computed
from generator.press.book import book_html, book_pdf
from generator.press.card import Card, make_card
from generator.press.menu_paper import menu_pdf, menu_sheets
from generator.press.papers import POINTS_PER_MM, book_paper, menu_paper
from generator.press.theme import find_theme
from generator.recipe.book import fold
from generator.recipe.reader import Book, read_house

RECIPES = Path(__file__).parents[2] / "recipes"
STEP = {"to": "NEW22", "was": "BCD44", "lines": ["white syrup: 10 ml → 15 ml"]}


@cache
def house() -> tuple[Book, Mapping[str, Computed], Mapping[str, Card]]:
    book = read_house(RECIPES)
    computed = compute(book)[0]
    return book, computed, {slug: make_card(one, book.house) for slug, one in computed.items()}


@pytest.fixture(scope="module")
def spec_book() -> bytes:
    book, computed, cards = house()
    ledger = {"squall-line": {"steps": [STEP]}}
    html = book_html(book, computed, cards, find_theme(), ledger)
    return book_pdf(html, find_theme(), book_paper("A5"))


@pytest.fixture(scope="module")
def pages(spec_book: bytes) -> list[str]:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=spec_book, capture_output=True, check=True
    )
    return done.stdout.decode().split("\f")[:-1]


def test_all_parts_are_there_and_bookmarked(spec_book: bytes) -> None:
    """Every part is a bookmark of the first rank, in order; every recipe one below its chapter."""
    book, _, _ = house()
    with pikepdf.open(io.BytesIO(spec_book)) as pdf, pdf.open_outline() as outline:
        marks = {mark.title: [leaf.title for leaf in mark.children] for mark in outline.root}
    assert list(marks) == [
        "Contents", "How to read a card", "House measures and glasses", "Infusions", "Solutions",
        "Syrups", "Drinks", "Allergens", "Rules of care", "Glossary", "Index by colour",
        "Index by glass", "Index by plant", "Sources", "Changes since the last edition",
    ]  # fmt: skip
    assert sorted(marks["Drinks"]) == sorted(book.drinks)
    assert sorted(marks["Infusions"]) == sorted(book.infusions)


def test_contents_give_the_page_where_it_stands(pages: list[str], spec_book: bytes) -> None:
    """Each recipe in the contents stands on the page that is printed beside it."""
    done = subprocess.run(
        ["pdftotext", "-raw", "-f", "3", "-l", "4", "-", "-"],
        input=spec_book, capture_output=True, check=True,
    )  # fmt: skip
    text = " ".join(done.stdout.decode().split())
    listed = re.findall(r"([^.\d][^.]*?) (?:\. ?)+(\d+)", text)
    book, _, _ = house()
    found = {name.strip(): page for name, page in listed}
    for name in (*book.drinks, *book.infusions):
        assert name in pages[int(found[name]) - 1], name


def test_a_drink_is_a_facing_pair_and_the_rest_a_page(spec_book: bytes) -> None:
    """Of the demo house: drinks on a left page and its right, what is made on one page each."""
    with pikepdf.open(io.BytesIO(spec_book)) as pdf, pdf.open_outline() as outline:
        order: dict[Any, int] = {
            page.objgen: number for number, page in enumerate(pdf.pages, start=1)
        }
        at: dict[tuple[str, str], int] = {}
        for mark in outline.root:
            for leaf in (mark, *mark.children):
                target: Any = leaf.destination
                at[mark.title, leaf.title] = order[target[0].objgen]
    book, _, _ = house()
    starts = [at["Drinks", name] for name in sorted(book.drinks, key=str.casefold)]
    assert all(start % 2 == 0 for start in starts)
    ends = [*starts[1:], at["Allergens", "Allergens"]]
    assert all(end - start == 2 for start, end in zip(starts, ends, strict=True))
    made = sorted(
        number for (chapter, title), number in at.items()
        if chapter in ("Infusions", "Solutions", "Syrups") and chapter != title
    )  # fmt: skip
    assert all(b - a <= 1 for a, b in itertools.pairwise(made))


def test_links_lead_to_places_that_exist(spec_book: bytes) -> None:
    """More links than recipes, every one inside the book and to a named place."""
    with pikepdf.open(io.BytesIO(spec_book)) as pdf:
        names = {str(key) for key in list(pdf.Root.Names.Dests.Names)[::2]}
        links = [a for page in pdf.pages for a in page.get("/Annots", [])]
        for link in links:
            assert "/A" not in link or "/URI" not in link.A
            assert str(link.get("/Dest") if "/Dest" in link else link.A.D) in names
    assert len(links) > 100


def test_binding_margin_lies_inside(pages: list[str], spec_book: bytes) -> None:
    """Text starts further from the edge at the spine: on the left of right-hand pages."""
    done = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=spec_book, capture_output=True, check=True
    )
    lefts: dict[bool, float] = {}
    number = 0
    for line in done.stdout.decode().splitlines():
        number += "<page" in line
        if "<word" in line and number > 6:
            left = float(line.split('"')[1]) / POINTS_PER_MM
            lefts[number % 2 == 1] = min(left, lefts.get(number % 2 == 1, 99.0))
    assert lefts[True] == pytest.approx(19.0, abs=0.6)
    assert lefts[False] == pytest.approx(12.0, abs=0.6)


def test_the_change_log_tells_the_last_step(pages: list[str]) -> None:
    """What changed since the last edition stands on the last page, by recipe and stamps."""
    assert "Squall Line, edition BCD44 to NEW22" in pages[-1]
    assert "10 ml → 15 ml" in pages[-1]


def test_the_indexes_find_by_colour_glass_and_plant(pages: list[str]) -> None:
    """A drink is found by its glass, its colour and its plant."""
    text = "\n".join(pages[-14:])
    for word in ("coupe", "Butterfly pea", "blue"):
        assert word in text


@pytest.mark.parametrize("size", ["A5", "Half-Letter"])
def test_the_book_is_of_its_size(size: str) -> None:
    """A5 (ISO 216) or Half-Letter (5½ × 8½ in)."""
    paper = book_paper(size)
    pdf = book_pdf("<!doctype html><html lang=en><title>t</title><h1>t</h1>", find_theme(), paper)
    with pikepdf.open(io.BytesIO(pdf)) as read:
        box = [float(v) for v in read.pages[0].MediaBox]
    wanted = [paper.width_mm * POINTS_PER_MM, paper.height_mm * POINTS_PER_MM]
    assert box[2:] == pytest.approx(wanted, abs=0.01)


def declared(pdf: bytes) -> dict[str, Any]:
    with pikepdf.open(io.BytesIO(pdf)) as read:
        metadata = read.Root.Metadata.read_bytes().decode()
        return {
            "ua": re.findall(r'pdfuaid:part="?>?(\d)', metadata),
            "a": re.findall(r"pdfaid:part(?:=\"|>)(\d)", metadata),
            "title": str(read.docinfo.get("/Title", "")) or "dc:title" in metadata,
            "shown": bool(read.Root.ViewerPreferences.DisplayDocTitle),
            "language": str(read.Root.Lang),
            "tagged": bool(read.Root.MarkInfo.Marked),
        }


def test_it_declares_both_standards(spec_book: bytes) -> None:
    """PDF/UA-1 and PDF/A-3 at once, tagged, titled, language set; veraPDF in CI has the last word."""
    told = declared(spec_book)
    assert told["ua"] == ["1"]
    assert told["a"] == ["3"]
    assert told["title"]
    assert told["shown"]
    assert told["language"] == "en-GB"
    assert told["tagged"]


def test_every_figure_has_words(spec_book: bytes) -> None:
    """Every Figure in the structure tree has an alternative text."""
    with pikepdf.open(io.BytesIO(spec_book)) as pdf:
        figures = [
            o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/S") == "/Figure"
        ]
        assert len(figures) > 40
        assert all(str(figure.get("/Alt", "")).strip() for figure in figures)


def test_only_our_faces(spec_book: bytes, tmp_path: Path) -> None:
    """pdffonts lists the two packaged families and nothing of the machine's."""
    path = tmp_path / "book.pdf"
    path.write_bytes(spec_book)
    done = subprocess.run(["pdffonts", str(path)], capture_output=True, check=True, text=True)
    faces = {line.split()[0].partition("+")[2] for line in done.stdout.splitlines()[2:]}
    assert faces
    assert all(face.startswith(("Fira-Sans", "Spectral")) for face in faces), faces


def menu(format_: str) -> bytes:
    book, _, cards = house()
    drinks = {fold(card.name): card for card in cards.values() if card.kind == "drink"}
    return menu_pdf(next(iter(book.menus.values())), drinks, book.house, find_theme(), format_)


@pytest.mark.parametrize("format_", ["folded", "long"])
def test_the_menu_in_both_formats(format_: str) -> None:
    """Every drink with price, on pages of the format's size; nothing that staff only may know."""
    book, _, _ = house()
    pdf, paper = menu(format_), menu_paper(format_)
    with pikepdf.open(io.BytesIO(pdf)) as read:
        box = [float(v) / POINTS_PER_MM for v in read.pages[0].MediaBox]
    assert box[2:] == pytest.approx([paper.width_mm, paper.height_mm], abs=0.01)
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True
    )
    text = " ".join(done.stdout.decode().split())
    for drink in book.drinks.values():
        assert drink.name in text
        assert not any(f"{pour.amount.text} {pour.name}" in text for pour in drink.pours)
    assert declared(pdf)["ua"] == ["1"]


def test_the_folded_menu_comes_in_fours() -> None:
    """Sheets hold four pages each, the cover on the right of the first side."""
    folded = menu("folded")
    sheets = menu_sheets(folded, menu_paper("folded"))
    with pikepdf.open(io.BytesIO(sheets)) as pdf, pikepdf.open(io.BytesIO(folded)) as single:
        assert len(pdf.pages) == 2 * -(-len(single.pages) // 4)
        box = [float(v) / POINTS_PER_MM for v in pdf.pages[0].MediaBox]
    assert box[2:] == pytest.approx([296.0, 210.0], abs=0.01)
