"""anthocard batch: one batch worked out, for a scale, a funnel and a shelf."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from anthocard.diagnostics.plain_letters import json_text
from anthocard.terminal.houses import house_to_read, not_sound, sound_house, tell_elsewhere
from anthocard.terminal.papers import add_paper, put
from anthocard.terminal.typed import day

if TYPE_CHECKING:
    from anthocard.diagnostics.diagnostic import Mistake, MistakeLog
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.engine.results import Computed
    from anthocard.engine.trade.batching import Batch
    from anthocard.engine.trade.dilution import Proofed
    from anthocard.house.collection import Collection

EXAMPLE = """\
A drink is bottled at the strength it has in the glass: water stands in for the melt. What the house
makes is scaled to what comes through the strainer. --down-to brings either a thing the house makes
or a bottle of its stock down with water, by weight.

examples:
  anthocard batch "Lantern Tide" --serves 40
  anthocard batch "citrate buffer" --volume "2 l" --made 2026-03-05
  anthocard batch "citrate buffer" --times 2.5 --into "50 ml dropper bottle"
  anthocard batch "blue gin" --volume "3 l" --down-to "30 %"
  anthocard batch "gin" --have "700 ml" --down-to 37.5 --json
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument(
        "name", metavar="NAME", help="a drink, what the house makes, or a bottle of its stock"
    )
    add_paper(parser, "batch.pdf")
    size = parser.add_mutually_exclusive_group(required=True)
    size.add_argument("--serves", metavar="N", type=_count, help="of a drink")
    size.add_argument(
        "--times", metavar="N", type=_count, help="so many times the recipe as it is written"
    )
    size.add_argument("--volume", metavar="ML", type=_ml, help="to have in the end, such as 2 l")
    size.add_argument("--have", metavar="ML", type=_ml, help="to bring down, with --down-to")
    parser.add_argument(
        "--down-to", metavar="PERCENT", type=_percent, help="bring it down to this %% vol"
    )
    parser.add_argument(
        "--into", metavar="VESSEL", help="what to fill: “squeeze bottle”, “50 ml”, “19 l keg”"
    )
    parser.add_argument(
        "--made", metavar="DATE", type=day,
        help="fill in made, discard-by and lot for this day, YYYY-MM-DD",
    )  # fmt: skip
    parser.add_argument(
        "--batch", metavar="LETTER", default="A", help="of that day, in the lot (A)"
    )
    parser.add_argument("--sheet", metavar="PAPER", help="A4 or Letter (by place)")
    parser.add_argument("--json", action="store_true", help="print JSON and write no paper")


def run(options: argparse.Namespace) -> int:
    """Work the batch out, then print it as JSON or write its sheet."""
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, MistakeLog, Place
    from anthocard.engine.mix.shelf import Shelf

    folder = house_to_read(options)
    collection, elsewhere = sound_house(folder)
    log = MistakeLog()
    shelf = Shelf(collection, log)
    computed = _computed(options.name, collection, shelf, log)
    if computed is None and collection.find(options.name) is None:
        raise not_sound(_unknown(options.name, collection), elsewhere)
    tell_elsewhere(elsewhere)
    try:
        figures, batch, down = _sums(options, collection, computed, shelf)
        log.raise_if_errors()
        if options.json:
            print(json_text(_as_json(options, batch, down)))
            return 0
        return _put(options, folder, collection, figures, batch, down)
    except ValueError as error:
        place, mend = Place(f"batch {options.name}"), getattr(error, "mend", "")
        raise AuthorError([Mistake("batch", str(error), place, mend)]) from error


def _computed(name: str, collection: Collection, shelf: Shelf, log: MistakeLog) -> Computed | None:
    """The recipe of a name worked out, or None where the house has none. Raises AuthorError."""
    from anthocard.engine.compute import compute_one

    recipe = collection.recipe(name)
    if recipe is None:
        return None
    figures = compute_one(recipe, collection, shelf, log)
    log.raise_if_errors()
    return figures


