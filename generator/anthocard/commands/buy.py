"""anthocard buy: what a week's plan needs, as packs to order."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from anthocard.diagnostics.plain_letters import json_text
from anthocard.terminal.houses import house_to_read, worked_out
from anthocard.terminal.papers import add_paper, put
from anthocard.terminal.typed import day, serves_of

EXAMPLE = """\
Packs, what is on hand and what should stay (on_hand: and par: in stock.yaml), lead times, and room
for the lots that come in. The plan is week: in house.yaml unless --serves gives one.

examples:
  anthocard buy
  anthocard buy --on 2026-03-09
  anthocard buy --serves "Lantern Tide=120, Low Cloud=60" --json
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_paper(parser, "buy.pdf")
    parser.add_argument("--serves", metavar="LIST", help="NAME=NUMBER, … (week: of the house)")
    parser.add_argument(
        "--on", metavar="DATE", type=day,
        help="the day the week starts, YYYY-MM-DD: orders then carry dates",
    )  # fmt: skip
    parser.add_argument("--sheet", metavar="PAPER", help="A4 or Letter (by place)")
    parser.add_argument("--json", action="store_true", help="print JSON and write no paper")


def run(options: argparse.Namespace) -> int:
    """Add the week up, then print it as JSON or write the list."""
    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.engine.trade.demand import take_off, week_of
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.forms import buying_pdf
    from anthocard.press.paper.house_papers import sheet_size
    from anthocard.press.paper.job import HERE
    from anthocard.press.words.buying import make_buying

    folder = house_to_read(options)
    collection, computed, _ = worked_out(folder)
    serves = (
        serves_of(options.serves, collection) if options.serves is not None else week_of(collection)
    )
    sums = take_off(computed, collection, Shelf(collection, MistakeLog()), serves)
    if options.json:
        data = asdict(sums)
        for row, need in zip(data["buy"], sums.buy, strict=True):
            row["order_by"] = need.order_by(options.on).isoformat() if options.on else None
        data |= {"serves": serves, "currency": collection.house.currency}
        data["make"] = [
            {"name": one.name, "ml": one.used_ml, "makes_ml": one.made_ml} for one in sums.make
        ]
        print(json_text(data))
        return 0
    buying = make_buying(sums, serves, collection.house, options.on)
    sheet = papers.sheet_paper(options.sheet) if options.sheet else sheet_size(collection.house)
    put(options.out, HERE.now(buying_pdf(buying, find_theme(options.theme, folder), sheet)))
    for order in buying.orders:
        print(f"{order.title}: " + ", ".join(f"{item.name} {item.buy}" for item in order.items))
    print(f"buying list in {options.out}")
    return 0
