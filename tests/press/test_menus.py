"""Menus on paper, read back: as full as each other whatever their drinks, in every theme; nothing lost."""

from __future__ import annotations

import io
import re
import subprocess
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from anthocard.engine.compute import compute
from anthocard.house.collection import Collection, fold
from anthocard.house.model import Menu
from anthocard.house.reader import read_house
from anthocard.house.settings import House, Prices
from anthocard.press.base import sizes as papers
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.job import HERE
from anthocard.press.paper.menus.menu_page import MARKS, MOST_TIED
from anthocard.press.paper.menus.menu_papers import menu_pdf, menu_sheets
from anthocard.press.words.card import Card, make_card
from PIL import Image

from tests.press.fuzzed import BOX, MINCED, THEMES, faults

DEMO = Path(__file__).parents[2] / "recipes"
MM = 25.4 / 72
#: White between two lines counts as empty beyond this, mm: more than any gap that parts two drinks.
GAP_MM, MARGIN_MM, DPI = 14.0, 15.0, 36
WEATHER = (
    "Isobar", "Sea Fret", "Haar", "Dry Line", "Cirrus", "Wet Bulb", "Ground Frost", "The Long Reach",
    "Trade Wind", "Virga", "Slack Water", "Hail", "Dog Days", "A Change of Wind", "Rain Shadow",
)  # fmt: skip
LATER = ("", " at Dusk", " by Night")


@cache
def _demo() -> tuple[Collection, dict[str, Card]]:
    collection = read_house(DEMO)
    computed, _ = compute(collection)
    drinks = (one for one in computed.values() if one.is_drink)
    return collection, {one.name: make_card(one, collection.house) for one in drinks}


def listed(count: int) -> list[Card]:
    """So many drinks with the demo's own texts and, from its last on, names of the same kind."""
    _, cards = _demo()
    known = list(cards.values())
    more = [f"{name}{later}" for later in LATER for name in WEATHER]
    others = [replace(known[n % len(known)], name=name) for n, name in enumerate(more)]
    return [*known, *others][:count]


def set_menu(
    cards: list[Card],
    theme: str = "base",
    format_: str = "folded",
    house: House | None = None,
    a_section: int = 10,
) -> bytes:
    """A menu of drinks in sections of so many, as cut."""
    collection, _ = _demo()
    names = [f"drink {n}" for n in range(len(cards))]
    sections = [
        {
            "name": f"Part {n // a_section + 1}",
            "note": "As it's told.",
            "drinks": names[n : n + a_section],
        }
        for n in range(0, len(cards), a_section)
    ]
    text = next(iter(collection.menus.values())).guest_text
    menu = Menu.model_validate(
        {"name": "Tonight's", "sections": tuple(sections), "guest_text": text}, strict=False
    )
    by_name = dict(zip(map(fold, names), cards, strict=True))
    look = find_theme(theme)
    return cut(HERE.now(menu_pdf(menu, by_name, house or collection.house, look, format_)))


