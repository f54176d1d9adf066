"""anthocard cards: bar cards of any size, n-up on sheets or one by one."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path

from anthocard.terminal.houses import build_of, house_to_read, worked_out
from anthocard.terminal.output import put_all
from anthocard.terminal.papers import add_paper, chosen, put
from anthocard.terminal.typed import day, whole

EXAMPLE = """\
examples:
  anthocard cards
  anthocard cards --size 5x7 --sheet Letter --turn short
  anthocard cards --size A6 --sheet SRA4 --up 4 --date 2026-03-01
  anthocard cards "Squall Line" --single --out cards/
  anthocard cards --changed
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("names", metavar="NAME", nargs="*", help="drinks (all)")
    add_paper(parser, "cards.pdf")
    parser.add_argument("--size", metavar="PAPER", help="A6, 4x6, A5 or 5x7 (by place: A6 or 4x6)")
    parser.add_argument("--sheet", metavar="PAPER", help="A4, Letter or SRA4 (by place)")
    parser.add_argument(
        "--up", metavar="N", type=whole(1, 64), help="cards a sheet (as many as fit)"
    )
    parser.add_argument(
        "--turn",
        choices=("long", "short", "none"),
        default="long",
        help="the edge your printer turns over for the backs; none prints fronts only (long)",
    )
    parser.add_argument(
        "--date", metavar="DATE", type=day, help="printed in the margin, YYYY-MM-DD"
    )
    parser.add_argument(
        "--changed",
        action="store_true",
        help="only drinks whose card the last publish changed or made new",
    )
    parser.add_argument(
        "--since", metavar="DIR", type=Path,
        help="the published folder that knows which those are (where publish writes)",
    )  # fmt: skip
    parser.add_argument(
        "--single", action="store_true", help="one PDF a card with bleed, into the folder --out"
    )


def run(options: argparse.Namespace) -> int:
    """Write the sheets, or the single cards."""
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.languages import language
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.plan import read_last
    from anthocard.press.paper.archive import joined
    from anthocard.press.paper.bar_cards import print_card, print_sheets
    from anthocard.press.paper.house_papers import card_size, edition_of, sheet_size
    from anthocard.press.paper.impose import in_turn, lay_out
    from anthocard.press.paper.job import HERE, each
    from anthocard.press.words.card import make_card
    from anthocard.press.words.history import news_in

    folder = house_to_read(options)
    collection, computed, _ = worked_out(folder)
    house = collection.house
    paper = papers.card_paper(options.size) if options.size else card_size(house)
    sheet = papers.sheet_paper(options.sheet) if options.sheet else sheet_size(house)
    layout = None if options.single else lay_out(paper, sheet, options.up)
    theme = find_theme(options.theme, folder)
    cards = {slug: make_card(one, house) for slug, one in computed.items()}
    wanted = chosen(options.names, computed, drinks=True)
    if options.changed:
        ledger = read_last(options.since or build_of(folder))
        wanted = {slug: one for slug, one in wanted.items() if news_in(ledger, slug)}
        if not wanted:
            print("No card has changed since the last publish: nothing is written.")
            return 0
    asked = [
        print_card(cards[slug], one, theme, paper, partial(collection.at, one.recipe))
        for slug, one in wanted.items()
    ]
    if layout is None:
        out: Path = options.out.with_suffix("") if options.out.suffix else options.out
        made = zip(wanted, HERE.now(each(asked)), strict=True)
        single = {f"{slug}.pdf": joined([card.front, card.back]) for slug, card in made}
        put_all(out, single, over=True)
        print(f"{len(wanted)} cards, {paper.name} with 3 mm bleed, in {out}")
        return 0
    tongue = language(house.language)
    day = f" · {tongue.day(options.date)}" if options.date else ""
    flip = None if options.turn == "none" else options.turn
    stamps = [
        edition_of(cards[slug] for slug in on) for on in in_turn(list(wanted), len(layout.spots))
    ]
    legends = [
        f"{house.name} · {tongue.gettext('edition %(stamp)s', stamp=stamp)}{day}"
        for stamp in stamps
    ]
    sheets = print_sheets(asked, layout, theme, legends, flip, tag=house.language)
    put(options.out, HERE.now(sheets))
    up = len(layout.spots)
    print(f"{len(wanted)} cards {paper.name}, {up} on {sheet.name}, in {options.out}")
    return 0
