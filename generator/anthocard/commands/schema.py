"""anthocard schema: JSON Schemas for editors, made from the types and this house's names."""

from __future__ import annotations

import argparse
from pathlib import Path

from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.terminal.houses import add_house, house_folder
from anthocard.terminal.output import put_all

EXAMPLE = """\
An editor that speaks YAML finds the schema of a file by its first line:
  # yaml-language-server: $schema=.schema/house.json
For Markdown, tell the editor's front-matter plug-in which schema belongs to which folder:
drink.json to drinks/, infusion.json to infusions/, and so on.

Run it again when the house has new bottles, glasses or drinks: their names are suggested too.

examples:
  anthocard schema
  anthocard schema --out ../schemas
  anthocard schema --print drink
"""
KINDS = ("house", "stock", "infusion", "solution", "syrup", "preparation", "drink", "menu")


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    add_house(parser)
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--out", metavar="DIR", type=Path, help="where to write (default: .schema in the house)"
    )
    where.add_argument(
        "--print", metavar="KIND", choices=KINDS, dest="kind",
        help=f"print one of them instead: {', '.join(KINDS)}",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Write or print the schemas; a house with mistakes only gives no names of its own."""
    from anthocard.house.json_schema import schemas, written
    from anthocard.house.reader import read_house

    collection = folder = None
    try:
        folder = house_folder(options.house)
        collection = read_house(folder)
    except AuthorError:
        if options.house is not None and folder is None:
            raise
    made = {kind: written(schema) for kind, schema in schemas(collection).items()}
    if options.kind:
        print(made[options.kind], end="")
        return 0
    out = options.out or (folder or house_folder(options.house)) / ".schema"
    put_all(out, {f"{kind}.json": text for kind, text in made.items()}, over=True)
    print(f"Wrote {len(made)} schemas to {out}.")
    if collection is None:
        print("There are mistakes in the house, so its own names are not in them.")
    return 0
