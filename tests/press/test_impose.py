"""Imposition: what fits, where each page lands, that fronts and backs meet, marks off the bleed.

Geometry is checked by hand algebra and by pixels; sizes are those of papers.yaml.
"""

from __future__ import annotations

import io
import re
from itertools import product
from typing import get_args

import pikepdf
import pypdfium2
import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.base import sizes as papers
from anthocard.press.base.sizes import POINTS_PER_MM, Paper, card_paper, label_sheet, sheet_paper
from anthocard.press.paper.impose import Flip, Layout, booklet, fits, impose, impose_labels, lay_out

BLEED = 3.0
#: One colour a letter; a page's upper left quarter is the same letter, small.
LETTERS = {
    "A": (255, 0, 0), "a": (128, 0, 0), "B": (0, 255, 0), "b": (0, 128, 0),
    "C": (0, 0, 255), "c": (0, 0, 128), "D": (255, 255, 0), "d": (128, 128, 0),
    "W": (255, 0, 255), "w": (128, 0, 128), "X": (0, 255, 255), "x": (0, 128, 128),
    "Y": (255, 128, 0), "y": (128, 64, 0), "Z": (128, 255, 128), "z": (64, 128, 64),
    ".": (255, 255, 255),
}  # fmt: skip


def page(letter: str, paper: Paper, bleed_mm: float = BLEED) -> bytes:
    """A page of one colour to the edge of its bleed, its trimmed upper left quarter darker."""
    wide, tall = (x * POINTS_PER_MM for x in (paper.width_mm, paper.height_mm))
    bleed = bleed_mm * POINTS_PER_MM
    big = " ".join(str(v / 255) for v in LETTERS[letter])
    small = " ".join(str(v / 255) for v in LETTERS[letter.lower()])
    pdf = pikepdf.new()
    one = pdf.add_blank_page(page_size=(wide + 2 * bleed, tall + 2 * bleed))
    one.TrimBox = [bleed, bleed, bleed + wide, bleed + tall]
    drawn = (
        f"{big} rg 0 0 {wide + 2 * bleed} {tall + 2 * bleed} re f "
        f"{small} rg {bleed} {bleed + tall / 2} {wide / 2} {tall / 2} re f"
    )
    one.Contents = pdf.make_stream(drawn.encode())
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def art(pdf: bytes, number: int, step_mm: float = 10.0) -> str:
    """The sheet as letters, one a square of `step_mm`, read at its middle; “?” for a blend."""
    document = pypdfium2.PdfDocument(pdf)
    one = document[number]
    scale = 4.0 / POINTS_PER_MM  # four pixels a mm
    image = one.render(scale=scale).to_pil().convert("RGB")
    document.close()
    names = {colour: letter for letter, colour in LETTERS.items()}
    wide, tall = round(image.width / 4 / step_mm), round(image.height / 4 / step_mm)
    at = range(max(wide, tall))
    rows = [
        "".join(
            names.get(
                image.getpixel((round((x + 0.5) * step_mm * 4), round((y + 0.5) * step_mm * 4))),
                "?",
            )  # type: ignore[arg-type]
            for x in at[:wide]
        )
        for y in at[:tall]
    ]
    return "\n".join(rows)


CARD, SHEET = Paper("card", 40.0, 30.0), Paper("sheet", 100.0, 92.0)


def four(flip: Flip) -> bytes:
    fronts, backs = ([page(c, CARD) for c in word] for word in ("ABCD", "WXYZ"))
    return impose(lay_out(CARD, SHEET), fronts, backs, flip=flip)


def test_fronts_lie_row_by_row_upright() -> None:
    """Four pages on a sheet, first at the top left; bleed fills the gutters, the margin is white."""
    assert art(four("long"), 0) == (
        "..........\n"
        "AaaAAbbBBB\n"
        "AaaAAbbBBB\n"
        "AAAAABBBBB\n"
        "AAAAABBBBB\n"
        "CccCCddDDD\n"
        "CCCCCDDDDD\n"
        "CCCCCDDDDD\n"
        ".........."
    )  # fmt: skip


def test_backs_meet_their_fronts_over_the_long_edge() -> None:
    """Turned over its side, the sheet has the back of A (W) behind A: columns change places."""
    assert art(four("long"), 1) == (
        "..........\n"
        "XxxXXwwWWW\n"
        "XxxXXwwWWW\n"
        "XXXXXWWWWW\n"
        "XXXXXWWWWW\n"
        "ZzzZZyyYYY\n"
        "ZZZZZYYYYY\n"
        "ZZZZZYYYYY\n"
        ".........."
    )  # fmt: skip


