"""Labels: what must stand on each, dates large enough, codes that read back, refusals by name."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pikepdf
import pypdfium2
import pytest
import zxingcpp
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.engine.trade.vessels import Vessel
from anthocard.house.reader import Collection, read_house
from anthocard.press.base.sizes import POINTS_PER_MM, label_for, label_geometry, label_sheet, mark
from anthocard.press.base.theme import find_theme
from anthocard.press.draw.qr import draw_qr
from anthocard.press.paper import label_sheets
from anthocard.press.paper.job import HERE, Job
from anthocard.press.paper.label_sheets import FITS, label_fits, print_label, print_labels
from anthocard.press.paper.typeset import set_type
from anthocard.press.words.bottle_label import Label, make_label
from anthocard.press.words.card import make_card

RECIPES = Path(__file__).parents[2] / "recipes"
PLACE = Place("recipes/infusions/x.md")
MADE = date(2026, 3, 1)


@cache
def house() -> tuple[Collection, Mapping[str, Computed]]:
    collection = read_house(RECIPES)
    return collection, compute(collection)[0]


def label(slug: str, made: date | None = None) -> Label:
    collection, computed = house()
    one = computed[slug]
    return make_label(one, make_card(one, collection.house), collection.house, made)


def words(pdf: bytes, order: str = "-layout") -> str:
    done = subprocess.run(
        ["pdftotext", order, "-", "-"], input=pdf, capture_output=True, check=True
    )
    return done.stdout.decode().replace("\xa0", " ")


def test_a_spirit_tells_its_strength_and_an_acid_its_danger() -> None:
    """“% vol” on an infusion in spirit, “ACID: NOT FOR DRINKING NEAT” and the hazard on an acid."""
    assert label("butterfly-pea-gin").statement == "contains alcohol, 40.0 % vol (±1.5)"
    acid = label("citric-solution")
    assert acid.statement == "ACID: NOT FOR DRINKING NEAT"
    assert acid.hazard
    assert label("butterfly-pea-gin").hazard == "Legume kin: tell guests."


def test_dates_and_lot_from_the_day_made() -> None:
    """Day of making is day 1: seven days from 1 March end on 7 March (FDA Food Code 3-501.17)."""
    dated = label("citrate-buffer", MADE)
    assert (dated.made, dated.discard, dated.lot) == ("1 Mar 2026", "7 Mar 2026", "26060A")
    blank = label("citrate-buffer")
    assert (blank.made, blank.discard, blank.lot) == ("", "", "")
    assert "day 7" in blank.within


@pytest.mark.parametrize(
    ("sheet", "slug", "fits"),
    [
        ("A4-2x3", "butterfly-pea-gin", "grand"),
        ("A4-2x4", "heather-honey-syrup", "grand"),
        ("A4-2x4", "fruit-acid", "roomy"),
        ("A4-2x5", "butterfly-pea-gin", "close"),
        ("A4-2x5", "fruit-acid", "tight"),
        ("Letter-2x5", "butterfly-pea-gin", "tight"),
    ],
)
def test_the_setting_that_fits_a_label_is_foretold(sheet: str, slug: str, fits: str) -> None:
    """The first setting tried is the one it is set in: no page is laid out in vain, and none is set
    smaller than it could be."""
    one, paper = label(slug), label_sheet(sheet).label
    told = label_fits(one, paper)
    assert told[0] == fits
    style = find_theme().style("label.css")
    style += f"@page {{ size: {paper.width_mm}mm {paper.height_mm}mm }}"
    page = label_sheets._page(one, find_theme(), "label.html")
    for setting in FITS[: FITS.index(fits) + 1]:
        outcome = set_type(
            Job(page, style, find_theme().fonts, fits=(setting,), safe_mm=mark("safe"))
        )
        assert bool(outcome.pdf) == (setting == fits)


@pytest.mark.parametrize("sheet", ["A4-2x4", "A4-2x5", "Letter-2x5"])
def test_the_discard_date_is_five_millimetres_high(sheet: str) -> None:
    """Digits of the discard-by date are at least 5 mm high, whatever setting the label needed.

    Measured as ink: the tallest run of dark rows in the date's own box.
    """
    pdf = HERE.now(
        print_label(label("citric-solution", MADE), label_sheet(sheet).label, find_theme(), PLACE)
    )
    done = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
    )
    lines = [
        line for line in done.stdout.decode().splitlines() if ">14<" in line or ">Mar<" in line
    ]
    boxes = [[float(part.split('"')[1]) for part in line.split()[1:5]] for line in lines]
    left, top, right, low = max(boxes, key=lambda box: box[3] - box[1])
    document = pypdfium2.PdfDocument(pdf)
    scale = 20 / POINTS_PER_MM
    pixels = document[0].render(scale=scale, grayscale=True).to_numpy().squeeze()
    document.close()
    part = pixels[int(top * scale) : int(low * scale), int(left * scale) : int(right * scale)]
    rows = (part < 128).any(axis=1).nonzero()[0]
    assert (rows[-1] - rows[0] + 1) / 20 >= 5.0


def test_every_label_of_the_house_fits_every_sheet() -> None:
    """The demo's labels fit the common sheets, and tell name, storage, allergens and edition."""
    _collection, computed = house()
    made = [(label(slug), PLACE) for slug, one in computed.items() if not one.is_drink]
    for sheet in ("A4-2x4", "Letter-2x5"):
        text = words(HERE.now(print_labels(made, label_sheet(sheet), find_theme())))
        for one, _ in made:
            assert one.name in text
            assert one.edition in text
        assert text.count("Discard by") == len(made)


