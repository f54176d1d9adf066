"""Mistakes an author can mend, each with its place, and the one exception that carries them.

Belongs here: where a mistake is, what it says, how it is printed. Does not belong here: what
counts as a mistake in a recipe (that is the reader's and the engine's business).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Final, Literal

_WIDEST = 140  # characters of an author's line that are shown; chosen

Severity = Literal["error", "warning", "hint"]


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A spot in an author's file.

    `path` is as the author would type it, `line` and `column` count from 1, `length` is the
    number of characters the caret underlines and `text` is the whole line, without its newline.
    """

    path: str
    line: int = 1
    column: int = 1
    length: int = 1
    text: str = ""

    @property
    def written(self) -> str:
        """What the author wrote there."""
        return self.text[self.column - 1 : self.column - 1 + self.length]

    def shifted(self, columns: int, length: int = 1) -> Place:
        """The same line, `columns` further right: for a mistake inside a value."""
        return replace(self, column=self.column + columns, length=max(1, length))


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong or doubtful, in words for an author.

    `kind` is a stable, hyphenated word for machines; `message` says what is wrong; `mend` says
    how to put it right.
    """

    kind: str
    message: str
    place: Place
    mend: str = ""
    severity: Severity = "error"

    def __str__(self) -> str:
        """The place, the author's line with what is meant marked below it, what, and the mend."""
        at = self.place
        lines = [f"{at.path}:{at.line}:{at.column}"]
        if at.text:
            text, column = _window(at.text, at.column)
            start = "".join(c if c == "\t" else " " for c in text[: column - 1])
            length = max(1, min(at.length, len(text) - column + 1))
            lines += [f"    {text}", f"    {start}{'~' * length}"]
        lines.append(f"  {_OPENS[self.severity]}{self.message}")
        if self.mend:
            lines.append(f"  Mend: {self.mend}")
        return "\n".join(lines)


#: How what is told begins: that it is a mistake goes without saying.
_OPENS: Final[dict[Severity, str]] = {"error": "", "warning": "Look: ", "hint": "By the way: "}


def _window(text: str, column: int) -> tuple[str, int]:
    """As much of a very long line as can be looked at, and the column within it."""
    if len(text) <= _WIDEST:
        return text, column
    start = max(0, min(column - 1 - _WIDEST // 3, len(text) - _WIDEST))
    shown = text[start : start + _WIDEST]
    head, tail = "…" if start else "", "…" if start + _WIDEST < len(text) else ""
    return f"{head}{shown}{tail}", column - start + len(head)


class AuthorError(Exception):
    """Something in the house must be mended first; carries every mistake found, in file order."""

    exit_code = 1

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(sorted(mistakes, key=lambda m: m.place))
        super().__init__("\n".join(str(m) for m in self.mistakes))


@dataclass(slots=True)
class MistakeLog:
    """Collects mistakes while reading goes on, so that all of them are told at once."""

    mistakes: list[Mistake] = field(default_factory=list)
    _known: set[Mistake] = field(default_factory=set)

    def add(
        self, kind: str, message: str, place: Place, mend: str = "", severity: Severity = "error"
    ) -> None:
        """Note one mistake; an identical one at the same place is kept once."""
        self.extend([Mistake(kind, message, place, mend, severity)])

    def extend(self, mistakes: Iterable[Mistake]) -> None:
        """Note mistakes that are made up already; each is kept once."""
        for mistake in mistakes:
            if mistake not in self._known:
                self._known.add(mistake)
                self.mistakes.append(mistake)

    def instead(self, old: Mistake, new: Mistake) -> None:
        """Put a mistake in the place of another that says less."""
        self.mistakes[self.mistakes.index(old)] = new
        self._known.add(new)

    def __iter__(self) -> Iterator[Mistake]:
        return iter(self.mistakes)

    @property
    def errors(self) -> tuple[Mistake, ...]:
        """Those that stop a publish."""
        return tuple(m for m in self.mistakes if m.severity == "error")

    def raise_if_errors(self) -> None:
        """Raise AuthorError with all mistakes if any of them is an error."""
        if self.errors:
            raise AuthorError(self.mistakes)


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """The choice most like `word` (case ignored), or None when nothing is close."""
    import difflib  # only for mistakes: every command would pay for it

    by_folded = {choice.casefold(): choice for choice in choices}
    found = difflib.get_close_matches(word.casefold(), by_folded, n=1, cutoff=0.6)
    return by_folded[found[0]] if found else None


def did_you_mean(word: str, choices: Iterable[str]) -> str:
    """A mend: the nearest choice, or the whole list when it is short."""
    known = sorted(set(choices))
    close = nearest(word, known)
    if close is not None:
        return f"did you mean “{close}”?"
    if len(known) <= 12:
        return "choose one of: " + ", ".join(known)
    return f"choose one of the {len(known)} known names, such as: " + ", ".join(known[:6])
