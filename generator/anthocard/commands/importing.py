"""anthocard import: recipes or stock from a CSV file, into files of the house."""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, MistakeLog, Place, did_you_mean
from anthocard.diagnostics.report import tally
from anthocard.guard.limits import most_of
from anthocard.guard.reading import bounded
from anthocard.terminal.houses import add_house, house_folder
from anthocard.terminal.output import put_all, put_changed, read_text

EXAMPLE = """\
The first row names the columns; they are the keys of a recipe or of a stock line. A key inside a
key is joined by a full stop (reveal.pour), a list is one cell with semicolons between its entries
(50 ml gin; 10 ml plain syrup), and so are pairs (citric: 48; malic: 2). Needed are, for a drink:
name, glass, method, pours; for stock: name, and kind where the bottle is not known already. Commas,
semicolons or tabs may part the columns. “--columns” lists them all.

Nothing is overwritten, and nothing is written unless every row can be read.

examples:
  anthocard import recipes drinks.csv
  anthocard import recipes syrups.csv --kind syrup
  anthocard import stock bottles.csv --house ../other-bar
  anthocard import recipes --columns
"""
WHAT = ("recipes", "stock")
KINDS = ("drink", "infusion", "solution", "syrup", "preparation")


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("what", metavar="WHAT", choices=WHAT, help="recipes or stock")
    parser.add_argument("file", metavar="FILE", type=Path, nargs="?", help="the CSV file, in UTF-8")
    add_house(parser)
    parser.add_argument(
        "--kind",
        choices=KINDS,
        default="drink",
        help="what a row is where it has no column “kind”: drink (default), infusion, solution "
        "or syrup",
    )
    parser.add_argument("--columns", action="store_true", help="list the columns, import nothing")


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: its cells by heading, the line it starts on (from 0)."""

    cells: dict[str, str]
    line: int


def run(options: argparse.Namespace) -> int:
    """Write one file a recipe, or lines of stock.yaml; then tell what the house still lacks."""
    if options.columns:
        _list_columns(options.what, options.kind)
        return 0
    if options.file is None:
        place = Place("anthocard import")
        raise AuthorError([Mistake("no-file", "no CSV file is named", place, "name one")])
    folder = house_folder(options.house)
    log = MistakeLog()
    text = _text(options.file)
    rows = list(_rows(text, str(options.file), options.what, log))
    lines = tuple(text.split("\n"))
    if options.what == "stock":
        written = _stock(rows, lines, options.file, folder, log)
    else:
        written = _recipes(rows, lines, options.file, folder, options.kind, log)
    for path in written:
        print(f"wrote {path}")
    _check(folder)
    return 0


def _text(path: Path) -> str:
    """The file, with plain line ends; raises AuthorError where it is none of ours."""
    largest = most_of("files", "recipe")
    raw = bounded(path, largest)
    if raw is None:
        mistake = Mistake("no-file", "this is no file", Place(str(path)), "name a CSV file")
        raise AuthorError([mistake])
    if len(raw) > largest:
        raise AuthorError(
            [Mistake("too-big", "the file is larger than 1 MB", Place(str(path)), "split it")]
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = raw.count(b"\n", 0, trouble.start) + 1
        mend = "save it again as CSV UTF-8"
        message = "the file is not saved as UTF-8 from here on"
        raise AuthorError([Mistake("not-utf-8", message, Place(str(path), line), mend)]) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _rows(text: str, path: str, what: str, log: MistakeLog) -> Iterator[_Row]:
    """Every row below the headings; unknown headings and torn rows go to `log`."""
    from anthocard.house.csv_rows import IN_ROWS, columns

    lines = text.split("\n")
    kinds = ("stock",) if what == "stock" else IN_ROWS
    known = {column.name for kind in kinds for column in columns(kind)}
    first = lines[0] if lines else ""
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    heads: list[str] | None = None
    end = 0
    try:
        for cells in reader:
            start, end = end, reader.line_num
            if heads is None:
                written = [head.strip() for head in cells]
                meant = {_plain(name): name for name in known}
                heads = [meant.get(_plain(head), head) for head in written]
                for head in heads:
                    if head not in known:
                        place = Place(path, 1, max(1, first.find(head) + 1), len(head), first)
                        log.add("unknown-column", f"“{head}” is not a column here", place,
                                did_you_mean(head, known))  # fmt: skip
            elif any(cell.strip() for cell in cells):
                if len(cells) > len(heads):
                    log.add("torn-row", "this row has more cells than there are headings",
                            Place(path, start + 1, 1, 1, lines[start]),
                            "put quotes around a cell that holds a comma")  # fmt: skip
                yield _Row(dict(zip(heads, cells, strict=False)), start)
    except csv.Error as trouble:
        place = Place(path, end + 1, 1, 1, lines[min(end, len(lines) - 1)])
        log.add("torn-row", f"this row cannot be read: {trouble}", place,
                "close every quotation mark")  # fmt: skip
    if heads is None:
        log.add("no-rows", "the file is empty", Place(path), "its first row names the columns")


def _checked(
    row: _Row, kind: str, lines: tuple[str, ...], path: Path, log: MistakeLog
) -> dict[str, Any]:
    """A row as keys; what the types object to goes to `log`, at the row's own line."""
    from pydantic import ValidationError

    from anthocard.diagnostics.yaml_reader import Document, Location, Spot
    from anthocard.facts.stock import StockItem, generic_stock
    from anthocard.facts.units.forgiven import PLAIN_HABITS, forgiven
    from anthocard.house.collection import fold
    from anthocard.house.csv_rows import columns, from_row
    from anthocard.house.messages import complain
    from anthocard.house.model import KINDS as MODELS

    data = from_row(kind, row.cells)
    text = lines[row.line]
    spots: dict[Location, Spot] = {(): Spot(0, 0, len(text))}
    for column in columns(kind):
        cell = row.cells.get(column.name, "").strip().removeprefix("'")  # see export.plain_cell
        start = text.find(cell) if cell else -1
        if start >= 0:
            spots[column.loc] = Spot(0, start, len(cell))
            for n, entry in enumerate(cell.split(";")):
                at = text.find(entry.strip(), start)
                spots[(*column.loc, n)] = Spot(0, max(at, start), len(entry.strip()))
    generic = {fold(name): item.kind for name, item in generic_stock().items()}
    basis = {"kind": generic.get(fold(str(data.get("name", ""))))} if kind == "stock" else {}
    model = StockItem if kind == "stock" else MODELS[kind]
    written = {key: v for key, v in {**basis, **data}.items() if v is not None}
    document = Document(written, str(path), text, row.line + 1, spots, spots, frozenset())
    document = forgiven(document, model, (), PLAIN_HABITS)
    try:
        model.model_validate(document.data)
    except ValidationError as error:
        complain(error, model, document, (), log)
    return data