@pytest.mark.parametrize(
    ("theme", "sheet"),
    [
        *((theme, "A4-5x13") for theme in ("base", "dusk", "plain", "almanac")),
        ("base", "A4-3x7"),
        ("almanac", "A4-3x7"),
        ("base", "Letter-3x10"),
    ],
)
def test_a_small_bottle_is_told_what_it_holds(theme: str, sheet: str) -> None:
    """38 × 21 mm and the sizes up to a bottle's own: name, hazards, allergens that there are and the day, for whatever the house makes;
    small letters of 1.2 mm at the least (Fira Sans: 0.53 of the size, by its own tables).
    """
    _collection, computed = house()
    slugs = [slug for slug, one in computed.items() if not one.is_drink]
    made = [(label(slug, MADE if number % 2 else None), PLACE) for number, slug in enumerate(slugs)]
    own = find_theme(theme)
    pdf = HERE.now(print_labels(made, label_sheet(sheet), own))
    text = re.sub("[-\u00ad\u2010]?\\s+", "", words(pdf, "-raw"))
    for one, _ in made:
        for told in (one.name, one.hazard, one.discard, "" if one.free else one.allergens):
            assert "".join(told.split()) in text
        assert not one.warning or "".join(one.statement.split()) in text
    assert text.count("Discardby") == len(made)
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0].get_textpage()
        letters = [page.get_charbox(at) for at in range(page.count_chars())]
        told = page.get_text_range()
    x_mm = [
        (top - bottom) / POINTS_PER_MM
        for letter, (_, bottom, _, top) in zip(told, letters, strict=False)
        if letter in "xzvw"
    ]
    assert x_mm
    assert min(x_mm) >= 1.19


@pytest.mark.parametrize(
    ("vessel", "sheet", "told"),
    [
        (Vessel("dropper bottle", 10.0), "A4", "A4-5x13"),
        (Vessel("dropper bottle", 10.0), "Letter", "Letter-3x10"),
        (Vessel("dropper bottle", 30.0), "Letter", "Letter-3x10"),
        (Vessel("bottle", 50.0), "A4", "A4-3x7"),
        (Vessel("squeeze bottle", 250.0), "A4", "A4-2x4"),
        (Vessel("jar", 500.0), "A4", "A4-2x4"),
        (Vessel("bottle", 700.0), "A4", "A4-2x3"),
        (Vessel("keg", 19000.0), "Letter", "Letter-2x3"),
    ],
)
def test_a_vessel_bears_the_largest_label_that_fits_it(
    vessel: Vessel, sheet: str, told: str
) -> None:
    """From a 10 ml dropper (the smallest there is, where none fits) to a keg, on A4 and Letter."""
    assert label_for(*vessel.label_mm, sheet).name == told


