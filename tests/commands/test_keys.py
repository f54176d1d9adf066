"""What can be written: every key is listed, and every example can be written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import pytest
import yaml
from anthocard.diagnostics.tables import read_table
from anthocard.facts.stock import StockItem
from anthocard.house.json_schema import TITLES, schemas
from anthocard.house.lots import Lot
from anthocard.house.messages import HIDDEN
from anthocard.house.model import KINDS
from anthocard.house.settings import House
from anthocard.terminal.keys import Key, called, keys_of
from anthocard.terminal.lists import LISTS
from pydantic import BaseModel, ValidationError

Run = Callable[..., object]
MODELS: Final[dict[str, type[BaseModel]]] = {
    "house": House, "stock": StockItem, "lots": Lot, **KINDS
}  # fmt: skip
#: Those with a line of their own; the examples of others are made from their types.
NOTES: Final = read_table("anthocard.terminal", "keys.yaml")["_keys"]


@pytest.mark.parametrize("kind", list(TITLES))
def test_every_key_is_there(kind: str) -> None:
    """Those of the types, and no other; a name that is the line's own is none."""
    own = {info.alias or name for name, info in MODELS[kind].model_fields.items()}
    found = {key.path for key in keys_of(kind) if "." not in key.path}
    assert found == own - HIDDEN - ({"name"} if kind == "stock" else set())
    assert set(schemas()) == set(TITLES)


@pytest.mark.parametrize("kind", list(TITLES))
def test_every_example_can_be_written(kind: str) -> None:
    """It is one line of YAML with that key, and the type of the key takes it."""
    noted = [
        key
        for key in keys_of(kind)
        if "." not in key.path and {key.path, f"{kind}.{key.path}"} & {*NOTES}
    ]
    assert noted
    for key in noted:
        _can_be_written(key)


def _can_be_written(key: Key) -> None:
    row: Any = yaml.safe_load(key.example)
    assert list(row) == [key.path]
    value = _plain(row[key.path])
    try:
        MODELS[key.kind].model_validate({key.path: value}, strict=True)
    except ValidationError as error:
        wrong = [one for one in error.errors() if one["loc"][:1] == (key.path,)]
        assert not [one for one in wrong if one["type"] != "missing"], key.example


def _plain(value: Any) -> Any:
    """Lists as our own reader of YAML gives them."""
    if isinstance(value, list):
        return tuple(map(_plain, value))
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return value


@pytest.mark.parametrize(
    "word", [*TITLES, "drinks", *LISTS, "wish", "price", "until", "ICE TEMPERATURE"]
)
def test_explain_answers_for_it(anthocard: Run, bar: Path, word: str) -> None:
    """Kinds of files, keys of any kind, and the lists of what there is."""
    answer = anthocard("explain", word, "--house", bar)
    assert answer.returncode == 0, answer.stderr
    assert len(answer.stdout.splitlines()) > 2


def test_a_key_of_two_files_is_told_of_both() -> None:
    """A price is a bottle's and a drink's."""
    assert {key.kind for key in called("price")} == {"stock", "drink"}
    assert [key.path for key in called("reveal.pour")] == ["reveal.pour"]
