"""Text that YAML cannot read at all: where that is, what it means to an author, how to mend it.

Belongs here: libyaml's sentences put into plain words. Does not belong here: what it could read and
we refuse (yaml_reader.py).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

import yaml

#: As many characters as no line has: to the end of it.
TO_THE_END: Final = 1_000_000
LINE_ENDS: Final = re.compile("\r\n|[\r\n\x85\u2028\u2029]")  # what YAML 1.1 counts as one


class Trouble(NamedTuple):
    """Line and column from 0, how many characters, a kind, what is wrong and how to mend it."""

    line: int
    column: int
    length: int
    kind: str
    message: str
    mend: str


#: What libyaml says (part of it), what that means to an author, and how to mend it.
_SYNTAX: Final = (
    (
        "mapping values are not allowed",
        "a colon stands where no key can be",
        "put quotes around a value that holds a colon, and line keys up with each other",
    ),
    (
        "cannot start any token",
        "a value cannot start with this sign",
        "put quotes around the whole value",
    ),
    ("could not find expected ':'", "this line has no colon", "write it as “key: …”"),
    (
        "did not find expected key",
        "this line does not line up with those above it, or text follows a closing quote",
        "indent every key of a group alike; put quotes around the whole value",
    ),
    (
        "did not find expected '-'",
        "this line does not line up with the list above it",
        "start every entry with “- ” in the same column",
    ),
    ("did not find expected ',' or", "a bracket is not closed", "close it, or quote the value"),
    ("document indicator", "a quotation mark is not closed", "close it at the end of the value"),
    ("unexpected end of stream", "a quotation mark is not closed", "close it"),
    ("escape", "a backslash cannot be read", "use single quotes around the value"),
    ("tag", "“!” at the start gives the value a type", "put quotes around the whole value"),
    (
        "alphabetic or numeric character",
        "a value cannot start with “*” or “&”",
        "put quotes around the whole value",
    ),
    (
        "block sequence entries",
        "a list cannot start on this line",
        "start it on a line of its own, with “- ”",
    ),
)


def syntax(trouble: yaml.MarkedYAMLError, lines: Sequence[str]) -> Trouble:
    """What stands where none can, in the lines that were read."""
    started = ("quoted scalar", "parsing a flow", "simple key")
    opened = any(word in str(trouble.context) for word in started)
    mark = trouble.context_mark if opened else trouble.problem_mark or trouble.context_mark
    line, column, length = (mark.line, mark.column, 1) if mark else (0, 0, 1)
    if line >= len(lines) or not lines[line].strip():
        written = [i for i, text in enumerate(lines[: line + 1]) if text.strip()]
        line, column, length = written[-1] if written else 0, 0, TO_THE_END
    text = lines[line]
    problem = str(trouble.problem or "")
    indent = text[: len(text) - len(text.lstrip())]
    if "\t" in indent:
        column, length = indent.index("\t"), 1
        message, mend = "a tab is used to indent", "use spaces"
    else:
        known = (row for row in _SYNTAX if row[0] in problem)
        fallback = (problem, f"this cannot be read: {problem}", "put quotes around the value")
        _, message, mend = next(known, fallback)
    return Trouble(line, column, length, "yaml-syntax", message, mend)


def odd_character(trouble: yaml.reader.ReaderError, text: str) -> Trouble:
    """A character that YAML has no room for."""
    before = text.encode()[: trouble.position].decode(errors="ignore")
    head = LINE_ENDS.split(before)
    return Trouble(
        len(head) - 1, len(head[-1]), 1, "odd-character",
        "a character that no editor shows stands here", "delete it and type the line again",
    )  # fmt: skip
