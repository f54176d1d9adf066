"""anthocard labels: bottle labels on label sheets."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from anthocard.terminal.houses import house_to_read, worked_out
from anthocard.terminal.papers import add_paper, chosen, put
from anthocard.terminal.typed import day, whole

if TYPE_CHECKING:
    from anthocard.house.settings import House
    from anthocard.press.base.sizes import LabelSheet

EXAMPLE = """\
examples:
  anthocard labels
  anthocard labels "butterfly-pea gin" --copies 3 --made 2026-03-01 --batch B --skip 5
  anthocard labels --sheet Letter-2x5
  anthocard labels --sheet A4-5x13   (38 × 21 mm: name, hazards and date alone)
  anthocard labels saline --into "10 ml dropper bottle"   (the sheet whose labels it bears)
  anthocard labels --geometry "sheet=A4 columns=2 rows=4 left=4.65 top=13.1 pitch_x=101.6 \
pitch_y=67.7 width=99.1 height=67.7"
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("names", metavar="NAME", nargs="*", help="what the house makes (all)")
    add_paper(parser, "labels.pdf")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--sheet", metavar="NAME", help="a label sheet of the table (by place)")
    where.add_argument(
        "--into", metavar="VESSEL", help="the sheet for “squeeze bottle”, “50 ml”, “jar”, “keg” …"
    )
    where.add_argument(
        "--geometry", metavar="TEXT", help="your own sheet: columns, rows, margins, pitches in mm"
    )
    parser.add_argument(
        "--copies", metavar="N", type=whole(1, 1000), default=1, help="of each label (1)"
    )
    parser.add_argument(
        "--skip",
        metavar="N",
        type=whole(0, 1000),
        default=0,
        help="places already used on the first sheet",
    )
    parser.add_argument(
        "--made", metavar="DATE", type=day,
        help="print made, discard-by and lot for this day, YYYY-MM-DD (left to write in)",
    )  # fmt: skip
    parser.add_argument(
        "--batch", metavar="LETTER", default="A", help="the batch of that day, in the lot (A)"
    )


def run(options: argparse.Namespace) -> int:
    """Write the sheets."""
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.house_papers import label_size
    from anthocard.press.paper.job import HERE
    from anthocard.press.paper.label_sheets import print_labels
    from anthocard.press.words.bottle_label import make_label
    from anthocard.press.words.card import make_card

    folder = house_to_read(options)
    collection, computed, _ = worked_out(folder)
    if options.geometry:
        sheet = papers.label_geometry(options.geometry)
    elif options.into:
        sheet = _borne_by(options.into, collection.house)
    else:
        sheet = papers.label_sheet(options.sheet) if options.sheet else label_size(collection.house)
    theme = find_theme(options.theme, folder)
    try:
        labels = [
            (
                make_label(
                    one,
                    make_card(one, collection.house),
                    collection.house,
                    options.made,
                    options.batch,
                ),
                collection.at(one.recipe),
            )
            for one in chosen(options.names, computed, drinks=False).values()
            for _ in range(options.copies)
        ]
        pdf = HERE.now(print_labels(labels, sheet, theme, options.skip))
    except ValueError as error:  # a lot's letter, or a place beyond the sheet
        raise AuthorError([Mistake("labels", str(error), Place("labels"))]) from error
    put(options.out, pdf)
    print(f"{len(labels)} labels on {sheet.sheet.name} ({sheet.name}), in {options.out}")
    return 0


def _borne_by(text: str, house: House) -> LabelSheet:
    """The largest label that a vessel of this name bears, on sheets of the house's place."""
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
    from anthocard.engine.trade.vessels import called
    from anthocard.facts.units.written_numbers import MeasureError
    from anthocard.press.base import sizes as papers
    from anthocard.press.paper.house_papers import label_size

    try:
        vessel = called(text, house)[0]
    except MeasureError as error:
        mistake = Mistake(error.kind, error.message, Place("labels", text=text), error.mend)
        raise AuthorError([mistake]) from error
    return papers.label_for(*vessel.label_mm, label_size(house).sheet.name)
