"""anthocard begin: a small house that publishes at once, with notes that teach."""

from __future__ import annotations

import argparse
import json
import os
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.terminal.output import put_all

EXAMPLE = """\
Makes a folder with two drinks, what they are made of and a menu, every file with notes. Nothing
is asked and nothing is overwritten; all of it can be changed later in house.yaml.

examples:
  anthocard begin my-bar
  anthocard begin my-bar --name "The Long Counter" --place US-CA --currency USD
  anthocard publish --house my-bar
"""

#: The house that a newcomer starts from: files of its own, so that it can be read and tested.
STARTER = Path(__file__).parent / "starter"
#: Currency by country, where the country is all we know. ISO 4217, from memory.
_CURRENCIES = {
    "AU": "AUD", "CA": "CAD", "CH": "CHF", "DK": "DKK", "GB": "GBP", "HK": "HKD", "IN": "INR",
    "JP": "JPY", "MX": "MXN", "NO": "NOK", "NZ": "NZD", "PL": "PLN", "SE": "SEK", "SG": "SGD",
    "US": "USD", "ZA": "ZAR",
}  # fmt: skip


def describe(parser: argparse.ArgumentParser) -> None:
    """Options of this command."""
    parser.epilog = EXAMPLE
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="where the house is to stand")
    parser.add_argument("--name", metavar="NAME", help="its name (default: made of the folder's)")
    parser.add_argument(
        "--place",
        metavar="CODE",
        type=_place,
        help="country, or country and state (default: your locale's)",
    )
    parser.add_argument(
        "--currency",
        metavar="CODE",
        type=_currency,
        help="three letters (default: the place's, else EUR)",
    )


def run(options: argparse.Namespace) -> int:
    """Write the starter house; refuses to touch anything that is there."""
    folder: Path = options.folder
    place = options.place or _place_here()
    currency = options.currency or _CURRENCIES.get(place.partition("-")[0], "EUR")
    name = options.name or _name_of(folder)
    texts = dict(_starter())
    own = {"name": json.dumps(name, ensure_ascii=False), "place": place, "currency": currency}
    texts["house.yaml"] = re.sub(
        r"^(name|place|currency): .*$",
        lambda line: f"{line[1]}: {own[line[1]]}",
        texts["house.yaml"],
        flags=re.MULTILINE,
    )
    _refuse_to_overwrite(folder, texts)
    put_all(folder, texts)
    print(f"A house stands in {folder}. Next:")
    print(f"  anthocard publish --house {shlex.quote(str(folder))}")
    print(f"  anthocard preview --house {shlex.quote(str(folder))}")
    print("Open its files in any editor: each one says what it is for.")
    return 0


def _starter() -> Iterator[tuple[str, str]]:
    """The files of the starter house and the schemas that describe them, by path."""
    from anthocard.house.json_schema import schemas, written

    for path in sorted(STARTER.rglob("*")):
        if path.is_file():
            yield path.relative_to(STARTER).as_posix(), path.read_text(encoding="utf-8")
    for kind, schema in schemas().items():
        yield f".schema/{kind}.json", written(schema)


def _place(code: str) -> str:
    from anthocard.facts.law.places import exists

    if not exists(code):
        raise argparse.ArgumentTypeError(f"there is no place “{code}”: write GB, DE or US-CA")
    return code


def _currency(code: str) -> str:
    if not re.fullmatch("[A-Z]{3}", code):
        raise argparse.ArgumentTypeError(f"“{code}” is no currency code: write GBP, EUR or USD")
    return code


def _name_of(folder: Path) -> str:
    words = re.split(r"[\s_-]+", folder.resolve().name.strip())
    return " ".join(word[:1].upper() + word[1:] for word in words if word)[:80] or "My Bar"


def _place_here() -> str:
    """The country of the locale this command runs in, if there is such a place; else GB."""
    from anthocard.facts.law.places import exists

    for variable in ("LC_ALL", "LC_MONETARY", "LANG"):
        found = re.match(r"[a-z]{2,3}_([A-Z]{2})\b", os.environ.get(variable, ""))
        if found and exists(found[1]):
            return found[1]
    return "GB"


def _refuse_to_overwrite(folder: Path, texts: dict[str, str]) -> None:
    if folder.exists() and not folder.is_dir():
        message, mend = "a file stands where the folder is to be", "name another folder"
        raise AuthorError([Mistake("in-the-way", message, Place(str(folder)), mend)])
    there = [name for name in texts if (folder / name).exists()]
    if there:
        raise AuthorError(
            Mistake(
                "in-the-way",
                "there is such a file already, and nothing is overwritten",
                Place(str(folder / name)),
                "name another folder",
            )
            for name in there
        )
