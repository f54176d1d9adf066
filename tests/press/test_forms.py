"""Papers to work from: batch sheet, buying list, logs. What stands on them, and that they are papers."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.trade.batching import batch, make
from anthocard.engine.trade.demand import take_off, week_of
from anthocard.engine.trade.dilution import bring_down, bring_down_to
from anthocard.engine.trade.vessels import Vessel
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house
from anthocard.press.base.number_text import EN, ph_text
from anthocard.press.base.sizes import sheet_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.forms import batch_pdf, buying_pdf, logs_pdf
from anthocard.press.paper.job import HERE
from anthocard.press.words.back import BATCH, make_back
from anthocard.press.words.batch_sheet import Sheet, make_sheet, proof_sheet
from anthocard.press.words.bottle_label import make_label
from anthocard.press.words.buying import Buying, Item, Order, make_buying
from anthocard.press.words.card import make_card
from anthocard.press.words.chapters import decisions
from anthocard.press.words.log_sheets import batch_log, deviation_log, probe_log
from anthocard.press.words.spec import costs, shelf_life_reasons, shelf_life_text

RECIPES = Path(__file__).parents[2] / "recipes"
A4 = sheet_paper("A4")


@cache
def house() -> tuple[Collection, Mapping[str, Computed], Shelf]:
    collection = read_house(RECIPES)
    return collection, compute(collection)[0], Shelf(collection, MistakeLog())


def twenty(made: date | None = None, letter: str = "B") -> Sheet:
    collection, computed, shelf = house()
    figures = computed["squall-line"]
    return make_sheet(
        figures, batch(figures, 20, collection, shelf), collection.house, made, letter
    )


def words(pdf: bytes) -> str:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True
    )
    return " ".join(done.stdout.decode().split())


def test_a_batch_is_weighed_over_half_a_litre() -> None:
    """20 x 50 ml of vodka by the gram, 20 x 15 ml of syrup by the jug; the egg waits for its shake."""
    collection, _, _ = house()
    sheet = twenty()
    vodka, syrup = sheet.lines
    assert (vodka.large, vodka.small) == ("948 g", "1000 ml")
    assert syrup.large == "300 ml"
    told = " ".join(sheet.service)
    assert "15 ml pasteurised egg white; hold back 300 ml in all" in told
    assert "Shake each serve on ice" in told
    assert not any("do not stir or shake" in note for note in sheet.notes)
    assert collection.house.name == sheet.house


def test_the_freezer_and_the_bottles_are_told() -> None:
    """Three tenths of alcohol, unthinned, just stay liquid at -18 °C; a label for each bottle."""
    collection, computed, shelf = house()
    made = batch(computed["squall-line"], 20, collection, shelf)
    told = " ".join(twenty().bottling)
    assert f"{made.bottles} bottles of 1000 ml" in told
    assert 1000 * (made.bottles - 1) < made.total_ml < 1000 * made.bottles
    assert f"{made.bottles} labels" in told
    assert made.freezing_c == pytest.approx(-18.3, abs=0.5)
    assert ("NO" in told) == (made.freezing_c >= -18.0)


def test_what_waits_for_the_glass_is_told_by_the_serve() -> None:
    """The reveal is poured by the guest, and stands on no line of the batch."""
    sheet = twenty()
    assert any("guest pours 20 ml lemon juice" in line for line in sheet.service)
    assert all("lemon" not in line.name for line in sheet.lines)


def test_dates_count_the_day_of_making_as_day_one() -> None:
    """Made on the 25th with egg in it: gone on the 1st (FDA Food Code 3-501.17); lot 26329B."""
    sheet = twenty(made=date(2026, 11, 25))
    assert (sheet.made, sheet.discard, sheet.lot) == ("25 Nov 2026", "1 Dec 2026", "26329B")
    assert twenty().made == twenty().lot == ""
    with pytest.raises(ValueError, match="letter"):
        twenty(made=date(2026, 1, 1), letter="bb")


def test_every_form_ends_with_the_local_code() -> None:
    """Batch, brought down, buying list and logs defer to local codes and licensed practice."""
    collection, computed, shelf = house()
    theme = find_theme()
    week = week_of(collection)
    figures, down = computed["butterfly-pea-gin"], bring_down(shelf["gin"], 30.0, 700.0)
    papers = (
        HERE.now(batch_pdf(twenty(), theme, A4)),
        HERE.now(batch_pdf(proof_sheet(down, collection.house), theme, A4)),
        HERE.now(
            buying_pdf(
                make_buying(take_off(computed, collection, shelf, week), week, collection.house),
                theme,
                A4,
            )
        ),
        HERE.now(logs_pdf([batch_log(figures, EN), probe_log(EN)], collection.house, theme, A4)),
    )
    for pdf in papers:
        assert "Local codes and licensed practice come first" in words(pdf)


def test_the_batch_sheet_on_paper() -> None:
    """One sheet, the same bytes every time, with weights, blanks, cautions of a batch, and who."""
    pdf = HERE.now(batch_pdf(twenty(), find_theme(), A4))
    assert HERE.now(batch_pdf(twenty(), find_theme(), A4)) == pdf
    text = words(pdf)
    collection, computed, shelf = house()
    made = batch(computed["squall-line"], 20, collection, shelf)
    strength = f"{made.abv_percent:.1f} % vol"
    for told in ("948 g", "lot", "Check", strength, "Bottles", "Keeping", "day 1",
                 "made by", "checked by", "deviation", "Contains egg"):  # fmt: skip
        assert told in text, told
    assert "sheet 1/1" in text


@pytest.mark.parametrize("slug", ["squall-line", "set-fair", "low-cloud"])
def test_a_batch_is_told_alike_on_card_and_sheet(slug: str) -> None:
    """Ten serves have the same figures in the same units on the card's back and the batch sheet."""
    collection, computed, shelf = house()
    figures = computed[slug]
    back = make_back(figures, make_card(figures, collection.house))
    told = {row.label: {row.before, row.after} - {""} for row in back.batch}
    sheet = make_sheet(figures, batch(figures, BATCH, collection, shelf), collection.house)
    lines = [line for line in sheet.lines if line.name in told]
    assert lines
    for line in lines:
        assert {line.large, line.small} - {""} == told[line.name], line.name


