"""The printed spec book and menu: all parts, working page numbers and links, both standards' marks."""

from __future__ import annotations

import asyncio
import io
import itertools
import re
import subprocess
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from typing import Any, cast

import pikepdf
import pytest
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.house.collection import fold
from anthocard.house.reader import Collection, read_house
from anthocard.press.base import sizes as papers
from anthocard.press.base.languages import language
from anthocard.press.base.sizes import POINTS_PER_MM, book_paper, menu_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.base.unbroken import MOST_TIED
from anthocard.press.data.worked import as_worked
from anthocard.press.draw.patterns import PATTERNS
from anthocard.press.html.pictures import Pictures
from anthocard.press.paper.archive import cut
from anthocard.press.paper.binding import bind
from anthocard.press.paper.house_papers import printed
from anthocard.press.paper.job import HERE, NO_PICTURES, Drawn, Job, Outcome, PaperPress, paper_pdf
from anthocard.press.paper.menus.menu_papers import menu_pdf, menu_sheets
from anthocard.press.paper.numbering import Begins
from anthocard.press.paper.spec_book import Volume, print_book
from anthocard.press.paper.typeset import set_type
from anthocard.press.words import chapters
from anthocard.press.words.card import Card, make_card

from tests.press.drawn_on_paper import BOUNDS, figures, pictures_of

RECIPES = Path(__file__).parents[2] / "recipes"
#: The drinks whose pictures are in the book of these tests: tracing all of them takes a while.
PICTURED = ("set-fair", "squall-line")
STEP = {"to": "NEW22", "was": "BCD44", "lines": ["white syrup: 10 ml → 15 ml"]}


@cache
def house() -> tuple[Collection, Mapping[str, Computed], Mapping[str, Card]]:
    collection = read_house(RECIPES)
    computed = compute(collection)[0]
    return (
        collection,
        computed,
        {slug: make_card(one, collection.house) for slug, one in computed.items()},
    )


@pytest.fixture(scope="module")
def spec_book() -> bytes:
    collection, computed, cards = house()
    ledger = {"squall-line": {"steps": [STEP]}}
    some = as_worked(collection.house, {slug: computed[slug] for slug in PICTURED})
    pictures = Pictures(collection, some, find_theme())
    return HERE.now(
        print_book(
            collection, computed, cards, find_theme(), ledger, book_paper("A5"), pictures=pictures
        )
    )


@pytest.fixture(scope="module")
def pages(spec_book: bytes) -> list[str]:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=spec_book, capture_output=True, check=True
    )
    return done.stdout.decode().replace("\xa0", " ").split("\f")[:-1]


def test_pictures_are_fine_and_told(spec_book: bytes) -> None:
    """Each drink before and after, from the side and from above, at 300 dots an inch or more, not
    smoothed over; whoever listens hears the words that pages have for the same pictures.
    """
    collection, computed, _ = house()
    found = pictures_of(spec_book)
    assert len(found) == 4 * len(PICTURED)
    for one in found:
        assert one.dots_an_inch >= BOUNDS["paper"]["fine"]["at_least"]
        assert not one.smoothed
    worked = as_worked(collection.house, computed)
    pictures, tongue = Pictures(collection, worked, find_theme()), language("en")
    wanted = [
        one.alt
        for slug in PICTURED
        for both in zip(pictures.side(slug, tongue), pictures.above(slug, tongue), strict=True)
        for one in both
    ]
    with pikepdf.open(io.BytesIO(spec_book)) as pdf:
        told = [str(one.Alt) for one in figures(pdf.Root.StructTreeRoot) if "/Alt" in one]
    assert [alt for alt in told if alt in wanted] == wanted


