"""Conditions written as data: does a row of a table apply to this thing?

Belongs here: the small language of `when:` in rules.yaml and keeping.yaml. Does not belong here:
what the rows say, nor where the facts they ask about come from (the engine).

A condition is a mapping, and all of it must hold. Asked about a frozen dataclass, a key is

    field: true / false       the field is true, or holds anything at all; or is not, or does not
    field: [words]            a text says one of the words; a set holds one of them
    field_below: 6            a number compares so: _below, _at_most, _above, _at_least;
                              an unknown number (None) compares with nothing, and one that comes
                              to the limit but for a rounding is at it
    field: {condition}        one at least of a tuple of dataclasses meets the inner condition
    any: [conditions]         one of them holds
    not: {condition}          it does not hold

A word is found whole, whatever its case, also in its plain plural: “stem” finds “Stems”, not
“system”.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from functools import cache, lru_cache
from typing import Any, Final, TypeAlias, get_args, get_type_hints

from anthocard.diagnostics.tables import TableError

Condition: TypeAlias = Mapping[str, Any]
#: Whether a condition holds of a dataclass value.
Test: TypeAlias = Callable[[Any], bool]

#: What comes to a limit but for the last digits of its working out has come to it. Chosen: far
#: below what anybody can measure, far above what a sum of floats loses.
_NEAR: Final = 1e-9


def _reaches(number: float, limit: float) -> bool:
    return number >= limit - _NEAR * abs(limit)


def _keeps(number: float, limit: float) -> bool:
    return number <= limit + _NEAR * abs(limit)


_COMPARE: Final[Mapping[str, Callable[[float, float], bool]]] = {
    "_below": lambda number, limit: not _reaches(number, limit),
    "_at_most": _keeps,
    "_above": lambda number, limit: not _keeps(number, limit),
    "_at_least": _reaches,
}


def asked(when: Condition) -> Test:
    """A checked condition as a function: whether every key of it is met by a dataclass value."""
    tests = [_asked(key, wanted) for key, wanted in when.items()]

    def holds(about: Any) -> bool:
        for test in tests:  # noqa: SIM110  # hundreds of times a recipe
            if not test(about):
                return False
        return True

    return tests[0] if len(tests) == 1 else holds


def check(when: object, about: type, where: str) -> None:
    """Raise TableError where a condition is not one, or asks what `about` cannot answer."""
    if not isinstance(when, Mapping) or not when:
        raise TableError(f"{where}: a condition must map at least one key")
    hints = _hints(about)
    for key, wanted in when.items():
        if key == "not":
            check(wanted, about, where)
        elif key == "any":
            if not isinstance(wanted, list) or not wanted:
                raise TableError(f"{where}: any must list conditions")
            for one in wanted:
                check(one, about, where)
        elif (compared := _compared(key)) is not None:
            if not _is_numeric(hints.get(compared[0])) or not _is_number(wanted):
                raise TableError(f"{where}: {key} compares no number of {about.__name__}")
        elif key not in hints:
            raise TableError(f"{where}: {key} is not a fact of {about.__name__}")
        elif isinstance(wanted, Mapping):
            inner = [arg for arg in get_args(hints[key]) if is_dataclass(arg)]
            if not inner:
                raise TableError(f"{where}: {key} has nothing inside")
            check(wanted, inner[0], where)  # type: ignore[arg-type]  # is_dataclass allows values
        elif isinstance(wanted, list):
            if hints[key] not in (str, frozenset[str]):
                raise TableError(f"{where}: {key} has no words")
        elif not isinstance(wanted, bool):
            raise TableError(f"{where}: {key} takes true, false or a list of words")


@lru_cache(maxsize=16384)
def says(text: str, word: str) -> bool:
    """Whether a text holds a word (or a phrase) whole, case aside, in singular or plain plural."""
    # Most texts hold nothing like it: of hundreds of patterns few are ever made.
    return word.casefold() in text.casefold() and _pattern(word).search(text) is not None


def _asked(key: str, wanted: Any) -> Test:
    if key == "any":
        ways = [*map(asked, wanted)]
        return lambda about: any(way(about) for way in ways)
    if key == "not":
        inner = asked(wanted)
        return lambda about: not inner(about)
    compared = _compared(key)
    if compared is not None:
        number, compare = operator.attrgetter(compared[0]), compared[1]
        return lambda about: number(about) is not None and compare(number(about), wanted)
    value = operator.attrgetter(key)
    if isinstance(wanted, bool):
        return lambda about: bool(value(about)) is wanted
    if isinstance(wanted, Mapping):
        inner = asked(wanted)
        return lambda about: any(map(inner, value(about)))

    @lru_cache(maxsize=4096)  # ingredients are asked the same of every recipe
    def said(words: str | frozenset[str]) -> bool:
        if isinstance(words, str):
            return any(says(words, word) for word in wanted)
        return not words.isdisjoint(wanted)

    return lambda about: said(value(about))


@cache
def _compared(key: str) -> tuple[str, Callable[[float, float], bool]] | None:
    for ending, compare in _COMPARE.items():
        if key.endswith(ending):
            return key.removesuffix(ending), compare
    return None


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_numeric(hint: Any) -> bool:
    return bool({int, float} & {hint, *get_args(hint)})


@cache
def _hints(about: type) -> dict[str, Any]:
    hints = get_type_hints(about)
    return {field.name: hints[field.name] for field in fields(about)}


@cache
def _pattern(word: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(word)}(?:e?s)?(?!\w)", re.IGNORECASE)
