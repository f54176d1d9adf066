"""schema: what an editor is told is what the reader takes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from anthocard.commands.begin import STARTER
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.yaml_reader import Document, read_yaml
from anthocard.house.files import split_front_matter
from anthocard.house.json_schema import schemas, written
from anthocard.house.reader import Collection, read_house

from tests.commands.conftest import ROOT

Run = Callable[..., object]
BROKEN = ROOT / "tests" / "house" / "broken"


@cache
def demo() -> Collection:
    return read_house(ROOT / "recipes")


def plain(value: Any) -> Any:
    """Values as an editor sees them: days are text to it."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple):
        return [plain(inner) for inner in value]
    return value.isoformat() if isinstance(value, date) else value


def objections(kind: str, data: Any, collection: Collection | None = None) -> list[str]:
    checker = jsonschema.Draft202012Validator(schemas(collection)[kind])
    return [error.message for error in checker.iter_errors(plain(data))]


def documents(collection: Collection) -> Iterator[tuple[str, Document]]:
    seen = set()
    for (sort, _), page in collection.pages.items():
        kind = {"House": "house", "StockItem": "stock", "Lot": "lots"}.get(sort, sort.lower())
        if id(page.document) not in seen:
            seen.add(id(page.document))
            yield kind, page.document


def test_every_schema_is_one() -> None:
    """By the draft's own meta-schema (JSON Schema 2020-12), one a kind and one a YAML file."""
    for collection in (None, demo()):
        made = schemas(collection)
        assert list(made) == [
            "house", "stock", "lots", "infusion", "solution", "syrup", "preparation", "drink", "menu",
        ]  # fmt: skip
        for schema in made.values():
            jsonschema.Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("folder", [ROOT / "recipes", STARTER], ids=["demo", "starter"])
def test_what_is_right_is_not_objected_to(folder: Path) -> None:
    """Every file of the demo house and of the starter, with and without the house's own names."""
    collection = read_house(folder)
    for kind, document in documents(collection):
        assert objections(kind, document.data) == [], document.path
        assert objections(kind, document.data, collection) == [], document.path


@pytest.mark.parametrize(
    ("case", "kind"),
    [
        ("unknown-key.md", "drink"), ("missing-unit.md", "drink"),
        ("not-a-choice.md", "drink"), ("wrong-type.md", "drink"), ("no-pours.md", "drink"),
        ("bare-numbers.md", "drink"), ("solution-key.md", "solution"),
        ("infusion-missing.md", "infusion"), ("menu-unknown-key.md", "menu"),
        ("house-unknown-keys.yaml", "house"), ("stock-kinds.yaml", "stock"),
        ("stock-numbers.yaml", "stock"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_seen_while_typing(case: str, kind: str) -> None:
    """Keys, units, choices and shapes that the reader refuses, the schema refuses too."""
    log = MistakeLog()
    text = (BROKEN / case).read_text(encoding="utf-8")
    if case.endswith(".md"):
        source = split_front_matter(text, case, kind, log)
        assert source is not None
        text = source.front
    assert objections(kind, read_yaml(text, case, log).data) != []


def offered(schema: Any) -> set[str]:
    """Every name a schema suggests, anywhere in it."""
    if isinstance(schema, dict):
        names = {name for name in schema.get("enum", ()) if isinstance(name, str)}
        return names.union(*map(offered, schema.values()))
    return set().union(*map(offered, schema)) if isinstance(schema, list) else set()


def test_known_names_are_offered() -> None:
    """Plants, acids, stock, glasses, methods and the house's own things, each where it is written."""
    made = schemas(demo())
    drink = made["drink"]
    assert {"coupe", "shaken", "30 ml gin", "30 ml butterfly-pea gin"} <= offered(drink)
    assert "dried red cabbage" in offered(made["infusion"]["properties"]["plant"])
    assert "gin" in offered(made["infusion"]["properties"]["into"])
    assert {"citric", "malic"} <= offered(made["stock"])
    assert "gin" in made["stock"]["properties"]
    assert "Set Fair" in offered(made["menu"])
    assert "guest_text" not in written(drink)


def test_a_name_of_ones_own_is_no_mistake() -> None:
    """A glass or a bottle that is not written down yet is for the reader to ask about."""
    data = {
        "name": "A", "glass": "my own", "method": "built", "pours": ["50 ml of my own"],
        "reveal": {"pour": "something new", "amount": "5 ml"}, "garnish": "a leaf",
    }  # fmt: skip
    assert objections("drink", data, demo()) == []


def test_the_command_writes_them(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """Into the house by default, elsewhere with --out, one to standard output with --print."""
    assert anthocard("schema", "--house", bar, "--out", tmp_path / "s").returncode == 0
    assert len(list((tmp_path / "s").glob("*.json"))) == 9
    assert anthocard("schema", "--house", bar).returncode == 0
    told = anthocard("schema", "--house", bar, "--print", "menu").stdout
    assert json.loads(told)["title"] == "Front-matter of a menu"
