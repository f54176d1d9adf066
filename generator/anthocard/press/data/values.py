"""Frozen values as text, and read back only where they are just what their types say.

Belongs here: writing down and reading values of our dataclasses. Does not belong here: which values
are kept (build/recall.py), where (store.py).

Nothing that is read is run, and no type is found by a name that stands in the text: whoever reads
says which type is wanted, and the hints of its fields say all others. Of a pydantic model nothing
is written but a mark: whoever reads hands in the one that belongs there.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
from pydantic import BaseModel

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
    return _made(wanted, json.loads(content), model)


def _plain(value: object) -> object:
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        return [value.hex()] if value - value != 0.0 else float(value)  # JSON has no infinity
    if isinstance(value, BaseModel):
        return "model"
    if is_dataclass(value):
        return [_plain(getattr(value, part.name)) for part in fields(value)]
    if isinstance(value, np.ndarray) and value.dtype == np.float64:
        return [list(value.shape), [*map(_plain, value.ravel().tolist())]]
    if isinstance(value, Mapping):
        return [[_plain(name), _plain(one)] for name, one in value.items()]
    if isinstance(value, frozenset):
        return sorted(map(_plain, value), key=repr)
    if isinstance(value, tuple):
        return [*map(_plain, value)]
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} is not written down")


def _made(wanted: Any, plain: Any, model: BaseModel | None) -> Any:
    kind, inner = get_origin(wanted) or wanted, get_args(wanted)
    if kind in (Union, UnionType):
        return _one_of(inner, plain, model)
    if kind is Literal and plain in inner:
        return plain
    if kind in _PLAIN and type(plain) is (kind if kind is not None else NoneType):
        return plain
    if kind is float:
        return _number(plain)
    if kind is date and isinstance(plain, str):
        return date.fromisoformat(plain)
    if isinstance(kind, type) and isinstance(model, kind) and plain == "model":
        return model
    if isinstance(plain, list) and isinstance(kind, type):
        return _several(kind, inner, plain, model)
    raise ValueError(f"this is no {wanted}")


def _one_of(kinds: tuple[Any, ...], plain: Any, model: BaseModel | None) -> Any:
    if plain is None and NoneType in kinds:
        return None
    for kind in kinds:
        try:
            return _made(kind, plain, model)
        except ValueError:
            continue
    raise ValueError("this is none of the kinds it could be")


def _several(kind: type, inner: tuple[Any, ...], plain: list[Any], model: BaseModel | None) -> Any:
    if is_dataclass(kind):
        hints = _hints(kind)
        return kind(*(_made(h, one, model) for h, one in zip(hints, plain, strict=True)))
    if kind is tuple and inner[1:] == (...,):
        return tuple(_made(inner[0], one, model) for one in plain)
    if kind is tuple:
        return tuple(_made(h, one, model) for h, one in zip(inner, plain, strict=True))
    if kind is frozenset:
        return frozenset(_made(inner[0], one, model) for one in plain)
    if issubclass(kind, Mapping):
        return dict(_several(tuple, inner, pair, model) for pair in plain)
    if kind is np.ndarray:
        shape, numbers = plain
        return np.array([*map(_number, numbers)], dtype=np.float64).reshape(shape)
    raise ValueError(f"nothing is kept as {kind}")


def _number(plain: Any) -> float:
    if isinstance(plain, list):
        (text,) = plain
        return float.fromhex(text)
    if type(plain) not in (float, int):
        raise ValueError("this is no number")
    number: float = plain
    return number


@cache
def _hints(kind: type) -> tuple[Any, ...]:
    hints = get_type_hints(kind)
    return tuple(hints[part.name] for part in fields(kind))