def test_all_parts_are_there_and_bookmarked(spec_book: bytes) -> None:
    """Every part is a bookmark of the first rank, in order; every recipe one below its chapter."""
    collection, _, _ = house()
    with pikepdf.open(io.BytesIO(spec_book)) as pdf, pdf.open_outline() as outline:
        marks = {mark.title: [leaf.title for leaf in mark.children] for mark in outline.root}
    assert list(marks) == [
        "Contents", "How to read a card", "House measures and glasses", "Infusions", "Solutions",
        "Syrups", "Preparations", "Drinks", "Allergens", "Rules of care", "Glossary", "Sources",
        "Changes since the last edition", "Index by colour", "Index by glass", "Index by plant",
    ]  # fmt: skip
    assert sorted(marks["Drinks"]) == sorted(collection.drinks)
    assert sorted(marks["Infusions"]) == sorted(collection.infusions)


def labels(pdf: bytes) -> list[str]:
    """What a viewer calls each page, which is also what is printed at its foot."""
    with pikepdf.open(io.BytesIO(pdf)) as read:
        return [page.label for page in read.pages]


def test_the_label_of_a_page_stands_at_its_foot(pages: list[str], spec_book: bytes) -> None:
    """Roman figures before the first chapter, then 1 on a right-hand page; blank pages say none."""
    called = labels(spec_book)
    assert called[:5] == ["i", "ii", "iii", "iv", "1"]
    assert called[5:] == [str(n) for n in range(2, len(called) - 3)]
    for label, text in zip(called[1:], pages[1:], strict=True):
        words = text.split()
        assert not words or words[-1] == label


def test_contents_and_indexes_give_the_page_where_it_stands(
    pages: list[str], spec_book: bytes
) -> None:
    """Each recipe in the contents and in the indexes stands on the page printed beside it."""
    called = labels(spec_book)
    back = next(n for n, text in enumerate(pages, start=1) if "Index by colour" in text and n > 9)
    collection, _, _ = house()
    for first, last, line in ((3, 4, r"([^.\d][^.]*?) (?:\. ?)+(\d+)"), (back, len(pages), r"")):
        done = subprocess.run(
            ["pdftotext", "-raw", "-f", f"{first}", "-l", f"{last}", "-", "-"],
            input=spec_book, capture_output=True, check=True,
        )  # fmt: skip
        text = " ".join(done.stdout.decode().split())
        for name in (*collection.drinks, *collection.infusions):
            listed = re.findall(line or re.escape(name) + r"[^.\d]*?, (\d+)", text)
            found = [n for of, n in listed if of.strip() == name] if line else listed
            assert found, name
            assert all(name in pages[called.index(number)] for number in found), name


def test_a_drink_is_a_facing_pair_and_the_rest_a_page(spec_book: bytes) -> None:
    """Of the demo house: drinks on a left page and its right, what is made on a page or two each."""
    with pikepdf.open(io.BytesIO(spec_book)) as pdf, pdf.open_outline() as outline:
        order: dict[Any, int] = {
            page.objgen: number for number, page in enumerate(pdf.pages, start=1)
        }
        at: dict[tuple[str, str], int] = {}
        for mark in outline.root:
            for leaf in (mark, *mark.children):
                target: Any = leaf.destination
                at[mark.title, leaf.title] = order[target[0].objgen]
    collection, _, _ = house()
    starts = [at["Drinks", name] for name in sorted(collection.drinks, key=str.casefold)]
    assert all(start % 2 == 0 for start in starts)
    ends = [*starts[1:], at["Allergens", "Allergens"]]
    assert all(end - start == 2 for start, end in zip(starts, ends, strict=True))
    for made in ("Infusions", "Solutions", "Syrups"):
        on = sorted(number for (chapter, _), number in at.items() if chapter == made)
        assert all(b - a <= 2 for a, b in itertools.pairwise(on))


