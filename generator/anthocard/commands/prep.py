"""anthocard prep: the prep sheet for a service."""

from __future__ import annotations

import argparse

from anthocard.terminal.houses import house_to_read, worked_out
from anthocard.terminal.papers import add_paper, put
from anthocard.terminal.typed import serves_of

EXAMPLE = """\
Everything to make, longest lead time first: what steeps overnight is listed the day before.

examples:
  anthocard prep --serves "Squall Line=40, Low Cloud=12"
  anthocard prep                        (the serves under par: in house.yaml)
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_paper(parser, "prep.pdf")
    parser.add_argument("--serves", metavar="LIST", help="NAME=NUMBER, … (par: of the house)")
    parser.add_argument("--sheet", metavar="PAPER", help="A4 or Letter (by place)")


def run(options: argparse.Namespace) -> int:
    """Write the sheet and tell the days of work."""
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.forms import prep_pdf
    from anthocard.press.paper.house_papers import sheet_size
    from anthocard.press.paper.job import HERE
    from anthocard.press.words.prep_sheet import make_prep, par_of

    folder = house_to_read(options)
    collection, computed, _ = worked_out(folder)
    serves = (
        serves_of(options.serves, collection) if options.serves is not None else par_of(collection)
    )
    prep = make_prep(computed, collection, serves)
    sheet = papers.sheet_paper(options.sheet) if options.sheet else sheet_size(collection.house)
    put(options.out, HERE.now(prep_pdf(prep, find_theme(options.theme, folder), sheet)))
    for day in prep.days:
        print(f"{day.title}: " + ", ".join(task.name for task in day.tasks))
    print(f"prep sheet in {options.out}")
    return 0
