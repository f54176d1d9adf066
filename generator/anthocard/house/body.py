"""The body of a recipe: what guests read, then what staff read, and whatever might mix the two up.

Belongs here: where the words for staff begin, the languages of those for guests, and every slip
that would put one in the place of the other. Does not belong here: front-matter (reader.py), what
Markdown becomes (the press).

The words for staff begin at a heading such as “## Method” (body.yaml has it in ten languages).
Above it the only headings are language tags, “## de”; anything else that is or looks like a heading
is an error, because what was meant for staff would else stand on a page for guests.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

from anthocard.diagnostics.diagnostic import MistakeLog, Place, Severity, nearest
from anthocard.diagnostics.tables import read_table

#: What may stand before a heading within a list or a quotation.
_INSIDE: Final = r"(?:[ \t]|>|[*+-][ \t]+|\d+[.)][ \t]+)*"
_FENCE: Final = re.compile(r" {0,3}(`{3,}|~{3,})(.*)")
_ATX: Final = re.compile(rf"({_INSIDE})(#+)([ \t\xa0]*)(.*)")
_UNDERLINE: Final = re.compile(r"[ \t>]*(=+|-+)[ \t]*")
_TAG: Final = re.compile(r"<h[1-6]\b", re.IGNORECASE)
_ANY_TAG: Final = re.compile(r"<[^<>]*>")
_LANGUAGE: Final = re.compile(r" {0,3}##[ \t]+([a-z]{2}(?:-[A-Z]{2})?)[ \t]*")
_STEP: Final = re.compile(r" {0,3}1[.)][ \t]+\S")
_MARKS: Final = "*_#=~`>-–— \t\xa0.:："


@dataclass(frozen=True, slots=True)
class Slip:
    """A line (from 0) that would mix the two up, what is wrong with it and its mend."""

    kind: str
    line: int
    message: str
    mend: str
    certain: bool = True  # an error; else a warning


@dataclass(frozen=True, slots=True)
class Body:
    """A body taken apart: `guest` in the house's language, `others` by language tag, `staff`.

    `staff` begins with its heading; it is empty where there is none.
    """

    guest: str
    others: dict[str, str]
    staff: str
    slips: tuple[Slip, ...]

    def tell(self, path: str, first_line: int, text: str, log: MistakeLog) -> None:
        """Note every slip; `text` is the body, which starts at `first_line` of the file."""
        lines = text.split("\n")
        for slip in self.slips:
            line = lines[slip.line]
            at = len(line) - len(line.lstrip())
            length = max(1, len(line.strip()))
            place = Place(path, first_line + slip.line, at + 1, length, line)
            severity: Severity = "error" if slip.certain else "warning"
            log.add(slip.kind, slip.message, place, slip.mend, severity)


def read_body(text: str) -> Body:
    """Take a body apart, with every slip in it. Pure; never fails."""
    lines = text.split("\n")
    fenced, unclosed = _fenced(lines)
    slips: list[Slip] = []
    cut = len(lines)
    for number in range(len(lines)):
        begins, slip = _seen(lines, number, number in fenced)
        if slip is not None:
            slips.append(slip)
        if begins:
            cut = number
            break
    if unclosed is not None and unclosed < cut:
        slips.append(
            Slip(
                "open-code", unclosed, "this code block is never closed, so guests would read on",
                "close it with a line of the same marks, or take the marks away",
            )
        )  # fmt: skip
    elif cut == len(lines) and not slips:
        slips += _steps(lines)
    slips += _below(lines, cut, fenced)
    own, others = _languages(lines[:cut], fenced)
    staff = "\n".join(lines[cut:]).strip()
    return Body(own, others, staff, tuple(sorted(slips, key=lambda slip: slip.line)))


def split_body(text: str) -> tuple[str, str]:
    """The words for guests, all languages of them, and those for staff, as they are written."""
    body = read_body(text)
    at = text.rindex(body.staff) if body.staff else len(text)
    return text[:at].strip(), body.staff


def starts_staff(line: str) -> bool:
    """Whether a line is the heading at which words for staff begin: “## Method”, “## Rezept”."""
    found = _ATX.fullmatch(line)
    return found is not None and _well_made(found) and _plain(found[4]) in _words("staff")


def _seen(lines: list[str], number: int, fenced: bool) -> tuple[bool, Slip | None]:
    """Whether the words for staff begin at a line, well or badly, and the slip if badly."""
    line = lines[number]
    if not fenced and (starts_staff(line) or _LANGUAGE.fullmatch(line)):
        return starts_staff(line), None
    title = _title(lines, number, fenced)
    if title is None:
        return False, None
    if _plain(title) in _words("staff"):
        return True, Slip(
            "heading-level", number,
            "this does not start the words for staff, so guests would read on",
            "write “## Method” on a line of its own, not indented",
        )  # fmt: skip
    if fenced:
        return False, None
    return False, Slip(
        "guest-heading", number,
        "a heading among the words for guests: if staff are meant below it, guests would read it",
        _mend(title),
    )  # fmt: skip


