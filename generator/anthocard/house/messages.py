"""What pydantic objects to, in an author's words, at the author's own line.

Belongs here: one kind, message and mend for each sort of error. Does not belong here: mistakes that
need more than one value to see (references.py, the engine).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from anthocard.diagnostics.diagnostic import Mistake, MistakeLog, Place, did_you_mean, nearest
from anthocard.diagnostics.plain_scalars import AMBIGUOUS, switch_of
from anthocard.diagnostics.yaml_reader import Document, Location
from anthocard.house.steps import STEPS, Step

Model = TypeVar("Model", bound=BaseModel)

#: Filled from the body, not by authors.
HIDDEN: Final = frozenset({"guest_text", "guest_texts", "staff_text"})

#: What a value should have been, by pydantic's error type.
_WANTED: Final = {
    "string_type": ("words are wanted here", "put quotes around the value"),
    "float_type": ("a plain number is wanted here", "write it as 12 or 12.5"),
    "int_type": ("a whole number is wanted here", "write a whole number"),
    "bool_type": ("true or false is wanted here", "write true or false"),
    "date_type": ("a day is wanted here", "write it as year-month-day, such as 2026-03-05"),
    "tuple_type": ("a list is wanted here", "put each entry on its own line, starting with “- ”"),
    "dict_type": ("lines of “key: value” are wanted here", "indent them below this key"),
    "model_type": ("lines of “key: value” are wanted here", "indent them below this key"),
    "finite_number": ("a finite number is wanted here", "write it as 12 or 12.5"),
}

_BOUNDS: Final = {
    "greater_than": ("this is too small", "write more than {gt:g}"),
    "greater_than_equal": ("this is too small", "write {ge:g} or more"),
    "less_than": ("this is too large", "write less than {lt:g}"),
    "less_than_equal": ("this is too large", "{meant}write {le:g} or less"),
    "string_too_short": ("nothing is written here", "write a word or two"),
    "string_too_long": ("this is too long", "write at most {max_length} characters"),
    "too_short": ("this list is too short", "it needs {min_length} or more entries"),
    "too_long": ("this list is too long", "write at most {max_length} entries"),
}


def validated(
    model: type[Model],
    document: Document,
    log: MistakeLog,
    within: Location,
    data: Any,
    body: Mapping[str, Any] | None = None,
) -> Model | None:
    """A row as its type, or None once its mistakes are noted; `body` is what no author writes."""
    if data is None and document.faulty:
        return None
    hidden = [key for key in body or () if isinstance(data, dict) and key in data]
    try:
        return model.model_validate({**data, **(body or {})} if isinstance(data, dict) else data)
    except ValidationError as error:
        complain(error, model, document, within, log)
        return None
    finally:
        for key in hidden:
            log.add(
                "unknown-key",
                f"“{key}” is not written here",
                document.at((*within, key), key=True),
                "write it below the front-matter",
            )


def wrong_at(model: type[BaseModel], data: Any) -> list[Location]:
    """Where something keeps a row from being its type."""
    try:
        model.model_validate(data)
    except ValidationError as error:
        return [_untagged(detail["loc"]) for detail in error.errors(include_url=False)]
    return []


def not_lines(
    document: Document, log: MistakeLog, loc: Location = (), example: str = "name: Lantern"
) -> None:
    """Note that no lines of keys and values stand at a location."""
    log.add(
        "wrong-type",
        "lines of “key: value” are wanted here",
        document.at(loc),
        f"write each as “key: value”, such as “{example}”",
    )


def complain(
    error: ValidationError,
    model: type[BaseModel],
    document: Document,
    within: Location,
    log: MistakeLog,
) -> None:
    """Note every error of one row, at most one at any place, and none at a place already faulty."""
    mistakes: dict[Place, Mistake] = {}
    details = error.errors(include_url=False)
    for detail in details:
        loc = (*within, *_untagged(detail["loc"]))
        if any(loc[: len(bad)] == bad for bad in document.faulty):
            _settle_doubt(detail, loc, model, document, within, log)
            continue
        if detail["type"] == "too_short" and _has_more(detail["loc"], details):
            continue  # pydantic counts only the entries that are right
        new = Mistake(*_translated(detail, model, document, within))
        old = mistakes.setdefault(new.place, new)
        if old is new:
            continue
        if old.kind == "not-a-choice" and new.kind == "wrong-type":
            mistakes[new.place] = replace(old, mend=f"{old.mend}, or {new.mend}")
        elif old.kind == new.kind == "missing-key":
            mistakes[new.place] = _both_missing(old, str(detail["loc"][-1]))
    for mistake in mistakes.values():
        log.add(mistake.kind, mistake.message, mistake.place, mistake.mend)


def _settle_doubt(
    detail: ErrorDetails,
    loc: Location,
    model: type[BaseModel],
    document: Document,
    within: Location,
    log: MistakeLog,
) -> None:
    """Say of a word that can be read in two ways what the field it stands in makes of it."""
    here = (document.at(loc), document.at(loc, key=True))
    told = (one for one in log if one.kind == AMBIGUOUS and one.place in here)
    for doubt in tuple(told):
        switch = switch_of(str(detail["input"])) if detail["type"] == "bool_type" else None
        own = Mistake(*_translated(detail, model, document, within))
        log.instead(doubt, own if switch is None else replace(doubt, mend=f"write “{switch}”"))


def _untagged(loc: Location) -> Location:
    """The author's own place: pydantic puts a step's word between the step and its keys."""
    return (*loc[:2], *loc[3:]) if loc[:1] == ("steps",) else loc


def _both_missing(first: Mistake, key: str) -> Mistake:
    """One mistake for several keys that are missing at one place."""
    before = first.message.removesuffix(" is missing").removesuffix(" are missing")
    keys = f"{before.replace(' and ', ', ')} and “{key}”"
    mend = f"{first.mend.replace('add a line', 'add lines')}, “{key}: …”"
    return replace(first, message=f"{keys} are missing", mend=mend)


def _has_more(loc: Location, details: list[ErrorDetails]) -> bool:
    return any(other["loc"][: len(loc)] == loc and other["loc"] != loc for other in details)


def _translated(
    detail: ErrorDetails, model: type[BaseModel], document: Document, within: Location
) -> tuple[str, str, Place, str]:
    """Kind, message, place and mend of one error."""
    loc = (*within, *_untagged(detail["loc"]))
    kind, context = detail["type"], detail.get("ctx", {})
    last = loc[-1] if loc else ""
    place = document.at(loc[:-1], key=True) if last == "[key]" else document.at(loc)
    if kind == "measure":
        if isinstance(detail["input"], str):
            place = _inside(place, detail["input"], context["offset"], context["length"])
        elif context["kind"] in ("reveal-dose", "pour-dose") and "until" in detail["input"]:
            place = document.at((*loc, "until"), key=True)
        elif context["kind"] == "unknown-step" and detail["input"]:
            place = document.at((*loc, next(iter(detail["input"]))), key=True)
        elif isinstance(detail["input"], dict):  # the whole of it: shown by its key, if it has one
            place = document.at(loc, key=not isinstance(last, int))
        return context["kind"], context["message"], place, context["mend"]
    if kind == "missing":
        place = document.at(loc[:-1])
        if isinstance(last, int):
            mend = f"it needs {last + 1} or more entries"
            return "out-of-range", "this list is too short", place, mend
        return "missing-key", f"“{last}” is missing", place, f"add a line “{last}: …”"
    if kind == "extra_forbidden":
        known = _keys_at(model, detail["loc"][:-1])
        place = document.at(loc, key=True)
        return "unknown-key", f"“{last}” is not a key here", place, did_you_mean(str(last), known)
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", str(context.get("expected", "")))
        message = f"“{detail['input']}” is not one of the choices"
        return "not-a-choice", message, place, _choice(detail["input"], choices)
    if kind == "tuple_type" and re.match(r"-\S", str(detail["input"])):
        line = place.written.removeprefix("-")
        return "wrong-type", "a dash wants a blank after it", place, f"write “- {line}”"
    if kind in _WANTED:
        message, mend = _WANTED[kind]
        return "wrong-type", message, place, mend
    if kind == "string_pattern_mismatch":
        if last == "[key]":
            return "wrong-form", "this key is not written as it must be", place, "see the schema"
        mend = f"write it like “{_example(model, detail['loc'])}”"
        return "wrong-form", "this is not written as it must be", place, mend
    message, bound = _BOUNDS.get(kind, ("this cannot be used here", "see the key in the schema"))
    return "out-of-range", message, place, bound.format(meant=_meant(detail), **context)


def _meant(detail: ErrorDetails) -> str:
    """What a figure that is too large may be for one whose point was left out."""
    most, value = detail.get("ctx", {}).get("le"), detail["input"]
    if not isinstance(value, int | float) or not isinstance(most, int | float) or value <= most:
        return ""
    meant = next((value / by for by in (10, 100) if value / by <= most), None)
    return "" if meant is None else f"did you mean “{meant:g}”? Else "


def _inside(place: Place, text: str, offset: int, length: int) -> Place:
    """The faulty characters of a value, when it stands on its line just as it was read."""
    start = place.text.find(text, place.column - 1)
    if start < 0 or start > place.column:
        return place
    return Place(place.path, place.line, start + 1 + offset, length, place.text)


def _choice(shown: Any, choices: list[str]) -> str:
    if len(choices) == 1:
        return f"write “{choices[0]}”"
    close = nearest(str(shown), choices)
    listed = "choose one of: " + ", ".join(choices)
    return f"did you mean “{close}”? Or {listed}" if close else listed


def _keys_at(model: type[BaseModel], loc: Location) -> list[str]:
    """The keys an author may write at a location inside a model."""
    fields = _model_at(model, loc).model_fields.items()
    return [info.alias or name for name, info in fields if name not in HIDDEN]


def _model_at(model: type[BaseModel], loc: Location) -> type[BaseModel]:
    """The innermost model that a location leads into."""
    for part in loc:
        if issubclass(model, Step) and part in STEPS:
            model = STEPS[str(part)]
        info = model.model_fields.get(part) if isinstance(part, str) else None
        inner = _model_in(info.annotation) if info is not None else None
        model = inner or model
    return model


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_model_in(inner) for inner in get_args(annotation))
    return next((inner for inner in found if inner is not None), None)


def _example(model: type[BaseModel], loc: Location) -> str:
    """The example that the type of a field gives; every field with a pattern gives one."""
    info = _model_at(model, loc[:-1]).model_fields[str(loc[-1])]
    return str((info.examples or [info.default])[0])
