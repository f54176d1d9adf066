"""Recipes and stock as rows of a table, and rows as recipes: what CSV can hold, and what it cannot.

Belongs here: which column stands for which key, cells to front-matter and back. Does not belong
here: files (the commands), what is allowed in a key (the types).

Columns are the keys of the front-matter; a key inside a key is joined by a full stop
(`reveal.pour`). A list is one cell, its entries parted by semicolons (`50 ml gin; 10 ml syrup`); so
are pairs (`citric: 48; malic: 2`); steps and several reveals are one list of JSON. `guest_text` and
`staff_text` hold the two halves of the body.
An empty cell is a key left out. The columns follow the types, so a new key has its column at once.
"""

from __future__ import annotations

import json
import re
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from anthocard.diagnostics.plain_scalars import plain_value
from anthocard.facts.stock import StockItem
from anthocard.facts.units.fields import Part
from anthocard.house.body import starts_staff
from anthocard.house.messages import HIDDEN
from anthocard.house.model import KINDS

BODY: Final = ("guest_text", "staff_text")
#: Kinds that a row can hold: a menu's sections are lists of lists, so it cannot.
IN_ROWS: Final = ("infusion", "solution", "syrup", "preparation", "drink")
_PLAIN: Final = re.compile(r"[^\W_](?:[\w .,/%()+°×½¼¾⅓⅔⅛'’–-]*[\w.%)½¼¾⅓⅔⅛])?")
_INSIDE: Final = re.compile(r"[^\W_](?:[\w ./%()+°×½¼¾⅓⅔⅛-]*[\w.%)½¼¾⅓⅔⅛])?")
Shape = Literal["words", "value", "list", "pairs", "steps"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, the way to its key, and how a cell of it is read."""

    name: str
    loc: tuple[str, ...]
    shape: Shape


@cache
def columns(kind: str) -> tuple[Column, ...]:
    """The columns of one kind of recipe, or of `stock`, in the order of its keys."""
    model: type[BaseModel] = StockItem if kind == "stock" else KINDS[kind]
    found = [c for c in _columns(model, ()) if c.name not in HIDDEN | {"kind", "name"}]
    first = [Column(name, (name,), "words") for name in ("kind", "name")]
    body = [Column(name, (name,), "words") for name in BODY if kind != "stock"]
    return (*first, *found, *body)


def as_row(kind: str, data: Mapping[str, Any]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Cells by column of one recipe's or bottle's keys, and the keys that no cell can hold."""
    cells: dict[str, str] = {}
    lost = set(_leaves(data))
    for column in columns(kind):
        value = _at(data, column.loc)
        if value is None:
            continue
        cell = _cell(value, column.shape)
        if cell is not None:
            cells[column.name] = cell
            lost -= {leaf for leaf in lost if leaf[: len(column.loc)] == column.loc}
    return cells, tuple(sorted(".".join(leaf) for leaf in lost))


def from_row(kind: str, cells: Mapping[str, str]) -> dict[str, Any]:
    """Keys of one recipe or bottle from its cells; columns of another name are left out."""
    data: dict[str, Any] = {}
    for column in columns(kind):
        cell = cells.get(column.name, "").strip()
        if not cell:
            continue
        inner = data
        for key in column.loc[:-1]:
            inner = inner.setdefault(key, {})
        inner[column.loc[-1]] = _value(cell, column.shape)
    return data


def markdown(data: Mapping[str, Any]) -> str:
    """A recipe file: front-matter from all keys but the two halves of the body, then those."""
    front = "".join(_block(key, value, "") for key, value in data.items() if key not in BODY)
    guest, staff = (str(data.get(name, "")).strip() for name in BODY)
    if staff and not starts_staff(staff.partition("\n")[0]):
        staff = f"## Method\n\n{staff}"
    body = "\n\n".join(part for part in (guest, staff) if part)
    return f"---\n{front}---\n{body}\n" if body else f"---\n{front}---\n"


def stock_line(data: Mapping[str, Any]) -> str:
    """One line of stock.yaml."""
    keys = {key: value for key, value in data.items() if key != "name"}
    return f"{_word(str(data['name']), _INSIDE)}: {_flow(keys)}\n"


def _columns(model: type[BaseModel], within: tuple[str, ...]) -> Iterator[Column]:
    for name, info in model.model_fields.items():
        loc = (*within, info.alias or name)
        yield from _column(info.annotation, loc)


def _column(annotation: Any, loc: tuple[str, ...]) -> Iterator[Column]:
    kinds = [kind for kind in _alternatives(annotation) if kind is not type(None)]
    name = ".".join(loc)
    if loc in (("steps",), ("reveals",)):
        yield Column(name, loc, "steps")
        return
    if any(_is_model(kind) for kind in kinds):
        yield from _columns(next(kind for kind in kinds if _is_model(kind)), loc)
    elif any(get_origin(kind) is tuple for kind in kinds):
        inner = next(get_args(kind)[0] for kind in kinds if get_origin(kind) is tuple)
        if not any(_is_model(one) or get_origin(one) is tuple for one in _alternatives(inner)):
            yield Column(name, loc, "list")
    elif any(get_origin(kind) is dict for kind in kinds):
        if not _is_model(get_args(kinds[0])[1]):
            yield Column(name, loc, "pairs")
    else:
        words = all(kind is str or get_origin(kind) is Literal for kind in kinds)
        yield Column(name, loc, "words" if words else "value")


def _alternatives(annotation: Any) -> Iterator[Any]:
    """What an annotation may be, freed of Annotated and taken out of unions."""
    if get_origin(annotation) is Annotated:
        yield from _alternatives(get_args(annotation)[0])
    elif get_origin(annotation) in (Union, types.UnionType):
        for one in get_args(annotation):
            yield from _alternatives(one)
    else:
        yield annotation


def _is_model(kind: Any) -> bool:
    """Whether a type has keys of its own; a line of a recipe is told as words, so it has not."""
    return isinstance(kind, type) and issubclass(kind, BaseModel) and not issubclass(kind, Part)


def _leaves(data: Any, within: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    if isinstance(data, Mapping) and data:
        for key, value in data.items():
            yield from _leaves(value, (*within, str(key)))
    else:
        yield within


def _at(data: Any, loc: tuple[str, ...]) -> Any:
    for key in loc:
        if not isinstance(data, Mapping):
            return None
        data = data.get(key)
    return data


def _cell(value: Any, shape: Shape) -> str | None:
    """One cell, or None where the value would not come back from it as it was."""
    if shape == "list":
        entries = value if isinstance(value, tuple) else (value,)
        return _joined([_entry(one) for one in entries])
    if shape == "steps":
        return json.dumps(value, ensure_ascii=False)
    if shape == "pairs":
        if not isinstance(value, Mapping):
            return None
        return _joined([_pair(key, one) for key, one in value.items()])
    return None if isinstance(value, Mapping | tuple) else _shown(value)


def _joined(entries: list[str | None]) -> str | None:
    kept = [one for one in entries if one is not None and ";" not in one and one == one.strip()]
    return "; ".join(kept) if len(kept) == len(entries) and all(kept) else None


def _entry(value: Any) -> str | None:
    """An entry of a list; a recipe's line written out as a mapping becomes one of words."""
    if isinstance(value, Mapping):
        if set(value) <= {"amount", "of", "lies"} and {"amount", "of"} <= set(value):
            return _line(str(value["amount"]), str(value["of"]), value.get("lies", "in"))
        return f"{value['of']} until {value['until']}" if set(value) == {"of", "until"} else None
    return None if isinstance(value, tuple) else _shown(value)


def _line(amount: str, name: str, lies: object) -> str | None:
    """A pour as a line of words; None for one that no line says."""
    words = {"in": "", "on top": "float ", "below": "sink "}
    if not isinstance(lies, str) or lies not in words:
        return None
    top = amount.split()[:1] == ["top"]
    return f"top up with {name}" if top and lies == "in" else f"{words[lies]}{amount} {name}"


def _pair(key: str, value: Any) -> str | None:
    return None if isinstance(value, Mapping | tuple) else f"{key}: {_shown(value)}"


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return value.isoformat() if isinstance(value, date) else str(value)


def _value(cell: str, shape: Shape) -> Any:
    if shape == "words":
        return cell
    if shape == "value":
        return _read(cell)
    if shape == "steps":
        return _steps(cell)
    entries = [entry.strip() for entry in cell.split(";") if entry.strip()]
    if shape == "list":
        return tuple(entries)
    pairs = (entry.partition(":") for entry in entries)
    return {key.strip(): _read(value.strip()) for key, _, value in pairs}


def _steps(cell: str) -> Any:
    """Steps from their JSON; what is none stays as it is, for the reader to say so."""
    try:
        steps = json.loads(cell)
    except ValueError:
        return cell
    return _as_tuples(steps)


def _as_tuples(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(map(_as_tuples, value))
    if isinstance(value, dict):
        return {key: _as_tuples(one) for key, one in value.items()}
    return value


def _read(text: str) -> Any:
    """A number, a day, true or false where the text is one; else the text itself."""
    value, trouble = plain_value(text)
    return text if trouble else value


def _block(key: str, value: Any, indent: str) -> str:
    if isinstance(value, Mapping):
        inner = "".join(_block(k, one, f"{indent}  ") for k, one in value.items())
        return f"{indent}{_word(key)}:\n{inner}"
    if isinstance(value, tuple):
        lines = "".join(f"{indent}  - {_step(one)}\n" for one in value)
        return f"{indent}{key}:\n{lines}"
    return f"{indent}{_word(key)}: {_scalar(value)}\n"


def _step(value: Any) -> str:
    """One entry of a list: a value, or a step with its settings in braces."""
    return _flow(value) if isinstance(value, Mapping) else _scalar(value)


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        pairs = (f"{_word(str(key), _INSIDE)}: {_flow(one)}" for key, one in value.items())
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, tuple):
        return "[" + ", ".join(_flow(one) for one in value) + "]"
    return _scalar(value, _INSIDE)


def _scalar(value: Any, plain: re.Pattern[str] = _PLAIN) -> str:
    return _word(value, plain) if isinstance(value, str) else _shown(value)


def _word(text: str, plain: re.Pattern[str] = _PLAIN) -> str:
    """Text as YAML: bare where nobody can misread it, else in double quotes."""
    bare = plain.fullmatch(text) is not None and plain_value(text) == (text, None)
    return text if bare else json.dumps(text, ensure_ascii=False)