def pages(pdf: bytes, how: str = "-layout") -> list[str]:
    done = subprocess.run(["pdftotext", how, "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode().replace("\xa0", " ").split("\f")[:-1]


def words(pdf: bytes) -> list[list[tuple[float, float, float, float, str]]]:
    """Of each page, the box of every word, mm, in the order of the text."""
    done = subprocess.run(
        ["pdftotext", "-cropbox", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    found = []
    for page in done.stdout.decode().split("<page ")[1:]:
        boxes = [(*(float(edge) * MM for edge in box[:4]), box[4]) for box in BOX.findall(page)]
        found.append(boxes)
    return found  # type: ignore[return-value]


def seen(pdf: bytes, folder: Path) -> list[np.ndarray]:
    """Every page as an eye sees it: (height, width, 3) of 0 to 255, at DPI."""
    (folder / "menu.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), str(folder / "menu.pdf"), str(folder / "seen")], check=True
    )
    return [np.asarray(Image.open(path)).astype(int) for path in sorted(folder.glob("seen*.ppm"))]


def filled(page: np.ndarray) -> float:
    """What share of a page's height between its margins holds ink, gaps between drinks included."""
    ground = np.median(page.reshape(-1, 3), axis=0)
    margin, gap = (round(mm / 25.4 * DPI) for mm in (MARGIN_MM, GAP_MM))
    inked = (abs(page - ground).max(axis=2) > 24).any(axis=1)[margin:-margin]
    white = [len(run) for run in re.findall("0+", "".join("01"[int(row)] for row in inked))]
    return 1.0 - sum(max(0, length - gap) for length in white) / len(inked)


def coloured(page: np.ndarray) -> float:
    """What share of a page shows colour: neither its paper, its ink nor anything grey."""
    return float(((page.max(axis=2) - page.min(axis=2)) > 60).mean())


#: The most pages of a menu of so many drinks.
MOST = {1: 1, 5: 2, 15: 4, 40: 8, 60: 8}


@pytest.mark.parametrize(
    ("theme", "count"),
    [
        *(("base", count) for count in MOST if count != 40),
        *zip(THEMES[1:], (1, 15, 40), strict=False),
    ],
)
def test_a_menu_is_full_whatever_it_holds(count: int, theme: str, tmp_path: Path) -> None:
    """In every theme: few pages and each of them full (so any two houses are within 10 %), every
    drink once, no section split with one drink on a side, “continued” and folios where they belong,
    no last line of one word, turns smaller than names, no straight quote, nothing lost."""
    cards = listed(count)
    pdf = set_menu(cards, theme)
    told, boxes, looks = pages(pdf), words(pdf), seen(pdf, tmp_path)
    assert len(told) <= MOST[count]
    shares = [filled(page) for page in looks]
    assert min(shares) >= 0.75, shares
    assert np.mean(shares) >= 0.9, shares
    assert not faults(pdf)
    whole = " ".join("".join(told).split())
    assert "'" not in whole
    assert '"' not in whole
    assert "".join(told).count("% vol") == count
    if count > 5:
        assert max(coloured(page) for page in looks[1:-1]) < 0.04
        for page in (looks[0], looks[-1]) if theme == "base" else ():  # out into the bleed
            assert (abs(page[4, [0, -1]] - page[-1, 0]).max(axis=1) > 24).all()
    inner = range(1, len(told) - 1) if count > 5 else range(len(told))
    if count > 1:
        _split_well(pages(pdf, "-raw"), inner, count)
    for number in inner:
        if number:  # the first page has no folio
            assert re.search(rf"\n\s*{number + 1}\s*$", told[number].rstrip()), told[number][-200:]
    ends = {card.guest_text.split()[-2:][0] + " " + card.guest_text.split()[-1] for card in cards}
    _, tied = _last_lines(boxes, {end for end in ends if len(end) <= MOST_TIED})
    assert tied >= min(count, 4)


def _split_well(told: list[str], inner: range, count: int) -> None:
    """Of each section at least two drinks on each page it stands on; “continued” where it goes on."""
    on = [[n for n in range(count) if _named(listed(count)[n].name, told[page])] for page in inner]
    assert Counter(n for page in on for n in page) == Counter(range(count))
    for page, drinks in zip(inner, on, strict=True):
        for part, many in Counter(n // 10 for n in drinks).items():
            assert many >= 2 or sum(n // 10 == part for n in range(count)) == 1, (page, drinks)
        opens = min(drinks)
        goes_on = f"Part {opens // 10 + 1}, continued"
        assert (goes_on in told[page]) == (opens % 10 > 0), (page, drinks)


def _named(name: str, page: str) -> bool:
    """Whether a page names a drink: its words in a row, and no longer name that holds them."""
    spelt = re.escape(name).replace(r"\ ", r"\s+").replace("'", "’")
    return re.search(rf"(?<!\w ){spelt}(?!\s+(?:at|by)\s)(?=\W|$)", page) is not None


def _last_lines(
    boxes: list[list[tuple[float, float, float, float, str]]], ends: set[str]
) -> tuple[list[str], int]:
    """Ends of paragraphs whose last two words stand on two lines, and how many stand on one."""
    apart, together = [], 0
    curled = {end.replace("'", "’") for end in ends}
    for page in boxes:
        for one, other in pairwise(page):
            if f"{one[4]} {other[4]}" in curled:
                if abs(one[1] - other[1]) < 1.0:
                    together += 1
                else:
                    apart.append(f"{one[4]} / {other[4]}")
    assert not apart
    return apart, together


@pytest.mark.parametrize(
    ("theme", "format_"),
    [("base", "board"), ("dusk", "board"), ("plain", "long"), ("almanac", "long")],
)
def test_a_long_card_and_a_board(format_: str, theme: str, tmp_path: Path) -> None:
    """The demo's drinks on a long card of as many sides as sheets have, and on one board."""
    pdf = set_menu(listed(15), theme, format_, a_section=5)
    told = pages(pdf)
    assert len(told) in ((1,) if format_ == "board" else (2, 4))
    assert min(filled(page) for page in seen(pdf, tmp_path)) >= 0.75
    assert not faults(pdf)
    assert "".join(told).count("% vol") == 15


@pytest.mark.parametrize("theme", ["dusk", "almanac"])
def test_what_is_hard_to_set_is_set(theme: str, tmp_path: Path) -> None:
    """Long stories, a name of sixty letters and one without a space, many marks, no prices, a house
    in German with names in English: nothing lost, no money named, a mark for each shared note."""
    collection, _ = _demo()
    house = collection.house.model_copy(update={"language": "de"})
    notes = tuple(f"mit Zusatzstoff {n}, der gekennzeichnet wird" for n in range(7))
    long = "A story that goes on and on, as they do when the glass falls and nobody leaves. " * 4
    names = ("A Name That Takes Sixty Letters and Will Not Be Cut by Anyone", MINCED[0])
    hard = [
        replace(
            card, name=names[n] if n < 2 else card.name, guest_text=long, price="",
            guest_notes=notes, shared_notes=notes,
        )
        for n, card in enumerate(listed(9))
    ]  # fmt: skip
    pdf = set_menu(hard, theme, house=house, a_section=5)
    whole = " ".join("".join(pages(pdf)).split())
    assert not faults(pdf)
    assert "Preise" not in whole
    assert all(note in whole for note in notes)
    assert f"{MARKS[1] * 2} {notes[6]}" in whole
    assert min(filled(page) for page in seen(pdf, tmp_path)) >= 0.75


@pytest.mark.parametrize(
    ("prices", "said", "foot", "behind"),
    [
        (Prices(), "12.50", True, False),
        (Prices(currency="symbol", stand="name"), "£12.50", False, True),
        (Prices(currency="code", stand="margin"), "12.50", False, False),
    ],
    ids=["at the foot", "sign behind the name", "code in the margin"],
)
def test_prices_stand_as_the_house_wants_them(
    prices: Prices, said: str, foot: bool, behind: bool
) -> None:
    """Their currency named once, by its sign or its code; in the margin or behind the name, quieter
    than it."""
    collection, _ = _demo()
    house = collection.house.model_copy(update={"prices": prices})
    cards = [replace(card, price="12.50", name=WEATHER[n]) for n, card in enumerate(listed(3))]
    pdf = set_menu(cards, "base", house=house)
    whole = " ".join("".join(pages(pdf)).split())
    assert ("Prices in British pounds." in whole) == foot
    assert whole.count("12.50 GBP") == (3 if prices.currency == "code" else 0)
    found = [word for page in words(pdf) for word in page if word[4] == said]
    assert len(found) == 3
    edge = papers.menu_paper("folded").width_mm
    assert all((word[2] < 0.7 * edge) == behind for word in found)
    name = next(word for page in words(pdf) for word in page if word[4] == "Fret")
    assert found[1][3] - found[1][1] < name[3] - name[1]


@pytest.mark.parametrize(("count", "sides"), [(1, 1), (6, 2)])
def test_sheets_end_with_the_back(count: int, sides: int) -> None:
    """A card stands on its sheet twice, to be cut; of a booklet the last page lies beside the first,
    as its back."""
    sheets = menu_sheets(set_menu(listed(count)), papers.menu_paper("folded"))
    halves = [
        subprocess.run(
            ["pdftotext", "-f", "1", "-l", "1", "-x", x, "-y", "0", "-W", "420", "-H", "595", "-", "-"],
            input=sheets, capture_output=True, check=True,
        ).stdout.decode()
        for x in ("0", "420")
    ]  # fmt: skip
    if count == 1:
        assert halves[0] == halves[1] != ""
    else:
        assert "Tell us about an allergy" in " ".join(halves[0].split())
        assert "Tonight’s" in halves[1]
    with pikepdf.open(io.BytesIO(sheets)) as document:
        assert len(document.pages) == 2