def _title(lines: list[str], number: int, fenced: bool) -> str | None:
    """The words of a line that is a heading or stands for one; None for any other."""
    line = lines[number]
    heading = _ATX.fullmatch(line)
    if heading is not None:
        return heading[4]
    below = lines[number + 1] if number + 1 < len(lines) else ""
    if line.strip() and not fenced and _UNDERLINE.fullmatch(below):
        return line
    bare = _ANY_TAG.sub("", line)
    if _TAG.search(line):
        return bare
    alone = number == 0 or not lines[number - 1].strip()
    marked = bare.strip().rstrip(":：") != line.strip() or bare.lstrip()[:1] in ("*", "_")
    words, colon, _ = re.sub(r"[*_]", "", bare).partition(":")
    if _plain(words) in _words("staff") and (colon or marked or alone):
        return words
    return None


def _mend(title: str) -> str:
    plain = _plain(title)
    tag = _tags().get(plain)
    if tag is not None:
        return f"write “## {tag}”"
    if re.fullmatch(r"[a-z]{2}", plain):
        return f"write it as “## {plain}”"
    near = nearest(plain, ["method"]) or nearest(plain, [*_words("staff")])
    start = "write “## Method”" if near is None else f"write “## {near.capitalize()}”"
    return f"{start} where the words for staff begin, or make it a line of bold words"


def _steps(lines: list[str]) -> Iterator[Slip]:
    """A numbered list where there are no words for staff at all: is it the method?"""
    number = next((n for n, line in enumerate(lines) if _STEP.match(line)), None)
    if number is not None:
        yield Slip(
            "steps-for-guests", number, "guests will read this list: there are no words for staff",
            "put a line “## Method” above it if it is how the thing is made", certain=False,
        )  # fmt: skip


def _below(lines: list[str], cut: int, fenced: frozenset[int]) -> Iterator[Slip]:
    """Headings of words for guests that stand where only staff read them."""
    for number in range(cut + 1, len(lines)):
        heading = None if number in fenced else _ATX.fullmatch(lines[number])
        if heading is None:
            continue
        if _LANGUAGE.fullmatch(lines[number]) or _plain(heading[4]) in _words("guests"):
            yield Slip(
                "guests-below", number, "words for guests below the method: only staff read them",
                f"move them above “{lines[cut].strip()}”", certain=False,
            )  # fmt: skip


def _fenced(lines: list[str]) -> tuple[frozenset[int], int | None]:
    """The lines in code blocks with their fences, and the line of a fence that is never closed."""
    inside: set[int] = set()
    mark, start = "", 0
    for number, line in enumerate(lines):
        fence = _FENCE.fullmatch(line)
        if not mark:
            if fence is not None and not (fence[1][0] == "`" and "`" in fence[2]):
                mark, start = fence[1], number
        elif fence is not None and fence[1].startswith(mark) and not fence[2].strip():
            inside |= {*range(start, number + 1)}
            mark = ""
    return frozenset(inside), start if mark else None


def _languages(lines: list[str], fenced: frozenset[int]) -> tuple[str, dict[str, str]]:
    """The words in the house's language, then each other one by its heading, “## de”.

    A language written twice is read on where it stopped.
    """
    texts: dict[str, list[str]] = {"": []}
    language = ""
    for number, line in enumerate(lines):
        heading = None if number in fenced else _LANGUAGE.fullmatch(line)
        if heading is not None:
            language = heading[1]
            texts.setdefault(language, [])
        else:
            texts[language].append(line)
    whole = {key: "\n".join(found).strip() for key, found in texts.items()}
    return whole.pop(""), whole


def _well_made(heading: re.Match[str]) -> bool:
    """Of the second level, with a blank, and neither indented nor inside of anything."""
    before, level, blank, _ = heading.groups()
    return level == "##" and bool(blank) and before.strip(" ") == "" and len(before) <= 3


def _plain(words: str) -> str:
    """Words without case, accents, tags and the marks around them, for comparison."""
    text = unicodedata.normalize("NFKD", _ANY_TAG.sub("", words).casefold())
    text = "".join(letter for letter in text if not unicodedata.combining(letter))
    return re.sub(r"\s+", " ", text).strip(_MARKS)


@cache
def _tags() -> dict[str, str]:
    """Language tags by what the language is called, in itself and in English."""
    rows = read_table("anthocard.house", "body.yaml")["languages"]
    return {_plain(word): tag for tag, row in rows.items() for word in row["words"]}


@cache
def _words(section: str) -> frozenset[str]:
    rows = read_table("anthocard.house", "body.yaml")[section]
    return frozenset(_plain(word) for row in rows.values() for word in row["words"])