def test_no_page_holds_the_last_lines_of_an_entry_alone(pages: list[str], spec_book: bytes) -> None:
    """Every page from the first infusion to the last drink, but for the lists that chapters begin
    with and blank ones before a drink: sixteen lines or more, its head and foot among them.
    """
    with pikepdf.open(io.BytesIO(spec_book)) as pdf, pdf.open_outline() as outline:
        order: dict[Any, int] = {page.objgen: number for number, page in enumerate(pdf.pages)}
        heads: dict[str, Any] = {mark.title: mark.destination for mark in outline.root}
    at = {title: order[target[0].objgen] for title, target in heads.items()}
    held = [
        sum(bool(line.strip()) for line in pages[number].splitlines())
        for number in range(at["Infusions"], at["Allergens"])
        if number not in at.values()
    ]
    assert len(held) > 50
    assert min(lines for lines in held if lines) >= 16


def test_no_paragraph_ends_in_a_line_of_one_short_word(spec_book: bytes) -> None:
    """Of all paragraphs of the demo's book as Poppler reads them, but for the line that names the
    pattern of a colour; where two columns are read as one a few more may be left.
    """
    done = subprocess.run(
        ["pdftotext", "-bbox-layout", "-", "-"], input=spec_book, capture_output=True, check=True
    )
    blocks = re.findall(r"<block.*?</block>", done.stdout.decode(), re.DOTALL)
    whole = [
        [re.findall(r"<word[^>]*>(.*?)</word>", line) for line in block.split("<line")[1:]]
        for block in blocks
    ]
    long = [lines for lines in whole if len(lines) > 1 and len(lines[-2]) > 2]
    alone = [
        (lines[-2][-1], lines[-1][0])
        for lines in long
        if len(lines[-1]) == 1
        and len(lines[-2][-1]) + len(lines[-1][0]) < MOST_TIED
        and lines[-1][0] not in PATTERNS
    ]
    assert len(long) > 200
    assert len(alone) <= 3, alone


def test_links_lead_to_places_that_exist(spec_book: bytes) -> None:
    """More links than recipes, every one inside the book and to a named place on a page of it."""
    with pikepdf.open(io.BytesIO(spec_book)) as pdf:
        held: list[Any] = list(pdf.Root.Names.Dests.Names)
        names = {str(key) for key in held[::2]}
        standing = {page.objgen for page in pdf.pages}
        assert all(place[0].objgen in standing for place in held[1::2])
        links = [a for page in pdf.pages for a in page.get("/Annots", [])]
        for link in links:
            assert "/A" not in link or "/URI" not in link.A
            assert str(link.get("/Dest") if "/Dest" in link else link.A.D) in names
    assert len(links) > 100


UNIT = re.compile(r"(ml|cl|l|g|kg|mg|mm|cm|oz|min|h|s|litres|drops?|tsp|g/l|days?)\b|%|°C")


def test_no_line_end_parts_a_figure_from_its_unit(spec_book: bytes) -> None:
    """Every line end of the demo's book as Poppler reads it: none after “40”, “40 %” or “pH”."""
    done = subprocess.run(["pdftotext", "-tsv", "-", "-"], input=spec_book, capture_output=True)
    rows = [row.split("\t") for row in done.stdout.decode().splitlines()]
    words = [row for row in rows if len(row) == 12 and row[0] == "5"]
    ends = [
        (one[11], other[11])
        for one, other in itertools.pairwise(words)
        # Page, paragraph and block are the same, the line another and lower: no cell beside it.
        if one[1:4] == other[1:4] and one[4] != other[4] and float(other[7]) > float(one[7]) + 3
    ]
    assert len(ends) > 1000
    for last, first in ends:
        assert not (re.fullmatch(r"[(~±<>]?[\d.,¼½¾]+", last) and UNIT.match(first)), (last, first)
        assert not (last.endswith("%") and first.startswith("vol")), (last, first)
        assert not (last == "pH" and first[0].isdigit()), (last, first)


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
    """What changed since the last edition stands in a chapter, by recipe and stamps."""
    (page,) = (text for text in pages if "Squall Line, edition BCD44 to NEW22" in text)
    assert "Changes since the last edition" in page
    assert "10 ml → 15 ml" in page


def test_the_indexes_find_by_colour_glass_and_plant(pages: list[str]) -> None:
    """A drink is found by its glass, its colour and its plant."""
    text = "\n".join(pages[-14:])
    for word in ("coupe", "Butterfly pea", "blue"):
        assert word in text


