"""Bottle labels on paper: one by one, and on label sheets given by geometry.

Belongs here: setting labels and filling sheets with them. Does not belong here: what a label says
(words/bottle_label.py), where labels lie on a sheet (sizes.py), drawing them there (impose.py).

Each label is a page of its own first, so that one with too much on it is found and named.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from math import ceil

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.press.base import sizes as papers
from anthocard.press.base.sizes import LabelSheet, Paper
from anthocard.press.base.theme import Theme
from anthocard.press.paper.archive import boxed
from anthocard.press.paper.impose import impose_labels
from anthocard.press.paper.job import FIT, HERE, PaperPress, card_pdf, each
from anthocard.press.paper.lost_words import style_errors_of
from anthocard.press.words.bottle_label import Label

FITS = ("grand", "roomy", "close", "tight")
#: Each but the last is worth trying from so many mm of height on for a label of eight lines, and
#: from so many more for each line more; measured on the base theme with the demo's labels at five
#: sizes: none of 115 is tried twice, none is set smaller than it could be.
HEIGHT_MM = ((67.0, 3.9), (58.5, 1.0), (53.5, 0.6))
#: The code stands beside the small lines: so wide with both margins, and as high as so many lines.
_BESIDE_MM, _QR_LINES = 28.0, 4.5
#: A label narrower or lower says its name, its hazards and its date alone, by files of its own: the
#: large one's dates and code need this much (measured: of the demo's 23 labels all fit 99 × 50 mm,
#: none 99 × 38 or 80 × 45).
SMALL_MM = (90.0, 48.0)
#: Its settings; the first two for labels of so many mm on: room for larger type and one line more.
SMALL_FITS = ("broad", "broad less", "roomy", "close", "tight", "tight bare")
BROAD_MM = (60.0, 36.0)
TOO_FULL = "card-too-full"
#: The author's field that each part of a label comes from, in the order they are blamed.
FIELDS = {"parts": "strength", "allergens": "allergens", "store": "store", "name": "name"}


def label_fits(label: Label, paper: Paper) -> tuple[str, ...]:
    """Every setting that could suit a label of a size, the roomiest first."""
    if _template(paper) == "label_small":
        broad = paper.width_mm >= BROAD_MM[0] and paper.height_mm >= BROAD_MM[1]
        return SMALL_FITS[0 if broad else 2 :]
    more = _lines(label, paper.width_mm) - 8.0
    return FITS[sum(paper.height_mm < least + each * more for least, each in HEIGHT_MM) :]


def is_small(paper: Paper) -> bool:
    """Whether it is one for a small bottle, with a template of its own."""
    return paper.width_mm < SMALL_MM[0] or paper.height_mm < SMALL_MM[1]


def _template(paper: Paper) -> str:
    return "label_small" if is_small(paper) else "label"


def _lines(label: Label, wide_mm: float) -> float:
    """About how many lines the words take in the roomiest setting; letters are counted, not
    measured, and a statement that warns stands taller.
    """
    beside = (wide_mm - _BESIDE_MM) / (99.1 - _BESIDE_MM)
    small = (
        f"{label.within} · {label.store}",
        f"{label.allergens} {label.hazard}",
        "",  # where it is written when it was opened
        f"{label.house} · {label.edition} {'local code first':>26}",
    )
    low = sum(max(1, ceil(len(line) / (52 * beside))) for line in small)
    statement = (label.statement, 24 if label.warning else 30)
    texts = [(label.name, 20), statement, (label.strength, 44)]
    lines = sum(max(1, ceil(len(text) / (most * wide_mm / 99.1))) for text, most in texts)
    return lines + max(low, _QR_LINES) + (1.5 if label.warning else 0.0)


async def print_label(
    label: Label, paper: Paper, theme: Theme, place: Place, press: PaperPress = HERE
) -> bytes:
    """One label as a page of its own.

    Raises AuthorError naming the recipe, and the field that is too long, when it is too full.
    """
    try:
        return await _set(label, paper, theme, place, label_fits(label, paper), press)
    except AuthorError as error:
        if all(mistake.kind != TOO_FULL for mistake in error.mistakes):
            raise
        raise AuthorError([await _blamed(label, paper, theme, place, press)]) from error


async def _set(
    label: Label, paper: Paper, theme: Theme, place: Place, fits: tuple[str, ...], press: PaperPress
) -> bytes:
    size = f"@page {{ size: {paper.width_mm:g}mm {paper.height_mm:g}mm }}"
    name = _template(paper)
    page = partial(_page, label, theme, f"{name}.html")
    style = theme.style(f"{name}.css") + size
    with style_errors_of(theme, f"{name}.css"):
        pdf = await card_pdf(
            page, fits, style, label.name, place, theme.fonts,
            what="label", press=press, decides=len(fits) == 1,
            safe_mm=papers.mark("shift") if name == "label_small" else None,
        )  # fmt: skip
    return boxed(pdf, paper, 0.0)


async def _blamed(
    label: Label, paper: Paper, theme: Theme, place: Place, press: PaperPress
) -> Mistake:
    """The one field without which the label would fit, else the longest of them."""
    texts = {field: getattr(label, attribute) for field, attribute in FIELDS.items()}
    field = max(texts, key=lambda field: len(texts[field]))
    for one, attribute in FIELDS.items():
        lighter = replace(label, **{attribute: texts[one][:12]})
        with suppress(AuthorError):
            await _set(lighter, paper, theme, place, label_fits(label, paper)[-1:], press)
            field = one
            break
    message = (
        f"the label of “{label.name}” does not fit {paper.width_mm:g} × {paper.height_mm:g} mm,"
        f" even with the tightest setting: there is too much in {field}"
    )
    return Mistake(TOO_FULL, message, place, f"shorten {field}, or print on a larger label")


async def print_labels(
    labels: Sequence[tuple[Label, Place]],
    sheet: LabelSheet,
    theme: Theme,
    skip: int = 0,
    press: PaperPress = HERE,
) -> bytes:
    """Sheets of labels in order, leaving the first `skip` places free.

    Raises AuthorError for a label that is too full, ValueError when `skip` is not on the sheet.
    """
    places: dict[Label, Place] = {}
    for label, place in labels:
        places.setdefault(label, place)
    asked = (print_label(one, sheet.label, theme, at, press) for one, at in places.items())
    pages = dict(zip(places, await each(asked), strict=True))
    return impose_labels(sheet, [pages[label] for label, _ in labels], skip)


def _page(label: Label, theme: Theme, template: str) -> str:
    """Labels are black on white in every theme: they are printed on white stickers."""
    html = theme.render(template, {"label": label, "fit": FIT}, label.language)
    return html.replace("currentColor", "#000000")
