"""anthocard book: the spec book as a PDF of its own."""

from __future__ import annotations

import argparse
from pathlib import Path

from generator.commands.houses import house_folder, worked_out
from generator.commands.papers import add_paper, put

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
        "--since", metavar="DIR", type=Path, default=Path("build"),
        help="the published folder that knows the last edition (build)",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Write the book."""
    from generator.press import papers
    from generator.press.book import print_book
    from generator.press.card import make_card
    from generator.press.changes import LEDGER, read_ledger, written_on
    from generator.press.data import as_json
    from generator.press.printing import book_size
    from generator.press.theme import find_theme

    folder = house_folder(options.house)
    book, computed, _ = worked_out(folder)
    paper = papers.book_paper(options.size) if options.size else book_size(book.house)
    theme = find_theme(options.theme, folder)
    kept = options.since / LEDGER
    before = read_ledger(kept.read_text(encoding="utf-8") if kept.is_file() else None)
    ledger = written_on(before, {slug: as_json(one) for slug, one in computed.items()})
    cards = {slug: make_card(one, book.house) for slug, one in computed.items()}
    put(options.out, print_book(book, computed, cards, theme, ledger, paper))
    print(f"spec book, {paper.name}, in {options.out}")
    return 0