@pytest.mark.parametrize("size", ["A5", "Half-Letter"])
def test_the_book_is_of_its_size(size: str) -> None:
    """A5 (ISO 216) or Half-Letter (5½ × 8½ in)."""
    paper = book_paper(size)
    pdf = HERE.now(print_book(house()[0], {}, {}, find_theme(), {}, paper))
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
    collection, _, cards = house()
    drinks = {fold(card.name): card for card in cards.values() if card.kind == "drink"}
    listed = next(iter(collection.menus.values()))
    return cut(HERE.now(menu_pdf(listed, drinks, collection.house, find_theme(), format_)))


@pytest.mark.parametrize("format_", ["folded", "long"])
def test_the_menu_in_both_formats(format_: str) -> None:
    """Every drink with price, on pages of the format's size; nothing that staff only may know."""
    collection, _, _ = house()
    pdf, paper = menu(format_), menu_paper(format_)
    with pikepdf.open(io.BytesIO(pdf)) as read:
        box = [float(v) / POINTS_PER_MM for v in read.pages[0].MediaBox]
    assert box[2:] == pytest.approx([paper.width_mm, paper.height_mm], abs=0.01)
    done = subprocess.run(
        ["pdftotext", "-raw", "-", "-"], input=pdf, capture_output=True, check=True
    )
    text = " ".join(done.stdout.decode().split())
    for drink in collection.drinks.values():
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


class Counting(PaperPress):
    """Keeps what it has set; like a pool it sets what is asked for meanwhile together, a round."""

    def __init__(self) -> None:
        super().__init__()
        self.set: dict[Job, Outcome] = {}
        self.rounds: list[int] = []
        self._round: asyncio.Future[None] | None = None

    async def paper(
        self, job: Callable[[], Job], decides: bool = False, drawn: Drawn = NO_PICTURES
    ) -> Outcome:
        wanted = job()
        if wanted not in self.set:
            if self._round is None or self._round.done():
                self._round = asyncio.ensure_future(asyncio.sleep(0.01))
                self.rounds.append(0)
            self.rounds[-1] += 1
            await self._round
            self.set[wanted] = set_type(wanted)
        return self.set[wanted]


def rounds(counting: Counting, computed: Mapping[str, Computed]) -> tuple[list[int], bytes]:
    """How many parts were set in each round of asking, and the book."""
    collection, _, cards = house()
    chosen = {slug: cards[slug] for slug in computed}
    counting.rounds.clear()
    asked = print_book(
        collection, computed, chosen, find_theme(), {}, book_paper("A5"), press=counting
    )
    bound = counting.now(asked)
    return counting.rounds[:], bound


def test_a_changed_recipe_sets_its_own_part_alone() -> None:
    """Set from nothing in three rounds; then one edition's stamp sets the cover and one part."""
    _, computed, cards = house()
    few = {slug: one for slug, one in computed.items() if not one.is_drink or slug < "f"}
    counting = Counting()
    first, bound = rounds(counting, few)
    assert len(first) <= 4
    assert rounds(counting, few) == ([], bound)
    other = replace(cards["dew-point"], edition="QQQQQ")
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(cast(dict[str, Card], cards), "dew-point", other)
        again, changed = rounds(counting, few)
    assert sum(again) == 2
    assert len(again) == 1
    assert changed != bound


def test_every_page_finds_its_tags(spec_book: bytes) -> None:
    """Each page and link has a number of its own in the parent tree, which leads back to it."""
    with pikepdf.open(io.BytesIO(spec_book)) as pdf:
        held: list[Any] = list(pdf.Root.StructTreeRoot.ParentTree.Nums)
        parents = dict(zip(map(int, held[::2]), held[1::2], strict=True))
        assert list(parents) == sorted(parents)
        used = []
        for page in pdf.pages:
            used.append(int(page.StructParents))
            assert all(tag.Pg.objgen == page.objgen for tag in parents[used[-1]])
            for note in page.get("/Annots", []):
                used.append(int(note.StructParent))
                (link,) = [k for k in parents[used[-1]].K if not isinstance(k, int) and "/Obj" in k]
                assert link.Obj.objgen == note.objgen
        assert len(used) == len(set(used)) == len(parents)