def test_a_dose_is_told_alike_on_every_paper() -> None:
    """A quarter of a gram a litre is that on heading and label, and one weight on every form."""
    collection, computed, shelf = house()
    figures = computed["saffron-gin"]
    card = make_card(figures, collection.house)
    assert card.method.startswith("0.25 g/l, ")
    assert make_label(figures, card, collection.house).strength.startswith("0.25 g/l, ")
    made = make(figures, figures.before.volume_ml, collection, shelf)
    weighed = {line.large for line in make_sheet(figures, made, collection.house).lines}
    dry = card.pours[0]
    assert f"{dry.number} {dry.unit}" in weighed


def test_a_strength_brought_down_is_weighed_in_two_steps() -> None:
    """The making first, then its water; totals, bottles and checks are of the weaker liquid."""
    collection, computed, shelf = house()
    figures = computed["butterfly-pea-gin"]
    down = bring_down_to(shelf[figures.name], 30.0, 3000.0)
    made = make(figures, down.strong_ml, collection, shelf, None, down)
    sheet = make_sheet(figures, made, collection.house, down=down)
    strong, water = sheet.brought_down
    assert strong.large == f"{down.strong_g:.0f} g"
    assert water.large == f"{down.water_g:.0f} g"
    assert "3 litres" in sheet.brought_to
    assert "2.25 litres" in sheet.makes
    assert {p.label: p.before for p in sheet.points}["strength"] == "30 % vol"
    assert any("3 bottles" in line for line in sheet.bottling)


def test_the_buying_list_orders_by_day() -> None:
    """Longest lead first; with a start, each order has its date; packs, on hand, cost, lots to write."""
    collection, computed, shelf = house()
    week = week_of(collection)
    sums = take_off(computed, collection, shelf, week)
    buying = make_buying(sums, week, collection.house, date(2026, 12, 7))
    assert buying.orders[0].title == "Order by Friday 27 Nov 2026 (10 days ahead)"
    gin = next(item for order in buying.orders for item in order.items if item.name == "gin")
    assert re.fullmatch(r"\d+ × 700 ml", gin.buy)
    assert gin.on_hand == "6 packs"
    text = words(HERE.now(buying_pdf(buying, find_theme(), A4)))
    for told in ("Buying list", "merchant", "lot", "Enough is there", "GBP without tax"):
        assert told in text, told
    assert make_buying(sums, week, collection.house).orders[0].title == "Order 10 days ahead"


def test_logs_have_a_sheet_each_and_rows_to_write_on() -> None:
    """Lot, measured pH, colour seen, who; slope and its band; what was done with a deviation."""
    _collection, computed, _ = house()
    sheets = [batch_log(computed["rose-spirit"], EN), probe_log(EN), deviation_log(EN)]
    pdf = HERE.now(logs_pdf(sheets, house()[0].house, find_theme(), A4))
    text = words(pdf)
    for told in ("rose spirit: Batch log", "pH measured", "Colour seen", "Made by", "Slope",
                 "53.5 to 59.3", "Deviations", "sheet 3/3"):  # fmt: skip
        assert told in text, told


def test_a_column_is_as_wide_as_what_is_written_there() -> None:
    """Each log's widths make a whole; lots that went in and what was wrong have the most room."""
    _, computed, _ = house()
    for log in (batch_log(computed["rose-spirit"], EN), probe_log(EN), deviation_log(EN)):
        assert len(log.shares) == len(log.columns)
        assert sum(log.shares) == 100
        assert min(log.shares) * 2.71 >= 16.0  # mm of a sheet across: 271 within its margins
        widest = log.columns[log.shares.index(max(log.shares))]
        assert widest in ("Lots of what went in", "Lot of buffers", "What was wrong")