def test_backs_meet_their_fronts_over_the_short_edge() -> None:
    """Turned over its head, rows change places and every back stands on its head on the sheet."""
    assert art(four("short"), 1) == (
        "..........\n"
        "YYYYYZZZZZ\n"
        "YYYYYZZZZZ\n"
        "YYYyyZZzzZ\n"
        "YYYYYZZZZZ\n"
        "WWWWWXXXXX\n"
        "WWWwwXXxxX\n"
        "WWWwwXXxxX\n"
        ".........."
    )  # fmt: skip


def test_turned_cards_keep_their_heads_together() -> None:
    """A card laid on its side: front and back heads point the same way on the paper itself."""
    tall, sheet = Paper("tall", 30.0, 40.0), Paper("sheet", 60.0, 92.0)
    layout = lay_out(tall, sheet)
    assert [spot.turns for spot in layout.spots] == [1, 1]
    pdf = impose(layout, [page("A", tall), page("B", tall)], [page("W", tall), page("X", tall)])
    # Turned a quarter against the clock, the upper left quarter comes to lie at the lower left;
    # on the back, seen from behind, the head points the other way: upper right.
    assert art(pdf, 0).splitlines()[1:4] == [".AAAA.", ".AAAA.", ".aaAA."]
    assert art(pdf, 1).splitlines()[1:4] == [".WWww.", ".WWww.", ".WWWW."]


@pytest.mark.parametrize(("card", "sheet", "up"), [
    ("A6", "A4", 2), ("A6", "Letter", 2), ("A6", "SRA4", 4),
    ("4x6", "A4", 2), ("4x6", "Letter", 2), ("4x6", "SRA4", 4),
    ("A5", "A4", 1), ("A5", "Letter", 1), ("A5", "SRA4", 2),
    ("5x7", "A4", 2), ("5x7", "Letter", 2), ("5x7", "SRA4", 2),
])  # fmt: skip
def test_how_many_fit(card: str, sheet: str, up: int) -> None:
    """Every size on every sheet, counted by hand from sizes, 3 mm of bleed and room for marks."""
    assert fits(card_paper(card), sheet_paper(sheet)) == up


ALL = list(product(papers.names("cards"), papers.names("sheets")))


@pytest.mark.parametrize(("card", "sheet"), ALL)
def test_marks_stand_off_every_bleed(card: str, sheet: str) -> None:
    """A mark lies on a trim line, inside the sheet, and touches no card's bleed."""
    layout = lay_out(card_paper(card), sheet_paper(sheet))
    assert layout.marks
    for x1, y1, x2, y2 in layout.marks:
        assert 0 <= min(x1, x2) <= max(x1, x2) <= layout.sheet.width_mm
        assert 0 <= min(y1, y2) <= max(y1, y2) <= layout.sheet.height_mm
        assert any(on_trim_line(layout, x1, y1, x2, y2))
        for spot in layout.spots:
            clear = (
                max(x1, x2) < spot.x_mm - BLEED
                or min(x1, x2) > spot.x_mm + spot.width_mm + BLEED
                or max(y1, y2) < spot.y_mm - BLEED
                or min(y1, y2) > spot.y_mm + spot.height_mm + BLEED
            )
            assert clear, (x1, y1, x2, y2, spot)


def on_trim_line(layout: Layout, x1: float, y1: float, x2: float, y2: float) -> list[bool]:
    edges_x = [e for s in layout.spots for e in (s.x_mm, s.x_mm + s.width_mm)]
    edges_y = [e for s in layout.spots for e in (s.y_mm, s.y_mm + s.height_mm)]
    return [x1 == x2 and x1 in edges_x, y1 == y2 and y1 in edges_y]


@pytest.mark.parametrize(("card", "sheet"), ALL)
@pytest.mark.parametrize("flip", get_args(Flip))
def test_turning_twice_is_not_turning(card: str, sheet: str, flip: Flip) -> None:
    """Backs of backs are fronts, and backs cover exactly the paper that fronts cover."""
    layout = lay_out(card_paper(card), sheet_paper(sheet))
    for front, back in zip(layout.spots, layout.backs(flip), strict=True):
        through = (
            layout.sheet.width_mm - front.x_mm - front.width_mm
            if flip == "long"
            else layout.sheet.height_mm - front.y_mm - front.height_mm
        )
        assert (back.x_mm if flip == "long" else back.y_mm) == pytest.approx(through)
        again = Layout(
            layout.card, layout.sheet, BLEED, layout.backs(flip), (), layout.legend, 0.0
        ).backs(flip)
    assert [(round(s.x_mm, 6), round(s.y_mm, 6), s.turns) for s in again] == [
        (round(s.x_mm, 6), round(s.y_mm, 6), s.turns) for s in layout.spots
    ]


