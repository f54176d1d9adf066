"""Frozen values as text, and read back only where they are just what their types say.

Belongs here: writing down and reading values of our dataclasses. Does not belong here: which values
are kept (build/recipe_cache.py), where (store.py).

Nothing that is read is run, and no type is found by a name that stands in the text: whoever reads
says which type is wanted, and the hints of its fields say all others. Of a pydantic model nothing
is written but a mark: whoever reads hands in the one that belongs there.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

import numpy as np
from pydantic import BaseModel

#: Reads what JSON holds, with the model that belongs where one is marked.
Reader: TypeAlias = Callable[[Any, BaseModel | None], Any]
_PLAIN = (str, int, bool, NoneType)


def written(value: object) -> bytes:
    """A value as JSON; raises TypeError for one of a kind that `read` does not know."""
    return json.dumps(_plain(value), ensure_ascii=False, separators=(",", ":")).encode(
        errors="surrogatepass"
    )


def read(wanted: Any, content: bytes, model: BaseModel | None = None) -> Any:
    """The value of the type `wanted` again, with `model` where one stood.

    Raises ValueError for whatever is no such value, and RecursionError for what is nested deeply.
    """
    return _reader(wanted)(json.loads(content), model)


def _plain(value: object) -> object:
    kind: Any = type(value)
    if kind in _PLAIN:
        return value
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float):
        return [value.hex()] if value - value != 0.0 else float(value)  # JSON has no infinity
    if isinstance(value, BaseModel):
        return "model"
    if is_dataclass(value):
        return [_plain(getattr(value, name)) for name in _names(kind)]
    if isinstance(value, np.ndarray) and value.dtype == np.float64:
        return [list(value.shape), [*map(_plain, value.ravel().tolist())]]
    if isinstance(value, Mapping):
        return [[_plain(name), _plain(one)] for name, one in value.items()]
    if isinstance(value, frozenset):
        return sorted(map(_plain, value), key=repr)
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{kind.__name__} is not written down")


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(part.name for part in fields(kind))


@cache
def _reader(wanted: Any) -> Reader:
    """How a value of one type is read; found once a type, since thousands are read in a row."""
    kind, inner = get_origin(wanted) or wanted, get_args(wanted)
    if kind in (Union, UnionType):
        return _one_of(inner)
    if kind is Literal:
        return _plainly(lambda plain: plain in inner, wanted)
    if kind in _PLAIN:
        return _plainly(lambda plain: type(plain) is kind, wanted)
    if kind is float:
        return lambda plain, _: _number(plain)
    if kind is date:
        return _day
    if is_dataclass(kind):
        return _parts(kind)
    if issubclass(kind, BaseModel):
        return _model(kind)
    return _several(kind, inner)


def _plainly(is_one: Callable[[Any], bool], wanted: Any) -> Reader:
    def read_plain(plain: Any, model: BaseModel | None) -> Any:
        if is_one(plain):
            return plain
        raise ValueError(f"this is no {wanted}")

    return read_plain


def _day(plain: Any, model: BaseModel | None) -> date:
    if not isinstance(plain, str):
        raise ValueError("this is no date")
    return date.fromisoformat(plain)


def _model(kind: type) -> Reader:
    def read_mark(plain: Any, model: BaseModel | None) -> Any:
        if plain == "model" and isinstance(model, kind):
            return model
        raise ValueError(f"this is no {kind}")

    return read_mark


def _one_of(kinds: tuple[Any, ...]) -> Reader:
    readers = [_reader(kind) for kind in kinds if kind is not NoneType]
    may_be_none = NoneType in kinds

    def read_one(plain: Any, model: BaseModel | None) -> Any:
        if plain is None and may_be_none:
            return None
        for reader in readers:
            try:
                return reader(plain, model)
            except ValueError:
                continue
        raise ValueError("this is none of the kinds it could be")

    return read_one


def _parts(kind: Any) -> Reader:
    readers: list[Reader] = []  # found when the first is read: a kind may hold its own

    def read_parts(plain: Any, model: BaseModel | None) -> Any:
        if not readers:
            hints = get_type_hints(kind)
            readers.extend(_reader(hints[part.name]) for part in fields(kind))
        pairs = zip(readers, _as_list(plain), strict=True)
        return kind(*[reader(one, model) for reader, one in pairs])

    return read_parts


def _several(kind: type, inner: tuple[Any, ...]) -> Reader:
    if kind is np.ndarray:
        return _array
    if not issubclass(kind, tuple | frozenset | Mapping):
        raise ValueError(f"nothing is kept as {kind}")
    if kind is tuple and inner[1:] != (...,):
        return _row(inner)
    each, made = (
        (_row(inner), dict) if issubclass(kind, Mapping) else (_reader(inner[0]), kind)
    )  # fmt: skip
    return lambda plain, model: made([each(one, model) for one in _as_list(plain)])


def _row(inner: tuple[Any, ...]) -> Reader:
    readers = [_reader(one) for one in inner]

    def read_row(plain: Any, model: BaseModel | None) -> tuple[Any, ...]:
        pairs = zip(readers, _as_list(plain), strict=True)
        return tuple([reader(one, model) for reader, one in pairs])

    return read_row


def _array(plain: Any, model: BaseModel | None) -> np.ndarray[Any, Any]:
    shape, numbers = _as_list(plain)
    return np.array([_number(one) for one in numbers], dtype=np.float64).reshape(shape)


def _as_list(plain: Any) -> list[Any]:
    if not isinstance(plain, list):
        raise ValueError("this is no list")
    return plain


def _number(plain: Any) -> float:
    if type(plain) is float:
        return plain
    if isinstance(plain, list):
        (text,) = plain
        return float.fromhex(text)
    if type(plain) is not int:
        raise ValueError("this is no number")
    return plain
