"""import and export: what a bar already has comes in, and goes out again the same."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.diagnostics.yaml_reader import read_yaml
from anthocard.facts.stock import StockItem
from anthocard.house.csv_rows import IN_ROWS, as_row, columns, from_row, markdown, stock_line
from anthocard.house.model import KINDS
from anthocard.house.reader import read_house
from hypothesis import given, strategies as st

from tests.commands.conftest import ROOT

Run = Callable[..., object]
DEMO = ROOT / "recipes"


def figures(folder: Path) -> dict[str, Any]:
    """Everything a house says that a row can hold, by name."""
    return {recipe.name: recipe for recipe in read_house(folder).recipes}


def test_recipes_come_back_as_they_went(anthocard: Run, tmp_path: Path) -> None:
    """The demo house out as CSV, into an empty house, out again: the same bytes, same recipes."""
    house = tmp_path / "recipes"
    house.mkdir()
    for name in ("house.yaml",):
        (house / name).write_bytes((DEMO / name).read_bytes())
    first = {what: tmp_path / f"{what}.csv" for what in ("stock", "recipes")}
    again = {what: tmp_path / f"{what}-again.csv" for what in first}
    told = ""
    for what, path in first.items():
        out = anthocard("export", what, "--house", DEMO, "--out", path)
        assert out.returncode == 0, out.stderr
        told += out.stderr
        assert anthocard("import", what, path, "--house", house).returncode == 0
    for what, path in again.items():
        assert anthocard("export", what, "--house", house, "--out", path).returncode == 0
        assert path.read_bytes() == first[what].read_bytes()
    demo, copy = figures(DEMO), figures(house)
    # what CSV cannot hold is told by its key, and only that may differ
    lost = {tuple(found) for found in re.findall(r"^  (.+?): ([a-z_.]+)$", told, re.MULTILINE)}
    for name, recipe in demo.items():
        ours = {key.split(".")[0] for thing, key in lost if thing == name}
        kept = {key: value for key, value in dict(recipe).items() if key not in ours}
        assert {key: dict(copy[name])[key] for key in kept} == kept, name
    assert "a menu is no row" in told


def test_the_least_a_bar_has(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """Four columns, semicolons between them as some spreadsheets write, a BOM and CRLF."""
    sheet = tmp_path / "drinks.csv"
    sheet.write_bytes(
        "\ufeffname;glass;method;pours\r\n"
        'Noon;coupe;shaken;"50 ml gin; 20 ml lemon juice; 1 dash aromatic bitters"\r\n'.encode()
    )
    answer = anthocard("import", "recipes", sheet, "--house", bar)
    assert answer.returncode == 0, answer.stderr
    drink = read_house(bar).drinks["Noon"]
    assert [part.name for part in drink.pours] == ["gin", "lemon juice", "aromatic bitters"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("name,glas\nA,coupe\n", "did you mean “glass”?"),
        ("name,glass,method,pours\nA,coupe,stired,50 ml gin\n", "did you mean “stirred”?"),
        ("name,glass,method,pours\nA,coupe,stirred,50 mll gin\n", "did you mean “ml”?"),
        ("name,glass\nA,coupe\n", "“method” and “pours” are missing"),
        ("name,glass,method,pours\nA,coupe,stirred,50 ml gin, and lime\n", "more cells than"),
        ('name,glass\nA,"coupe\n', "this row cannot be read"),
        ("name,kind\nA,menu\n", "“menu” is not a kind of row"),
        ("name,glass,method,pours,price\nA,coupe,stirred,50 ml gin,£5\n", "a plain number"),
        (
            "name,glass,method,pours\nA,coupe,stirred,50 ml gin\nA,coupe,stirred,50 ml gin\n",
            "drinks/a.md is there already",
        ),
        ("name,glass,method,pours\nFirst Light,coupe,stirred,50 ml gin\n", "is there already"),
        ("", "its first row names the columns"),
    ],
)
def test_a_sheet_that_cannot_be_read(
    anthocard: Run, bar: Path, tmp_path: Path, text: str, told: str
) -> None:
    """Every row's mistakes at the sheet's own line; nothing at all is written."""
    sheet = tmp_path / "drinks.csv"
    sheet.write_text(text, encoding="utf-8")
    before = sorted(bar.rglob("*"))
    answer = anthocard("import", "recipes", sheet, "--house", bar)
    assert answer.returncode == 1
    assert told in answer.stderr
    assert f"{sheet}:" in answer.stderr
    assert sorted(bar.rglob("*")) == before


def test_not_utf_8_and_not_there(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """An old spreadsheet's Latin-1 is told with its line, a missing file by its name."""
    sheet = tmp_path / "drinks.csv"
    sheet.write_bytes(b"name,glass\nCaf\xe9,coupe\n")
    answer = anthocard("import", "recipes", sheet, "--house", bar)
    assert (answer.returncode, "the file is not saved as UTF-8" in answer.stderr) == (
        1, True,
    )  # fmt: skip
    answer = anthocard("import", "recipes", tmp_path / "no.csv", "--house", bar)
    assert answer.returncode == 4
    assert "no.csv: No such file" in answer.stderr


