"""Every mend there is, told by a text that wants it: followed, the mistake is gone and none is new.

mends.yaml holds a text for each mend of the package, and the reason where none can be followed. A
mend that is added to the package without a row there fails here.
"""

from __future__ import annotations

import re
import shutil
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.house.reader import read_house
from anthocard.press.proof.house_warnings import house_warnings
from anthocard.press.store.store import Store
from anthocard.terminal.houses import house_computed

from tests.commands.test_slips import SLIPS
from tests.mend_sources import HOLE, sources
from tests.pasting import offered, pasted

TABLE: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "mends.yaml").read_text("utf-8"))
ROWS: list[dict[str, Any]] = [
    {"in": SLIPS[row["as"]]["file"], **SLIPS[row["as"]], **row} if "as" in row else row
    for rows in TABLE["followed"].values()
    for row in rows
]
BEGUN = Path(__file__).parents[1] / "begun"
MADE = """\
---
kind: preparation
name: probe
steps:
{steps}
keeps: 1 day
store: 5 °C or colder
---
A probe.
"""
Texts = Mapping[str, str]


#: Kinds that tell what nobody knows of what is used now, not what is wrong with it.
UNKNOWN = ("default", "no-allergen-record", "untranslated", "process-", "hazard-limited")


class House:
    """A small house, written anew with other texts, and what is told of it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.store = folder / "bar", Store(folder / "store")
        shutil.copytree(BEGUN, self.folder)
        self.known: dict[tuple[Any, ...], list[Mistake]] = {}
        self.before = self.told({})

    def told(self, texts: Texts, figures: bool = True) -> list[Mistake]:
        """What proofreading tells with some files written otherwise, but for what setting shows.

        Without `figures` only what reading tells: nothing is worked out.
        """
        others = {name: text for name, text in texts.items() if text != begun().get(name)}
        key = (figures, *sorted(others.items()))
        if key not in self.known:
            self.known[key] = self._read(others, figures)
        return self.known[key]

    def _read(self, texts: Texts, figures: bool) -> list[Mistake]:
        for name, text in texts.items():
            (self.folder / name).parent.mkdir(exist_ok=True)
            (self.folder / name).write_text(text, encoding="utf-8")
        try:
            if not figures:
                return list(read_house(self.folder).warnings)
            collection, computed, found = house_computed(self.folder, self.store)
            return list(house_warnings(collection, computed, found, date.today()))
        except AuthorError as error:
            return list(error.mistakes)
        finally:
            for name in texts:
                if name in begun():
                    (self.folder / name).write_text(begun()[name], encoding="utf-8")
                else:
                    (self.folder / name).unlink()


@cache
def begun() -> Texts:
    """The texts of the small house by the names of their files."""
    files = [path for path in BEGUN.rglob("*") if path.is_file()]
    return {str(path.relative_to(BEGUN)): path.read_text("utf-8") for path in files}


def text_of(name: str, texts: Texts) -> str:
    return texts[name] if name in texts else begun()[name]


def edited(texts: Texts, name: str, change: str | Sequence[str] | None) -> Texts:
    """The texts with one written otherwise: whole, each second of `change` for the first, or away."""
    if change is None:
        return {key: text for key, text in texts.items() if key != name}
    if isinstance(change, str):
        return {**texts, name: change}
    text = text_of(name, texts)
    for old, new in zip(change[::2], change[1::2], strict=True):
        assert old in text, f"“{old}” stands nowhere in {name}"
        text = text.replace(old, new, 1)
    return {**texts, name: text}


def wrong_of(row: Mapping[str, Any]) -> tuple[str, Texts]:
    """The file a row is about, and the texts that want its mend."""
    texts: Texts = {}
    for name, change in row.get("with", {}).items():
        texts = edited(texts, name, change)
    if "steps" in row:
        name = "preparations/probe.md"
        steps = "\n".join(f"  {line}" for line in row["steps"].rstrip().split("\n"))
        return name, {**texts, name: MADE.format(steps=steps)}
    if "add" in row:
        return row["in"], {**texts, row["in"]: f"{text_of(row['in'], texts)}{row['add']}\n"}
    return row["in"], edited(texts, row["in"], row["slip"])


def followed(name: str, texts: Texts, mistake: Mistake, row: Mapping[str, Any]) -> Iterator[Texts]:
    """The texts with the mend followed, once for each thing that it says may be done."""
    if "then" not in row:
        offer = offered(mistake)
        assert offer is not None, f"nothing can be pasted: {mistake.mend}"
        at = mistake.place.path.partition("/")[2]
        yield {**texts, at: pasted(text_of(at, texts), mistake, offer)}
    for change in row.get("then", ()):
        if isinstance(change, dict):
            after = texts
            for other, edits in change.items():
                after = edited(after, other, edits)
            yield after
        else:
            yield edited(texts, name, change)


def pattern(template: str) -> re.Pattern[str]:
    return re.compile(".*".join(map(re.escape, template.split(HOLE))), re.DOTALL)


def says(mistake: Mistake, row: Mapping[str, Any]) -> bool:
    """Whether a mistake gives the mend of a row: by its text, or, for a nearest word, by kind."""
    if "kind" in row and "as" not in row:
        return bool(mistake.kind == row["kind"])
    return pattern(row["mend"]).fullmatch(mistake.mend) is not None


def faults(row: Mapping[str, Any], house: House) -> Iterator[str]:
    name, texts = wrong_of(row)
    wrong = house.told(texts)
    known = {(one.kind, one.message) for one in (*house.before, *wrong)}
    kinds = Counter((one.kind, one.place.path) for one in (*house.before, *wrong))
    mistake = next((one for one in wrong if says(one, row)), None)
    if mistake is None:
        yield f"not told: {[(one.kind, one.mend) for one in wrong if one not in house.before]}"
        return
    for after in followed(name, texts, mistake, row):
        # What is wrong in the form of house.yaml or stock.yaml is no matter of figures.
        found = house.told(after, mistake.severity != "error" or not name.endswith(".yaml"))
        left = [one for one in found if (one.kind, one.message) == (mistake.kind, mistake.message)]
        new = [
            one
            for one in found
            if (one.kind, one.message) not in known
            and (one.severity == "error" or (one.kind, one.place.path) not in kinds)
            and one.severity != "hint"
            and not one.kind.startswith((*UNKNOWN, *row.get("still", ())))
        ]
        if left or new:
            yield f"followed, and then: {(left + new)[0]}"


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> House:
    return House(tmp_path_factory.mktemp("mends"))


def test_every_mend_can_be_followed(house: House) -> None:
    """The mistake is gone then, and nothing else is wrong that was right before."""
    # What slips.yaml has pasted is pasted by its own test.
    rows = [row for row in ROWS if "then" in row or "as" not in row]
    found = [f"{row['mend']}\n   {why}" for row in rows for why in faults(row, house)]
    assert found == []


def test_no_mend_is_without_a_row() -> None:
    """Each text of the package is followed here, or it is said why nobody can follow it."""
    unfollowed = {**TABLE["asked"], **TABLE["elsewhere"]}.values()
    known = {row["mend"] for row in ROWS} | {text for texts in unfollowed for text in texts}
    given = sources()
    assert sorted({*given} - known) == []
    assert sorted(known - {*given}) == []
