"""anthocard palette: the wall chart of every plant against pH and dose, as a page and a PDF."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from pathlib import Path

from anthocard.terminal.houses import add_house, build_of, house_folder
from anthocard.terminal.output import put_all

EXAMPLE = """\
examples:
  anthocard palette
  anthocard palette --out charts
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_house(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, help="where to write (where publish does)"
    )


def run(options: argparse.Namespace) -> int:
    """Write palette.html and palette.pdf; without Pango only the page, and exit code 3."""
    from anthocard.house.reader import read_house
    from anthocard.press.base.refusals import PaperUnavailable
    from anthocard.press.base.theme import find_theme
    from anthocard.press.html.palette_page import palette_page
    from anthocard.press.paper.job import HERE, paper_pdf

    folder = house_folder(options.house)
    house, out = read_house(folder).house, options.out or build_of(folder)
    theme = find_theme()
    page = palette_page(theme, house.name, house.language)
    paper = partial(palette_page, theme, house.name, house.language, on_paper=True)
    files: dict[str, bytes | str] = {"palette.html": page}
    code = 0
    try:
        files["palette.pdf"] = HERE.now(paper_pdf(paper, "", theme.fonts))
    except PaperUnavailable as missing:
        print(missing, file=sys.stderr)
        code = missing.exit_code
    put_all(out, files, over=True)
    print("\n".join(str(out / name) for name in files))
    return code