def test_refuses_what_cannot_fit_and_says_what_can() -> None:
    """Four A6 with bleed on A4: 2 × 111 mm is more than 210. SRA4 takes four."""
    with pytest.raises(AuthorError) as refused:
        lay_out(card_paper("A6"), sheet_paper("A4"), 4)
    (mistake,) = refused.value.mistakes
    assert "4 A6" in mistake.message
    assert "2 on A4" in mistake.mend
    assert "4 on SRA4" in mistake.mend


def test_same_pages_same_bytes() -> None:
    """Imposing twice gives the same file."""
    assert four("long") == four("long")


def test_sheets_have_the_sheets_size() -> None:
    """MediaBox and TrimBox are the sheet, two sides a sheet."""
    with pikepdf.open(io.BytesIO(four("long"))) as pdf:
        assert len(pdf.pages) == 2
        for box in (pdf.pages[0].MediaBox, pdf.pages[0].TrimBox):
            assert [float(v) for v in box] == pytest.approx(
                [0, 0, 100 * POINTS_PER_MM, 92 * POINTS_PER_MM], abs=0.01
            )


def test_counts_must_match() -> None:
    """A front without its back would shift every later card by one."""
    with pytest.raises(ValueError, match="every front"):
        impose(lay_out(CARD, SHEET), [page("A", CARD), page("B", CARD)], [page("W", CARD)])


@pytest.mark.parametrize("name", papers.names("labels"))
def test_labels_lie_where_the_geometry_says(name: str) -> None:
    """Corners of first and last label to 0.1 mm, found in pixels at 20 a mm."""
    sheet = label_sheet(name)
    label = page("A", sheet.label, 0.0)
    count = sheet.columns * sheet.rows
    pdf = impose_labels(sheet, [label] * count)
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    image = document[0].render(scale=20 / POINTS_PER_MM, grayscale=True).to_numpy().squeeze()
    document.close()
    ink = image < 128
    xs, ys = ink.any(axis=0).nonzero()[0] / 20, ink.any(axis=1).nonzero()[0] / 20
    right = sheet.left_mm + (sheet.columns - 1) * sheet.pitch_x_mm + sheet.label.width_mm
    foot = sheet.top_mm + (sheet.rows - 1) * sheet.pitch_y_mm + sheet.label.height_mm
    assert xs[0] == pytest.approx(sheet.left_mm, abs=0.1)
    assert xs[-1] == pytest.approx(right, abs=0.1)
    assert ys[0] == pytest.approx(sheet.top_mm, abs=0.1)
    assert ys[-1] == pytest.approx(foot, abs=0.1)


def test_a_part_used_sheet_is_started_further_on() -> None:
    """With three places used the first label lies in the second column of the second row."""
    sheet = label_sheet("A4-2x4")
    pdf = impose_labels(sheet, [page("A", sheet.label, 0.0)] * 6, skip=3)
    first, second = (art(pdf, n).replace("a", "A") for n in (0, 1))
    assert [first.splitlines()[y][x] for y, x in ((4, 4), (11, 4), (11, 15), (4, 15))] == list(
        "..A."
    )
    assert second.splitlines()[4][4] == "A"
    assert second.splitlines()[4][15] == "."
    with pytest.raises(ValueError, match="places 0 to 7"):
        impose_labels(sheet, [], skip=8)


def test_a_booklet_is_marked_where_it_is_folded() -> None:
    """On the outermost side, in the middle, 7 mm long from both edges; on no other."""
    small = Paper("leaf", 30.0, 20.0)
    with pikepdf.open(io.BytesIO(booklet([page(c, small, 0.0) for c in "ABCDW"], small))) as pdf:
        said = [b"".join(part.read_bytes() for part in one.Contents).decode() for one in pdf.pages]
    found = re.findall(r"([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l", said[0])
    points = [tuple(round(float(n) / POINTS_PER_MM, 1) for n in line) for line in found]
    assert points == [(30.0, 0.0, 30.0, 7.0), (30.0, 13.0, 30.0, 20.0)]
    assert all(" l" not in more for more in said[1:])


def test_a_booklet_folds_into_reading_order() -> None:
    """Four pages: last and first outside, second and third inside; five pages take two sheets."""
    small = Paper("leaf", 30.0, 20.0)
    pdf = booklet([page(c, small, 0.0) for c in "ABCD"], small)
    outside, inside = art(pdf, 0).splitlines()[1], art(pdf, 1).splitlines()[1]
    assert outside == "DDDAAA"
    assert inside == "BBBCCC"
    longer = booklet([page(c, small, 0.0) for c in "ABCDW"], small)
    assert [art(longer, n).splitlines()[1] for n in range(4)] == [
        "...AAA", "BBB...", "...CCC", "DDDWWW",
    ]  # fmt: skip