@pytest.mark.parametrize(
    ("drinks", "volumes"), [(0, 1), (15, 1), (100, 1), (101, 3), (150, 3), (1000, 20)]
)
def test_one_book_up_to_a_hundred_drinks_then_thin_volumes(drinks: int, volumes: int) -> None:
    """By the rows of papers.yaml: whole up to 100, and then at most 50 in each."""
    assert papers.volumes(drinks) == volumes


def test_a_big_house_comes_in_volumes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each drink stands in one volume and on one pile of sheets; what is made in the first.

    A volume is whole in itself: it says which it is and what it holds, and its links lead inside.
    """
    monkeypatch.setattr(papers, "volumes", lambda drinks: 3)
    collection, computed, _ = house()
    wanted = printed(collection, as_worked(collection.house, computed), find_theme(), {})
    names = [f"book{mark}" for mark in ("", "-2", "-3")]
    assert {f"staff/{n}.pdf" for n in names} <= set(wanted)
    assert {f"staff/cards{mark}.pdf" for mark in ("", "-2", "-3")} <= set(wanted)
    second = HERE.now(HERE.get(wanted["staff/book-2.pdf"]))
    with pikepdf.open(io.BytesIO(second)) as pdf, pdf.open_outline() as outline:
        marks = {mark.title: [leaf.title for leaf in mark.children] for mark in outline.root}
        held: list[Any] = list(pdf.Root.Names.Dests.Names)
        standing = {str(name) for name in held[::2]}
        links = [note for page in pdf.pages for note in page.get("/Annots", [])]
        assert all(str(link.Dest) in standing for link in links)
    in_order = sorted(collection.drinks, key=fold)
    assert marks["Drinks"] == in_order[5:10]  # fifteen in three: five each
    assert not {"Infusions", "Solutions", "Syrups"} & set(marks)
    done = subprocess.run(["pdftotext", "-l", "1", "-", "-"], input=second, capture_output=True)
    cover = " ".join(done.stdout.decode().split())
    assert "Spec book, volume 2 of 3" in cover
    assert f"{in_order[5]} to {in_order[9]}" in cover


def test_a_long_entry_of_an_index_goes_on_in_the_next_column() -> None:
    """Seventy drinks in one glass: 70 lines of 3.8 mm fill both columns of one A5 page evenly."""
    theme, numbers = find_theme(), {f"n{i}": i for i in range(70)}
    entry = chapters.Entry("coupe", tuple((f"Drink {slug}", slug, "") for slug in numbers))
    html = theme.render_paper(
        "book.html",
        {
            "part": "indexes", "indexes": [("Index by glass", [entry])], "numbers": numbers,
            "unknown": 0, "begins": Begins(1), "house": house()[0].house, "volume": Volume(),
        },
    )  # fmt: skip
    pdf = HERE.now(paper_pdf(lambda: html, theme.style("book.css") + "@page { size: A5 }"))
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True
    )
    (page,) = done.stdout.decode().split("\f")[:-1]
    assert sum(line.count("Drink") == 2 for line in page.splitlines()) >= 34


def test_a_link_to_nowhere_is_a_defect() -> None:
    """A name that no part has is refused, not bound as a link that does nothing."""
    page = "<!doctype html><html lang=en><title>t</title><p id=here><a href='to:{}'>on</a>"
    style = "@page { size: 50mm 50mm }"
    fine, lost = (
        HERE.now(paper_pdf(partial(page.format, name), style)) for name in ("here", "there")
    )
    assert bind([fine], 1)
    with pytest.raises(KeyError, match="there"):
        bind([fine, lost], 1)