def _recipes(
    rows: list[_Row],
    lines: tuple[str, ...],
    path: Path,
    folder: Path,
    default: str,
    log: MistakeLog,
) -> list[Path]:
    from anthocard.house.csv_rows import IN_ROWS, markdown
    from anthocard.house.files import FOLDERS, slug

    texts: dict[str, str] = {}
    for row in rows:
        place = Place(str(path), row.line + 1, 1, 1, lines[row.line])
        kind = row.cells.get("kind", "").strip() or default
        if kind not in IN_ROWS:
            log.add("not-a-choice", f"“{kind}” is not a kind of row", place,
                    did_you_mean(kind, IN_ROWS))  # fmt: skip
            continue
        data = {"kind": kind, **_checked(row, kind, lines, path, log)}
        name = f"{FOLDERS[kind]}/{slug(str(data.get('name', ''))) or 'unnamed'}.md"
        if name in texts or (folder / name).exists():
            log.add("in-the-way", f"{name} is there already, and nothing is overwritten", place,
                    "give it another name, or take the row out")  # fmt: skip
        texts[name] = markdown(data)
    log.raise_if_errors()
    put_all(folder, texts)
    return [folder / name for name in texts]


def _stock(
    rows: list[_Row], lines: tuple[str, ...], path: Path, folder: Path, log: MistakeLog
) -> list[Path]:
    """New lines at the end of stock.yaml; what stands there is left as it is."""
    from anthocard.diagnostics.yaml_reader import read_yaml
    from anthocard.house.collection import fold
    from anthocard.house.csv_rows import stock_line

    target = folder / "stock.yaml"
    old = read_text(target)
    before = old.text
    known = read_yaml(before, str(target), log).data
    taken = {fold(name) for name in known} if isinstance(known, dict) else set()
    added = []
    for row in rows:
        data = _checked(row, "stock", lines, path, log)
        name = str(data.get("name", ""))
        if fold(name) in taken:
            place = Place(str(path), row.line + 1, 1, 1, lines[row.line])
            log.add("in-the-way", f"“{name}” has a line already, and nothing is overwritten",
                    place, "change it in stock.yaml, or take the row out")  # fmt: skip
        taken.add(fold(name))
        if name:
            added.append(stock_line(data))
    log.raise_if_errors()
    gap = "" if not before or before.endswith("\n") else "\n"
    put_changed(old, f"{before}{gap}{''.join(added)}", folder)
    return [target]


def _check(folder: Path) -> None:
    """Say how the house stands with what has come in."""
    from anthocard.house.reader import read_house

    try:
        read_house(folder)
    except AuthorError as error:
        wrong = tally([one for one in error.mistakes if one.severity == "error"])
        print(f"{wrong} to put right before it can be published: anthocard proofread tells them.")
    else:
        print("Everything in it is known. Next: anthocard proofread")


def _plain(head: str) -> str:
    """A heading without capitals, blanks and hyphens as the low line that keys are written with."""
    return "_".join(head.casefold().replace("-", " ").split())


def _list_columns(what: str, kind: str) -> None:
    from anthocard.house.csv_rows import columns

    kinds = {"words": "words", "value": "a value", "list": "a; b; c", "pairs": "a: 1; b: 2"}
    for column in columns("stock" if what == "stock" else kind):
        print(f"{column.name:<32}{kinds[column.shape]}")