def test_codes_read_from_the_page_at_150_dpi() -> None:
    """A code printed on a label sheet is read back from pixels, with what it should say."""
    collection, computed = house()
    at_work = collection.house.model_copy(update={"staff_web": "https://specs.example/house/"})
    one = computed["butterfly-pea-gin"]
    made = make_label(one, make_card(one, at_work), at_work)
    pdf = HERE.now(print_labels([(made, PLACE)] * 8, label_sheet("A4-2x4"), find_theme()))
    document = pypdfium2.PdfDocument(pdf)
    image = document[0].render(scale=150 / 72).to_pil()
    document.close()
    found = [code.text for code in zxingcpp.read_barcodes(image)]
    assert found == ["https://specs.example/house/butterfly-pea-gin.html"] * 8


def test_without_an_address_a_code_names_the_recipe() -> None:
    """A house that hosts nothing still gets a code: name and edition."""
    assert "svg" in label("saline").qr
    assert draw_qr("saline · edition X", "t") == draw_qr("saline · edition X", "t")


def test_a_label_with_too_much_on_it_is_named() -> None:
    """A label too small for its words is refused by the recipe's name."""
    small = label_geometry(
        "sheet=A4 columns=3 rows=8 left=0 top=0.5 pitch_x=70 pitch_y=37 width=30 height=14"
    )
    with pytest.raises(AuthorError, match=r"label of “fruit acid”"):
        HERE.now(print_label(label("fruit-acid"), small.label, find_theme(), PLACE))


@pytest.mark.parametrize(("text", "why"), [
    ("sheet=A4 columns=2", "a label sheet needs"),
    ("sheet=A4 columns=two rows=4 left=4.65 top=13 pitch_x=101.6 pitch_y=67.7 width=99 height=67", "whole numbers"),
    ("sheet=A4 columns=3 rows=4 left=4.65 top=13 pitch_x=101.6 pitch_y=67.7 width=99 height=67", "run off"),
    ("sheet=A4 columns=2 rows=4 left=4.65 top=13 pitch_x=90 pitch_y=67.7 width=99 height=67", "overlap"),
    ("sheet=A4 columns=0 rows=4 left=4.65 top=13 pitch_x=90 pitch_y=67.7 width=99 height=67", "at least one"),
    ("sheet=A9 columns=2 rows=4 left=4.65 top=13 pitch_x=100 pitch_y=67.7 width=99 height=67", "no paper"),
])  # fmt: skip
def test_impossible_geometry_is_refused(text: str, why: str) -> None:
    """A sheet that cannot be is refused with the reason."""
    with pytest.raises(AuthorError, match=why):
        label_geometry(text)


def test_a_drink_has_no_label(by_hand: SimpleNamespace) -> None:
    """Drinks are made to order; labels are for what is kept."""
    collection, computed = house()
    one: Any = computed["squall-line"]
    with pytest.raises(ValueError, match="no label"):
        make_label(one, make_card(one, collection.house), collection.house)


def test_labels_are_the_size_of_the_sticker(tmp_path: Path) -> None:
    """One page, as large as the label: 99.1 × 67.7 mm."""
    pdf = HERE.now(
        print_label(label("saline"), label_sheet("A4-2x4").label, find_theme("dusk"), PLACE)
    )
    with pikepdf.open(io.BytesIO(pdf)) as read:
        box = [float(v) / POINTS_PER_MM for v in read.pages[0].MediaBox]
    assert [box[2] - box[0], box[3] - box[1]] == pytest.approx([99.1, 67.7], abs=0.01)
