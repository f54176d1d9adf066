"""anthocard logs: logs to write on, and a probe's slope checked."""

from __future__ import annotations

import argparse
import re
from dataclasses import asdict

from anthocard.diagnostics.plain_letters import json_text
from anthocard.terminal.houses import house_to_read, worked_out
from anthocard.terminal.papers import add_paper, chosen, put
from anthocard.terminal.typed import celsius, whole

EXAMPLE = """\
A log of batches for each thing the house makes (or the recipes named), with what each batch should
show; a log of the probe's calibration; a log of deviations. --slope checks a probe and writes
nothing.

examples:
  anthocard logs
  anthocard logs "blue gin" "citrate buffer" --rows 20
  anthocard logs --only probe
  anthocard logs --slope "4.01=171.4, 7.00=-0.6" --at 25C
"""
KINDS = ("batches", "probe", "deviations")
_PAIR = re.compile(r"\s*([0-9.]+)\s*=\s*([-+−]?[0-9.]+)\s*")


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("names", metavar="NAME", nargs="*", help="recipes (all the house makes)")
    add_paper(parser, "logs.pdf")
    parser.add_argument("--only", choices=KINDS, help="one kind of log (all three)")
    parser.add_argument(
        "--rows",
        metavar="N",
        type=whole(1, 500),
        help="empty rows on each log (as many as a sheet holds)",
    )
    parser.add_argument("--sheet", metavar="PAPER", help="A4 or Letter, printed across (by place)")
    parser.add_argument(
        "--slope", metavar="READINGS", type=_readings,
        help="PH=MILLIVOLTS of two buffers: tell whether the probe may be used",
    )  # fmt: skip
    parser.add_argument(
        "--at", metavar="TEMP", type=celsius, default=25.0, help="of the buffers (25C)"
    )
    parser.add_argument("--json", action="store_true", help="print JSON and write no paper")


def run(options: argparse.Namespace) -> int:
    """Write the logs, or check a slope."""
    if options.slope is not None:
        return _check(options)
    from anthocard.press.base import sizes as papers
    from anthocard.press.base.languages import language
    from anthocard.press.base.theme import find_theme
    from anthocard.press.paper.forms import logs_pdf
    from anthocard.press.paper.house_papers import sheet_size
    from anthocard.press.paper.job import HERE
    from anthocard.press.words.log_sheets import batch_log, deviation_log, probe_log

    folder = house_to_read(options)
    collection, computed, _ = worked_out(folder)
    recipes = chosen(options.names, computed, drinks=None if options.names else False)
    wanted = (options.only,) if options.only else KINDS
    tongue = language(collection.house.language)
    sheets = [
        batch_log(one, tongue, options.rows) for one in recipes.values() if "batches" in wanted
    ]
    sheets += [probe_log(tongue, options.rows)] if "probe" in wanted else []
    sheets += [deviation_log(tongue, options.rows)] if "deviations" in wanted else []
    if options.json:
        print(json_text([asdict(sheet) for sheet in sheets]))
        return 0
    paper = papers.sheet_paper(options.sheet) if options.sheet else sheet_size(collection.house)
    put(
        options.out,
        HERE.now(logs_pdf(sheets, collection.house, find_theme(options.theme, folder), paper)),
    )
    print(f"{len(sheets)} logs in {options.out}")
    return 0


def _check(options: argparse.Namespace) -> int:
    from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
    from anthocard.engine.trade.records import calibrate

    (ph_1, mv_1), (ph_2, mv_2) = options.slope
    try:
        found = calibrate(ph_1, mv_1, ph_2, mv_2, options.at)
    except ValueError as error:
        raise AuthorError([Mistake("probe", str(error), Place("--slope"))]) from error
    if options.json:
        print(json_text(asdict(found)))
        return 0
    print(
        f"slope {found.slope_mv_per_ph:.1f} mV per pH, {found.slope_percent:.1f} % of a perfect "
        f"probe's at {options.at:g} °C; {found.offset_mv:+.1f} mV at pH 7"
    )
    accepted = "within the band: use it, and write it down."
    print(accepted if found.accepted else "outside the band: clean, repeat, or replace the probe.")
    return 0


def _readings(text: str) -> tuple[tuple[float, float], tuple[float, float]]:
    pairs = [_PAIR.fullmatch(part) for part in text.split(",")]
    try:
        first, second = (
            (float(pair[1]), float(pair[2].replace("−", "-"))) for pair in pairs if pair
        )
    except ValueError:
        message = f"“{text}” is not two readings: write 4.01=171.4, 7.00=-0.6"
        raise argparse.ArgumentTypeError(message) from None
    return first, second
