"""The table of papers: what is cut, what goes through the printer, where labels lie on a sheet.

Belongs here: sizes, margins and geometry by name. Does not belong here: what is printed on them,
or how cards are laid on a sheet (impose.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place, did_you_mean
from anthocard.diagnostics.tables import read_table

POINTS_PER_MM = 72.0 / 25.4


@dataclass(frozen=True, slots=True)
class Paper:
    """A trimmed size or a sheet, upright, in mm."""

    name: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Where labels lie on a sheet: first label's corner from the left and the top, then pitches."""

    name: str
    sheet: Paper
    columns: int
    rows: int
    left_mm: float
    top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float
    label: Paper


def card_paper(name: str) -> Paper:
    """A card size: A6, 4x6, A5 or 5x7. Raises AuthorError for any other."""
    return _paper("cards", name)


def sheet_paper(name: str) -> Paper:
    """A printer's sheet: A4, Letter or SRA4. Raises AuthorError for any other."""
    return _paper("sheets", name)


def book_paper(name: str) -> Paper:
    """A page of the spec book: A5 or Half-Letter. Raises AuthorError for any other."""
    return _paper("books", name)


def menu_paper(name: str) -> Paper:
    """A page of the printed menu: folded or long. Raises AuthorError for any other."""
    return _paper("menus", name)


def label_sheet(name: str) -> LabelSheet:
    """A label sheet of the table. Raises AuthorError for any other."""
    return _labels(name, _row("labels", name))


def label_geometry(text: str) -> LabelSheet:
    """A label sheet written out: "sheet=A4 columns=2 rows=4 left=4.65 top=13.1 pitch_x=101.6 …".

    Keys are those of the table, lengths in mm. Raises AuthorError when a key is missing, strange or
    no number, or when the labels overlap or run off the sheet.
    """
    pairs = [word.partition("=") for word in text.replace(",", " ").split()]
    values: dict[str, Any] = {key: value for key, _, value in pairs}
    wanted = [key for key in _row("labels", "A4-2x4") if key not in ("source", "how")]
    wrong = sorted(set(wanted) ^ set(values))
    if wrong:
        raise _refused(f"a label sheet needs {', '.join(wanted)}; look at {', '.join(wrong)}", text)
    try:
        for key in wanted[1:]:
            values[key] = int(values[key]) if key in ("columns", "rows") else float(values[key])
    except ValueError:
        raise _refused("columns and rows are whole numbers, lengths are in mm", text) from None
    return _labels("own", values)


def label_for(wide_mm: float, high_mm: float, sheet: str) -> LabelSheet:
    """The sheet of a size (A4, Letter) with the largest label on such a side, else the smallest."""
    found = [label_sheet(name) for name, row in _rows("labels").items() if row["sheet"] == sheet]
    found.sort(key=lambda one: one.label.width_mm * one.label.height_mm)
    fit = [o for o in found if o.label.width_mm <= wide_mm and o.label.height_mm <= high_mm]
    return fit[-1] if fit else found[0]


def names(section: str) -> tuple[str, ...]:
    """The names in one section of the table: cards, sheets, books, menus or labels."""
    return tuple(_rows(section))


def mark(key: str, column: str = "mm") -> float:
    """A length of the `marks` section, mm."""
    return float(_rows("marks")[key][column])


def room(key: str) -> dict[str, float]:
    """Lengths of a row of `rooms`, mm: what is kept free at a card's head for a hole or a clip, and
    how wide and how far from the edge a hole is punched. KeyError for a room unknown.
    """
    return {name: value for name, value in _rows("rooms")[key].items() if type(value) is float}


def volumes(drinks: int) -> int:
    """How many volumes of the spec book, and piles of card sheets, so many drinks take (≥ 1)."""
    rows = _rows("volumes")
    return 1 if drinks <= rows["whole"]["drinks"] else -(-drinks // int(rows["part"]["drinks"]))


def _labels(name: str, row: dict[str, Any]) -> LabelSheet:
    made = LabelSheet(
        name, sheet_paper(row["sheet"]), row["columns"], row["rows"], row["left"], row["top"],
        row["pitch_x"], row["pitch_y"], Paper(name, row["width"], row["height"]),
    )  # fmt: skip
    across, down = made.columns, made.rows
    if across < 1 or down < 1 or made.left_mm < 0 or made.top_mm < 0:
        raise _refused("a label sheet has at least one label, inside the sheet", name)
    if made.label.width_mm <= 0 or made.label.height_mm <= 0:
        raise _refused("a label has a width and a height", name)
    right = made.left_mm + (across - 1) * made.pitch_x_mm + made.label.width_mm
    foot = made.top_mm + (down - 1) * made.pitch_y_mm + made.label.height_mm
    if right > made.sheet.width_mm + 0.05 or foot > made.sheet.height_mm + 0.05:
        raise _refused(f"these labels run off {made.sheet.name}: {right:g} × {foot:g} mm", name)
    too_near = (across > 1 and made.pitch_x_mm < made.label.width_mm) or (
        down > 1 and made.pitch_y_mm < made.label.height_mm
    )
    if too_near:
        raise _refused("these labels overlap: a pitch is less than the label", name)
    return made


def _paper(section: str, name: str) -> Paper:
    row = _row(section, name)
    return Paper(name, float(row["width"]), float(row["height"]))


def _row(section: str, name: str) -> dict[str, Any]:
    rows = _rows(section)
    if name not in rows:
        mend = did_you_mean(name, rows)
        raise AuthorError([Mistake("no-paper", f"no paper “{name}”", Place("papers"), mend)])
    row: dict[str, Any] = rows[name]
    return row


def _rows(section: str) -> dict[str, Any]:
    rows: dict[str, Any] = read_table("anthocard.press.base", "sizes.yaml")[section]
    return rows


def _refused(message: str, text: str) -> AuthorError:
    return AuthorError([Mistake("bad-geometry", message, Place("labels", text=text))])
