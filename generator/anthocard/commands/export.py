"""anthocard export: every recipe as CSV or schema.org Recipe, or the stock as CSV."""

from __future__ import annotations

import argparse
import csv
import io
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from anthocard.terminal.houses import add_house, house_to_read, tell_aside
from anthocard.terminal.output import put

if TYPE_CHECKING:
    from anthocard.house.reader import Collection

EXAMPLE = """\
recipes and stock are CSV in UTF-8, one row a thing, the same columns that “anthocard import”
reads; what CSV cannot hold is told. json-ld is schema.org Recipe, one document for all.
These files hold every amount: they are for your own use, not for guests.

examples:
  anthocard export recipes --out recipes.csv
  anthocard export stock --out stock.csv
  anthocard export json-ld --out recipes.jsonld
"""
WHAT = ("recipes", "stock", "json-ld")


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("what", metavar="WHAT", choices=WHAT, help="recipes, stock or json-ld")
    add_house(parser)
    parser.add_argument(
        "--out", metavar="FILE", type=Path, help="where to write (default: standard output)"
    )


def run(options: argparse.Namespace) -> int:
    """Write one document; what it cannot hold is told beside it."""
    from anthocard.house.reader import read_house

    folder = house_to_read(options)
    lost: list[str] = []
    if options.what == "json-ld":
        text, count = _json_ld(folder)
    else:
        collection = read_house(folder)
        rows, columns = (_stock if options.what == "stock" else _recipes)(collection, lost)
        text, count = _csv(rows, columns), len(rows)
        lost += _beyond(collection, options.what)
    if options.out is None:
        print(text, end="")
    else:
        put(options.out, text)
        print(f"Wrote {count} to {options.out}.")
    if lost:
        tell_aside("What CSV cannot hold, and stays only in the house:", *(f"  {o}" for o in lost))
    return 0


def _recipes(collection: Collection, lost: list[str]) -> tuple[list[dict[str, str]], list[str]]:
    from anthocard.house.body import split_body
    from anthocard.house.collection import page_key
    from anthocard.house.csv_rows import IN_ROWS, as_row, columns

    rows = []
    for recipe in collection.recipes:
        page = collection.pages[page_key(recipe)]
        guest, staff = split_body(page.source.body if page.source else "")
        data = {"kind": recipe.kind, **page.document.data, "guest_text": guest, "staff_text": staff}
        cells, held_back = as_row(recipe.kind, data)
        rows.append(cells)
        lost += [f"{recipe.name}: {key}" for key in held_back]
    every = dict.fromkeys(c.name for kind in reversed(IN_ROWS) for c in columns(kind))
    last = [name for name in ("guest_text", "staff_text") if every.pop(name, "") is None]
    return rows, [*every, *last]


def _stock(collection: Collection, lost: list[str]) -> tuple[list[dict[str, str]], list[str]]:
    """The house's own lines, as they are written; the generic table comes with the program."""
    from anthocard.house.collection import page_key
    from anthocard.house.csv_rows import as_row, columns

    rows = []
    for item in collection.stock.values():
        page = collection.pages.get(page_key(item))
        if page is None:
            continue
        (name,) = page.within
        cells, held_back = as_row("stock", {"name": name, **page.document.data[name]})
        rows.append(cells)
        lost += [f"{name}: {key}" for key in held_back]
    return rows, [column.name for column in columns("stock")]


def _beyond(collection: Collection, what: str) -> list[str]:
    """What has no row at all."""
    if what == "stock":
        return ["the notes behind # in stock.yaml"]
    menus = [f"the menu {name}: a menu is no row" for name in collection.menus]
    noted = sum(_has_notes(source.front) for source in collection.sources.values())
    notes = [f"the notes behind # in {noted} files"] if noted else []
    return [*menus, *notes]


def _has_notes(front: str) -> bool:
    return any(" #" in f" {line}" for line in front.splitlines())


def plain_cell(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: an apostrophe goes before a sign that starts
    one. `anthocard import` takes it off again. Source: OWASP, CSV Injection (how: memory).
    """
    return f"'{cell}" if cell.startswith(tuple("=+-@\t\r'")) else cell


def _csv(rows: Iterable[Mapping[str, str]], columns: Iterable[str]) -> str:
    """Columns that no row uses are left out; line ends as RFC 4180 has them."""
    rows = list(rows)
    used = [name for name in columns if any(name in row for row in rows)]
    out = io.StringIO()
    writer = csv.DictWriter(out, used, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({name: plain_cell(cell) for name, cell in row.items()} for row in rows)
    return out.getvalue()


def _json_ld(folder: Path) -> tuple[str, int]:
    from anthocard.press.data.jsonld import recipe_graph
    from anthocard.terminal.houses import worked_out

    collection, computed, _ = worked_out(folder)
    graph: dict[str, Any] = recipe_graph(computed.values(), collection.house)
    return f"{json.dumps(graph, ensure_ascii=False, indent=2)}\n", len(computed)
