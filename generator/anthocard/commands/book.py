"""anthocard book: the spec book as a PDF of its own."""

from __future__ import annotations

import argparse
from pathlib import Path

from anthocard.terminal.houses import build_of, house_to_read, worked_out
from anthocard.terminal.papers import add_paper, put

EXAMPLE = """\
examples:
  anthocard book
  anthocard book --size Half-Letter --since build
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_paper(parser, "book.pdf")
    parser.add_argument("--size", metavar="PAPER", help="A5 or Half-Letter (by place)")
    parser.add_argument(
        "--since", metavar="DIR", type=Path,
        help="the published folder that knows the last edition (where publish writes)",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Write the book."""
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.plan import read_last
    from anthocard.press.data.worked import as_worked
    from anthocard.press.html.pictures import Pictures
    from anthocard.press.paper.house_papers import book_size
    from anthocard.press.paper.job import HERE
    from anthocard.press.paper.spec_book import print_book
    from anthocard.press.words.card import make_card
    from anthocard.press.words.history import shown, written_on

    folder = house_to_read(options)
    collection, computed, _ = worked_out(folder)
    paper = papers.book_paper(options.size) if options.size else book_size(collection.house)
    theme = find_theme(options.theme, folder)
    before = read_last(options.since or build_of(folder))
    cards = {slug: make_card(one, collection.house) for slug, one in computed.items()}
    ledger = written_on(before, {slug: shown(cards[slug], one) for slug, one in computed.items()})
    pictures = Pictures(collection, as_worked(collection.house, computed), theme)
    book = print_book(collection, computed, cards, theme, ledger, paper, pictures=pictures)
    put(options.out, HERE.now(book))
    print(f"spec book, {paper.name}, in {options.out}")
    return 0