def test_no_form_ends_on_a_page_for_three_rows() -> None:
    """Buying lists of lengths from one page to two: its last page is a third full at
    least, or it is its only one. By Poppler: how far down the last page the last word lies."""
    item = Item("gin", "700 ml", "", "1 × 700 ml", "the merchant", "20.00")
    for rows in range(30, 50, 4):
        order, made = Order("Any day", (item,) * rows), (("white syrup", "1 litre"),) * 9
        list_ = Buying("h", "en", "", (), (order,), (), (), made, "", "Local codes come first.")
        pdf = HERE.now(buying_pdf(list_, find_theme(), A4))
        done = subprocess.run(
            ["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True
        )
        pages = done.stdout.decode().split("<page ")[1:]
        lowest = max(
            y for y in map(float, re.findall(r'yMax="(.+?)"', pages[-1])) if y < 841.9 - 40
        )
        assert len(pages) == 1 or lowest > 0.3 * 841.9, rows


def test_a_batch_log_says_what_should_be_found() -> None:
    """Edition, pH, colour and days as computed; lot, measured pH, colour seen and who to be written."""
    figures = house()[1]["rose-spirit"]
    sheet = batch_log(figures, EN, rows=5)
    targets = dict(sheet.targets)
    assert targets["Edition"] == figures.edition
    assert targets["pH"] == ph_text(figures.before.stated_ph)
    assert targets["Keeps, day of making being day 1"] == "60 days"
    assert {"Lot", "pH measured", "Colour seen", "Made by"} <= set(sheet.columns)
    assert sheet.rows == 5


def test_probe_and_deviation_logs() -> None:
    """Slope and band on the one, what was done about it on the other."""
    assert "Slope %" in probe_log(EN).columns
    targets = dict(probe_log(EN).targets)
    assert "92 to 102" in targets["Accept at 25 °C"]
    assert targets["Accept at 20 °C, mV per pH"] == "53.5 to 59.3"  # 92 and 102 % of 58.17, Nernst
    assert "What was done with it" in deviation_log(EN).columns


def test_the_logs_lie_across_letter_as_well() -> None:
    """A sheet each on Letter too."""
    pdf = HERE.now(logs_pdf([probe_log(EN), deviation_log(EN)], house()[0].house, find_theme(),
                   sheet_paper("Letter")))  # fmt: skip
    assert "sheet 2/2" in words(pdf)


def test_what_the_house_decided_is_shown_with_reason_and_day() -> None:
    """The demo house keeps its frost acid longer: the book and the spec page both say why."""
    collection, computed, _ = house()
    (decided,) = decisions(collection.house)
    assert decided.label == "keeping-sharp: loosened, 30 days, for frost acid alone"
    assert "frozen the day it is made" in decided.before
    assert decided.after == "2 Nov 2026"
    told = " ".join(_kept(computed["frost-acid"]))
    assert "loosened by the house on 2 Nov 2026" in told
    assert "frozen the day it is made" in told
    assert "loosened" not in " ".join(_kept(computed["saline"]))


def _kept(one: Computed) -> tuple[str, ...]:
    """All lines of keeping."""
    return (shelf_life_text(one.keeping, EN), *shelf_life_reasons(one.keeping, EN))


def test_every_limit_is_marked_sourced_practice_or_the_houses() -> None:
    """Each line of keeping ends with what it rests on; the day of making is day 1."""
    _, computed, _ = house()
    marks = set()
    for one in computed.values():
        if one.keeping is not None:
            first, *rest = _kept(one)
            assert ("day 1" in first) is (one.keeping.days is not None)
            for limit, line in zip(one.keeping.limits, rest, strict=False):
                marks |= {
                    (limit.how, mark)
                    for mark in ("common practice", "the house", "FDA Food Code 3-501.17")
                    if f"({mark}" in line and line.endswith(").")
                }
    assert marks == {
        ("practice", "common practice"),
        ("measured", "the house"),
        ("read", "FDA Food Code 3-501.17"),
    }


def test_a_cost_says_as_of_when() -> None:
    """Costed as of a day, on the staff's page."""
    _, computed, _ = house()
    rows = {row.label: row.before for row in costs(computed["squall-line"], EN)}
    assert rows["Prices looked at"] == "2 Nov 2026"


def test_a_keg_is_told_its_room_its_gas_and_its_cleaning() -> None:
    """19 l with a twentieth empty hold 18.05 l; still drinks are pushed with nitrogen."""
    collection, computed, shelf = house()
    made = batch(computed["squall-line"], 250, collection, shelf, (Vessel("keg", 19000.0),))
    sheet = make_sheet(computed["squall-line"], made, collection.house)
    told = " ".join(sheet.bottling)
    assert "1 keg of 19 litres, 5 % head space; 1 label" in told
    assert made.bottles == 1
    assert made.total_ml < 0.95 * 19000.0
    for word in ("nitrogen", "Chill to 4 °C", "every 14 days"):
        assert word in told