def _sums(
    options: argparse.Namespace, collection: Collection, figures: Computed | None, shelf: Shelf
) -> tuple[Computed | None, Batch | None, Proofed | None]:
    """What is made of what: the recipe, its batch, and what it is brought down to."""
    from anthocard.engine.trade.batching import make, times
    from anthocard.engine.trade.dilution import bring_down, bring_down_to
    from anthocard.engine.trade.vessels import called

    vessels = None if options.into is None else called(options.into, collection.house)
    if figures is not None and figures.is_drink:
        serves = options.times if options.serves is None else options.serves
        if options.volume is not None:
            one = times(figures, 1.0, collection, shelf, vessels)
            serves = options.volume / one.total_ml
        if serves is None or options.down_to is not None:
            raise ValueError(f"{figures.name} is a drink: say how many with --serves")
        return figures, times(figures, serves, collection, shelf, vessels), None
    if options.serves is not None:
        raise ValueError(f"{options.name} is no drink: say how much with --volume")
    wanted_ml = options.volume
    if options.times is not None:
        if figures is None:
            raise ValueError(f"{options.name} is bought in: say how much with --volume")
        if options.down_to is None:
            return figures, times(figures, options.times, collection, shelf, vessels), None
        wanted_ml = options.times * figures.before.volume_ml
    down = None
    if options.down_to is not None:
        bring, ml = (
            (bring_down_to, wanted_ml) if options.have is None else (bring_down, options.have)
        )
        down = bring(shelf[options.name], options.down_to, ml)
    elif options.have is not None:
        raise ValueError("--have says what is there to bring down: add --down-to")
    if figures is None:
        if down is None:
            raise ValueError(f"{options.name} is bought in: add --down-to, or name what you make")
        return None, None, down
    if options.have is not None:  # it is made already
        return figures, None, down
    net_ml = wanted_ml if down is None else down.strong_ml
    return figures, make(figures, net_ml, collection, shelf, vessels, down), down


def _put(
    options: argparse.Namespace,
    folder: Path,
    collection: Collection,
    figures: Computed | None,
    batch: Batch | None,
    down: Proofed | None,
) -> int:
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.forms import batch_pdf
    from anthocard.press.paper.house_papers import sheet_size
    from anthocard.press.paper.job import HERE
    from anthocard.press.words.batch_sheet import make_sheet, proof_sheet

    house, made, letter = collection.house, options.made, options.batch
    if figures is not None and batch is not None:
        sheet = make_sheet(figures, batch, house, made, letter, down)
    else:
        assert down is not None  # nothing else is left to put on a sheet
        sheet = proof_sheet(down, house, made, letter)
    paper = papers.sheet_paper(options.sheet) if options.sheet else sheet_size(house)
    put(options.out, HERE.now(batch_pdf(sheet, find_theme(options.theme, folder), paper)))
    for line in (*sheet.lines, *sheet.brought_down):
        print(f"  {line.large:>10}  {line.name}" + (f"  ({line.small})" if line.small else ""))
    lines = [f"makes {sheet.makes}", sheet.brought_to, *sheet.bottling]
    print("\n".join(line for line in lines if line))
    if batch is not None and batch.serves is None:
        into = f"{batch.bottle_ml:g} ml {batch.vessel}"
        print(f'labels: anthocard labels "{batch.name}" --into "{into}" --copies {batch.labels}')
    print(f"batch sheet in {options.out}. {sheet.defer}")
    return 0


def _as_json(
    options: argparse.Namespace, batch: Batch | None, down: Proofed | None
) -> dict[str, Any]:
    """Plain values, units in the keys: an interface, keys are only ever added."""
    from anthocard.engine.trade.records import lot

    last = None if batch is None or options.made is None else batch.last_day(options.made)
    return {
        "name": options.name,
        "batch": None if batch is None else asdict(batch),
        "brought_down": None if down is None else asdict(down),
        "made": None if options.made is None else options.made.isoformat(),
        "lot": None if options.made is None else lot(options.made, options.batch),
        "discard_by": None if last is None else last.isoformat(),
    }


def _unknown(name: str, collection: Collection) -> Mistake:
    from anthocard.diagnostics.diagnostic import Mistake, Place, did_you_mean

    mend = did_you_mean(name, [*collection.drinks, *collection.may_be_meant])
    message = f"nothing in the house is called “{name}”"
    return Mistake("no-such-recipe", message, Place(name), mend)


def _count(text: str) -> float:
    from anthocard.engine.trade.batching import times_limits

    least, most = times_limits()
    try:
        count = int(text) if text.isdecimal() else float(text.replace(",", "."))
    except ValueError:
        count = 0
    if not least <= count <= most:
        raise argparse.ArgumentTypeError(
            f"“{text}” is out of range: write a number from {least:g} to {most:.0f}"
        )
    return count


def _ml(text: str) -> float:
    return _read(text, "parse_ml", "more than nothing")


def _percent(text: str) -> float:
    return _read(text, "parse_percent", "a strength above 0 %")


def _read(text: str, reader: str, wanted: str) -> float:
    from anthocard.facts.units import quantities
    from anthocard.facts.units.written_numbers import MeasureError

    try:
        value = float(getattr(quantities, reader)(text))
    except MeasureError as error:
        raise argparse.ArgumentTypeError(f"{error.message}; {error.mend}") from None
    if value <= 0.0:
        raise argparse.ArgumentTypeError(f"“{text}” is not {wanted}")
    return value