def test_stock_is_added_and_never_changed(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """New lines at the end, notes and old lines as they were; a known name is refused."""
    before = (bar / "stock.yaml").read_text(encoding="utf-8")
    sheet = tmp_path / "stock.csv"
    sheet.write_text(
        "name,kind,abv_percent,aliases,acids_g_per_l,allergens.contains,pack\n"
        '"marsh, dark",bitters,44 %,"marsh; bog",citric: 2.5; malic: 1,sulphites,100 ml\n'
        "vodka,,,,,,1 l\n",
        encoding="utf-8",
    )
    answer = anthocard("import", "stock", sheet, "--house", bar)
    assert answer.returncode == 0, answer.stderr
    assert (bar / "stock.yaml").read_text(encoding="utf-8").startswith(before)
    collection = read_house(bar)
    marsh = collection.stock["marsh, dark"]
    assert (marsh.abv_percent, marsh.aliases) == (44.0, ("marsh", "bog"))
    assert marsh.acids_g_per_l == {"citric": 2.5, "malic": 1.0}
    assert collection.stock["vodka"].abv_percent == 40.0
    again = anthocard("import", "stock", sheet, "--house", bar)
    assert again.returncode == 1
    assert "“vodka” has a line already" in again.stderr


def test_json_ld_is_a_recipe(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """Each recipe with what schema.org asks of one: name, ingredients with amounts, steps in order."""
    out = tmp_path / "all.jsonld"
    assert anthocard("export", "json-ld", "--house", bar, "--out", out).returncode == 0
    graph = json.loads(out.read_text(encoding="utf-8"))
    assert graph["@context"] == "https://schema.org"
    by_name = {one["name"]: one for one in graph["@graph"]}
    assert set(by_name) == set(figures(bar))
    drink = by_name["First Light"]
    assert drink["@type"] == "Recipe"
    assert drink["recipeIngredient"] == [
        "50 ml blue gin", "15 ml plain syrup", "7.5 ml sharp acid", "a sprig of thyme",
    ]  # fmt: skip
    assert [step["position"] for step in drink["recipeInstructions"]] == [1, 2]
    assert drink["recipeInstructions"][1]["text"] == "Fill the jug. The guest pours."
    assert by_name["blue gin"]["totalTime"] == "PT1H15M"


def test_to_standard_output_and_into_a_pipe(anthocard: Run, bar: Path) -> None:
    """Without --out the document alone is printed; what it cannot hold goes beside it."""
    answer = anthocard("export", "recipes", "--house", bar)
    rows = list(csv.DictReader(io.StringIO(answer.stdout)))
    assert [row["name"] for row in rows] == list(figures(bar))
    assert "notes behind #" in answer.stderr


@pytest.mark.parametrize("kind", [*IN_ROWS, "stock"])
def test_every_key_has_a_column_or_is_told(kind: str) -> None:
    """Columns follow the types: every key but those of nested lists, and each is listed once."""
    model = StockItem if kind == "stock" else KINDS[kind]
    names = [column.name for column in columns(kind)]
    assert len(names) == len(set(names))
    keys = {name.split(".")[0] for name in names}
    without = set(model.model_fields) - keys
    assert without <= {"guest_texts", "translations"}


def test_columns_are_listed(anthocard: Run) -> None:
    """The list a newcomer fills in, without a house."""
    answer = anthocard("import", "stock", "--columns")
    assert answer.returncode == 0
    assert "acids_g_per_l" in answer.stdout
    assert "reveal.pour" in anthocard("import", "recipes", "--columns").stdout


def test_what_a_row_cannot_hold_is_told() -> None:
    """A semicolon inside an entry and a list of lists come back as lost, by their keys."""
    data = {
        "kind": "drink", "name": "A", "garnish": ("a; b",), "glass": "coupe",
        "pours": ({"amount": "50 ml", "of": "gin"}, "5 ml lemon juice"),
        "translations": {"de": {"name": "B"}},
    }  # fmt: skip
    cells, lost = as_row("drink", data)
    assert cells["pours"] == "50 ml gin; 5 ml lemon juice"
    assert lost == ("garnish", "translations.de.name")


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), min_size=1).map(
    str.strip
).filter(bool)  # fmt: skip
ENTRY = WORDS.filter(lambda text: ";" not in text)


@given(name=WORDS, garnish=st.lists(ENTRY, min_size=1, max_size=3), price=st.integers(0, 500))
def test_any_words_survive_the_way_there_and_back(
    name: str, garnish: list[str], price: int
) -> None:
    """Front-matter to cells to a file to front-matter: nothing is read as anything else."""
    data = {
        "kind": "drink", "name": name, "garnish": tuple(garnish), "price": price,
        "allergens": {"checked": date(2026, 2, 3)},
    }  # fmt: skip
    cells, lost = as_row("drink", data)
    assert lost == ()
    back = from_row("drink", cells)
    log = MistakeLog()
    text = markdown(back)
    front = text.removeprefix("---\n").rpartition("---\n")[0]
    assert read_yaml(front, "x.md", log).data == data
    assert log.errors == ()


@given(name=WORDS, supplier=WORDS)
def test_any_stock_line_is_one_line(name: str, supplier: str) -> None:
    """A line of stock.yaml holds any name and supplier, and stays one line."""
    log = MistakeLog()
    line = stock_line({"name": name, "kind": "spirit", "supplier": supplier, "price": 9.5})
    assert line.count("\n") == 1
    page = read_yaml(line, "stock.yaml", log)
    assert log.errors == ()
    assert page.data == {name: {"kind": "spirit", "supplier": supplier, "price": 9.5}}
