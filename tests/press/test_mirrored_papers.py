"""Papers that are read from the right, read back with Poppler: by the list in from_the_right.yaml."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any, TypeAlias

import pikepdf
import pytest
import yaml
from anthocard.diagnostics.diagnostic import Place
from anthocard.house.collection import fold
from anthocard.house.model import Menu
from anthocard.house.settings import House
from anthocard.press.base import sizes as papers, theme as theme_module
from anthocard.press.base.faces import mend_for, package_name
from anthocard.press.base.languages import Language, language
from anthocard.press.base.mirrored import mirrored, mirrored_values
from anthocard.press.base.theme import Theme, find_theme
from anthocard.press.paper.archive import cut
from anthocard.press.paper.bar_cards import print_card
from anthocard.press.paper.forms import logs_pdf, prep_pdf
from anthocard.press.paper.impose import booklet
from anthocard.press.paper.job import HERE
from anthocard.press.paper.label_sheets import print_label
from anthocard.press.paper.menus.menu_papers import menu_pdf
from anthocard.press.paper.spec_book import print_book
from anthocard.press.words import log_sheets, prep_sheet
from anthocard.press.words.bottle_label import Label
from anthocard.press.words.card import make_card

from tests.press import conftest
from tests.press.conftest import SmallBook
from tests.press.fuzzed import BOX, faults
from tests.press.hostile import with_squares

LIST = yaml.safe_load(Path(__file__).with_name("from_the_right.yaml").read_text())
THEMES, MIRROR, BOUND = LIST["themes"], LIST["mirror"], LIST["bound_at_the_right"]
MM = 25.4 / 72
PLACE = Place("recipes/drinks/first-frost.md")
#: A word as it lies on a page, mm from its upper left corner: left, top, right, low, what it says.
Word: TypeAlias = tuple[float, float, float, float, str]


def words(pdf: bytes) -> list[tuple[float, list[Word]]]:
    """Of each page how wide it is and every word, without what orders letters unseen."""
    done = subprocess.run(
        ["pdftotext", "-cropbox", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    found = []
    for page in re.split(
        r"<page ", re.sub("[\u200e\u200f\u202a-\u202e\u2066-\u2069]", "", done.stdout.decode())
    )[1:]:
        size = re.match(r'width="(.+?)"', page)
        assert size
        boxes = [(*(float(edge) * MM for edge in box[:4]), box[4]) for box in BOX.findall(page)]
        found.append((float(size[1]) * MM, boxes))
    return found  # type: ignore[return-value]


def extent(found: list[Word], at: float) -> tuple[float, float]:
    """From where to where the words of a line reach, by its height on the page."""
    line = [one for one in found if one[1] < at < one[3]]
    return min((one[0] for one in line), default=0.0), max((one[2] for one in line), default=0.0)


@cache
def drinks(tag: str) -> tuple[House, list[Any]]:
    """A house of a language and three of its drinks, one of them without a reveal."""
    house = conftest.house.__wrapped__().model_copy(update={"language": tag})  # type: ignore[attr-defined]
    turns = [conftest.compute(conftest.make_drink(name=name)) for name in ("First Frost", "Haar")]
    still = conftest.compute(
        conftest.make_drink(name="Standing Water", reveal=None, steady=True, glass="tumbler")
    )
    return house, [*turns, still]


def papers_of(what: str, look: Theme, tag: str) -> list[bytes]:
    """One paper of the house, as cut; both sides of a card, the pages of a book."""
    house, made = drinks(tag)
    one, card = made[0], make_card(made[0], house)
    if "card" in what:
        size = papers.card_paper("A5" if what == "large card" else "A6")
        printed = HERE.now(print_card(card, one, look, size, lambda loc: PLACE))
        return [cut(printed.front), *([] if what == "large card" else [cut(printed.back)])]
    return [_paper(what, look, tag, house)]


def _paper(what: str, look: Theme, tag: str, house: House) -> bytes:
    if what == "book":
        return book_of(look, tag)
    if what.endswith("label"):
        small = what == "small label"
        label = Label(
            name="fruit acid", house=house.name, edition="4F2A", language=tag, warning=True,
            statement="ACID: do not drink neat", strength="55 g/l citric acid", made="7 Nov",
            discard="14 Nov", within="by day 8", lot="A7", store="5 °C or colder, dark",
            allergens="No allergen known.", free=True, hazard="Splashes hurt eyes.",
            chip="<svg xmlns='http://www.w3.org/2000/svg' class='chip' viewBox='0 0 1 1'></svg>",
            qr="",
        )  # fmt: skip
        sheet = papers.label_sheet("A4-5x13" if small else "A4-2x4")
        return HERE.now(print_label(label, sheet.label, look, PLACE))
    if "menu" in what or what == "board":
        return cut(menu_of(what.split()[0], look, tag))
    sheet = papers.sheet_paper("A4")
    if what == "prep":
        weight = prep_sheet.Weight("pea flower", "12.5 g", "3 ml")
        task = prep_sheet.Task(
            name="pea-flower gin", kind="infusion", edition="4F2A", need="700 ml",
            weights=(weight, weight), steps=("Steep in the dark.", "Strain."), written="As written.",
            warnings=("Keep it cold.",), points=(prep_sheet.Point("pH", "6.5"),),
            put_away=(prep_sheet.Point("keeps", "8 days"),),
        )  # fmt: skip
        day = prep_sheet.Day("The day before", (task, task))
        bought = (("gin", "700 ml"), ("lemons", "12"), ("sugar", "1 kg"))
        prep = prep_sheet.Prep(house.name, tag, (("First Frost", "40"),), (day,), bought)
        return HERE.now(prep_pdf(prep, look, sheet))
    logs = [log_sheets.deviation_log(language(tag)), log_sheets.probe_log(language(tag))]
    return HERE.now(logs_pdf(logs, house, look, sheet))


def book_of(look: Theme, tag: str) -> bytes:
    """Its spec book of two drinks."""
    house, made = drinks(tag)
    computed = {one.slug: one for one in made[1:]}
    cards = {slug: make_card(one, house) for slug, one in computed.items()}
    collection: Any = SmallBook(house, {}, tuple(one.recipe for one in made[1:]))
    paper = papers.book_paper("A5")
    return HERE.now(print_book(collection, computed, cards, look, {}, paper))


def menu_of(format_: str, look: Theme, tag: str, many: int = 3) -> bytes:
    """A menu with its bleed."""
    house, made = drinks(tag)
    cards = [make_card(one, house) for one in made]
    listed = [replace(cards[n % 3], name=f"{cards[n % 3].name} {n}") for n in range(many)]
    names = [f"n{n}" for n in range(many)]
    menu = Menu.model_validate(
        {"name": "Winter", "sections": ({"name": "Short", "drinks": names},)}, strict=False
    )
    by_name = {fold(name): card for name, card in zip(names, listed, strict=True)}
    return HERE.now(menu_pdf(menu, by_name, house, look, format_))


@pytest.fixture
def from_the_right(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """Papers in English that run as they are told: the same words on both, each set once."""

    def papers_so(what: str, look: Theme, way: str) -> list[bytes]:
        if (what, look.name, way) not in MADE:
            monkeypatch.setattr(Language, "runs", property(lambda tongue: way))
            MADE[what, look.name, way] = papers_of(what, look, "en")
        return MADE[what, look.name, way]

    return SimpleNamespace(papers=papers_so)


MADE: dict[tuple[str, str, str], list[bytes]] = {}
ASKED = [
    *(("base", what) for what in MIRROR["papers"]),
    *((theme, what) for theme in THEMES[1:] for what in MIRROR["in_every_theme"]),
]


@pytest.mark.parametrize(("theme", "what"), ASKED)
def test_a_paper_from_the_right_is_the_mirror_image(
    theme: str, what: str, from_the_right: SimpleNamespace
) -> None:
    """Line by line: what began so far from the left edge ends so far from the right one, on as many
    pages; and no word is lost."""
    look = find_theme(theme)
    plain = [page for pdf in from_the_right.papers(what, look, "ltr") for page in words(pdf)]
    pdfs = from_the_right.papers(what, look, "rtl")
    turned = [page for pdf in pdfs for page in words(pdf)]
    assert len(plain) == len(turned)
    off, count = [], 0
    for (wide, some), (_, others) in zip(plain, turned, strict=True):
        for word in some:
            at, count = (word[1] + word[3]) / 2, count + 1
            (left, right), (begins, ends) = extent(some, at), extent(others, at)
            if max(abs(wide - right - begins), abs(wide - left - ends)) > MIRROR["off_mm"]:
                off.append(
                    (word[4], [round(n, 1) for n in (left, right, wide - ends, wide - begins)])
                )
    assert len(off) <= (1 - MIRROR["lines"]) * count, off
    assert _said(plain) == _said(turned)
    safe = 0.5 if "label" in what else LIST["nothing_lost"]["safe_mm"]
    assert [fault for pdf in pdfs for fault in faults(pdf, safe)] == []


def _said(pages: list[tuple[float, list[Word]]]) -> list[str]:
    """Letters and figures: a stop or a bullet may belong to the word before it or behind."""
    said = (re.sub(r"\W", "", word[4]) for _, page in pages for word in page)
    return sorted(word for word in said if word)


def _at(page: list[Word], said: str) -> Word:
    """The first word that is or ends so."""
    return next(word for word in page if word[4].strip(":") == said)


def test_a_book_from_the_right_is_bound_at_the_right(from_the_right: SimpleNamespace) -> None:
    """Its first page is a left one; a drink is told on a right page, why on the left one beside it;
    dots lead from a title at the right to its page at the left."""
    (pdf,) = from_the_right.papers("book", find_theme(), "rtl")
    with pikepdf.open(io.BytesIO(pdf)) as document:
        assert str(document.Root.ViewerPreferences.Direction) == BOUND["viewer"]
    pages = words(pdf)
    outer, binding = BOUND["outer_mm"], BOUND["first_page_binding_right_mm"]
    inside = [n for n, (_, page) in enumerate(pages) if page and n > 1]  # behind cover and contents
    for number in inside:
        wide, page = pages[number]
        left, right = min(word[0] for word in page), wide - max(word[2] for word in page)
        odd = number % 2 == 0
        assert left >= (outer if odd else binding) - 0.6, number
        assert right >= (binding if odd else outer) - 0.6, number
    said = [" ".join(word[4] for word in page) for _, page in pages]
    (told,) = [n for n in inside if "Haar" in said[n] and "Amount" in said[n]]
    assert told % 2 == 1
    assert "Why it turns" in said[told + 1]
    _, contents = pages[2]
    title = _at(contents, "Glossary")
    line = [
        word for word in contents if abs(word[1] - title[1]) < 0.5 and word[2] <= title[0] + 0.1
    ]
    assert min(line)[4].isdigit()


def test_each_link_from_the_right_is_told_as_one(from_the_right: SimpleNamespace) -> None:
    """An element of a link for each place that can be touched (ISO 14289-1, 7.18.5), whichever way
    the words of it run."""
    (pdf,) = from_the_right.papers("book", find_theme(), "rtl")
    with pikepdf.open(io.BytesIO(pdf)) as document:
        told = pikepdf.NumberTree(document.Root.StructTreeRoot.ParentTree)
        marks = [mark for page in document.pages for mark in page.get("/Annots", ())]
        links = [mark for mark in marks if mark.Subtype == "/Link"]
        assert len(links) > 20
        assert {str(told[int(link.StructParent)].S) for link in links} == {"/Link"}


def test_a_house_without_a_catalogue_runs_its_own_way(tmp_path: Path) -> None:
    """A card whose names are in Hebrew: columns from the right, figures before their units, English
    sentences with their stop at the end, nothing off it; declared as what it is."""
    house, made = drinks("he")
    lines = tuple(conftest.measure(f"{'שקט'} {n}", 45.0 + n) for n in range(2))
    one = replace(made[0], measures=lines)
    look = with_squares("base", tmp_path)
    front = HERE.now(
        print_card(make_card(one, house), one, look, papers.card_paper("A6"), lambda loc: PLACE)
    ).front
    assert faults(cut(front)) == []
    with pikepdf.open(io.BytesIO(front)) as document:
        assert str(document.Root.Lang) == LIST["declared"]["lang_without_catalogue"]
        assert str(document.Root.ViewerPreferences.Direction) == BOUND["viewer"]
    ((_, page),) = words(cut(front))
    amount, unit, ounces = (_at(page, said) for said in ("45", "ml", "oz"))
    (name, *_) = [
        word for word in page if word[4] in ("שקט", "טקש") and abs(word[3] - unit[3]) < 1.5
    ]
    assert ounces[2] < name[0] < name[2] < amount[0] < amount[2] <= unit[0] + 0.1
    assert _at(page, "before")[0] > _at(page, "after")[0]
    nothing, dose = ([w for w in page if w[4] == said][-1] for said in ("0", "12.5"))
    assert dose[0] < nothing[0]
    assert _at(page, "spec")[0] < _at(page, "page.")[0]
    assert _at(page, "pH")[0] < [w for w in page if w[4] == "6.2"][-1][0]


@pytest.mark.parametrize("tag", [*LIST["languages"], *LIST["others"]])
def test_a_paper_declares_which_way_it_runs(tag: str) -> None:
    """By its language, whether its phrases are known or in English."""
    way = "rtl" if tag in LIST["languages"] else "ltr"
    html = find_theme().render("legend.html", {"parts": [("x", "")]}, tag)
    assert f'dir="{way}"' in html
    assert f'lang="{language(tag).lang}"' in html


def test_a_booklet_from_the_right_opens_at_the_left() -> None:
    """On its outermost side the cover lies left of the fold, the back of the whole right of it."""
    small = papers.Paper("leaf", 30.0, 20.0)
    pages = [b"", b"", b"", b""]
    said: list[float] = []
    for n in range(4):
        with pikepdf.new() as pdf:
            pdf.add_blank_page(page_size=(30.0 * 72 / 25.4, 20.0 * 72 / 25.4))
            out = io.BytesIO()
            pdf.save(out)
            pages[n] = out.getvalue()
    for from_right in (False, True):
        with pikepdf.open(io.BytesIO(booklet([pages[0]], small, from_right))) as sheet:
            code = b"".join(part.read_bytes() for part in sheet.pages[0].Contents)
        said.append(float(re.findall(rb"q ([\d.]+) ", code)[0]))
    assert said[0] > 80.0
    assert said[1] == 0.0


@pytest.mark.parametrize(
    ("style", "seen"),
    [
        ("a { margin: 1mm 2mm 3mm 4mm }", "margin: 1mm 4mm 3mm 2mm"),
        ("@page :right { @top-left { margin-left: 1mm } }", "@page :left { @top-right { margin-right"),
        ("@page left { size: 1mm } .left { page: left }", "@page left { size: 1mm ;} .left { page: left"),
        ('b[dir="rtl"] { text-align: left }', 'b[dir="ltr"] { text-align: right'),
        ("b { transform: rotate(-90deg); transform-origin: 0 0 }", "rotate(90deg); transform-origin: 100% 0"),
        ("b { background: linear-gradient(to right, red, blue) }", "linear-gradient(to left, red, blue)"),
        ("b { border-radius: 1mm 2mm }", "border-radius: 2mm 1mm 2mm 1mm"),
        ("b { --strip: left; content: 'left' }", "--strip: left; content: \"left\""),
        ("b {\n left: 0 !important }", "\n right: 0 !important"),
    ],
)  # fmt: skip
def test_a_style_is_mirrored_line_by_line(style: str, seen: str) -> None:
    """What has a side has the other; names that authors gave stay, and so does every line."""
    turned = mirrored(style)
    assert seen in turned
    assert turned.count("\n") == style.count("\n")


def test_what_stands_in_a_page_is_mirrored_too() -> None:
    """Of a `style` attribute."""
    assert mirrored_values("left: 12%; --turn: left").startswith("right: 12%; --turn: left")


def test_a_face_of_another_script_is_taken_where_it_is_installed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without naming it in a theme; where it is not, its package is told."""
    there = {package_name(name): (Path(f"{name}.ttf"),) for name in ("Heebo", "Amiri")}
    monkeypatch.setattr(theme_module, "packaged", lambda name: there.get(package_name(name), ()))
    assert {(f"{name}.ttf") for name in ("Heebo", "Amiri")} <= {
        path.name for path in find_theme("dusk").fonts
    }
    for script, letter in (("HEBREW", "ש"), ("ARABIC", "ش")):
        assert f"pip install {LIST['faces'][script]};" in mend_for(letter)
