"""Forms to work from and to write on, as tagged PDFs: prep sheet, buying list, batch sheet, logs,
the list for a guest.

Belongs here: putting worded forms on A4 or Letter. Does not belong here: their words
(words/prep_sheet.py, buying.py, batch_sheet.py, log_sheets.py; data/guest_list.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from anthocard.house.settings import House
from anthocard.press.base.languages import language
from anthocard.press.base.sizes import Paper
from anthocard.press.base.theme import Theme
from anthocard.press.data.guest_list import GuestList
from anthocard.press.paper.job import ENDS, FIT, HERE, PaperPress, paper_pdf
from anthocard.press.paper.lost_words import style_errors_of
from anthocard.press.words.batch_sheet import Sheet
from anthocard.press.words.buying import Buying
from anthocard.press.words.log_sheets import Log
from anthocard.press.words.prep_sheet import Prep


async def prep_pdf(prep: Prep, theme: Theme, paper: Paper, press: PaperPress = HERE) -> bytes:
    """The prep sheet."""
    name, values = "the prep sheet", {"prep": prep}
    return await _form("prep.html", values, prep.language, theme, paper, name, press)


async def guest_pdf(list_: GuestList, theme: Theme, paper: Paper) -> bytes:
    """The list for one guest."""
    values = {"list": list_}
    return await _form("for-guest-list.html", values, list_.language, theme, paper, "the list")


async def buying_pdf(buying: Buying, theme: Theme, paper: Paper) -> bytes:
    """The buying list."""
    name, values = "the buying list", {"buying": buying}
    return await _form("buy.html", values, buying.language, theme, paper, name)


async def batch_pdf(sheet: Sheet, theme: Theme, paper: Paper, press: PaperPress = HERE) -> bytes:
    """The batch sheet."""
    name, values = "the batch sheet", {"sheet": sheet}
    return await _form("batch.html", values, sheet.language, theme, paper, name, press)


async def logs_pdf(sheets: Sequence[Log], house: House, theme: Theme, paper: Paper) -> bytes:
    """Every log on a sheet of its own (or more), across the paper."""
    values = {"sheets": sheets, "house": house.name}
    across = Paper(paper.name, paper.height_mm, paper.width_mm)
    return await _form("log.html", values, house.language, theme, across, "the logs")


async def _form(
    template: str,
    values: Mapping[str, Any],
    tag: str,
    theme: Theme,
    paper: Paper,
    name: str,
    press: PaperPress = HERE,
) -> bytes:
    sheet = language(tag).gettext("sheet")
    size = (
        f"@page {{ size: {paper.width_mm:g}mm {paper.height_mm:g}mm;"
        f' @bottom-right {{ content: "{sheet} " counter(page) "/" counter(pages) }} }}'
    )
    page = partial(theme.render, template, {**values, "fit": FIT}, tag)
    style = theme.style("form.css") + size
    with style_errors_of(theme, "form.css"):
        return await paper_pdf(page, style, theme.fonts, name, press, ends=ENDS)
