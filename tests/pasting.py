"""What a mend offers to be pasted, and where it goes: a text over what is underlined, or a line."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from anthocard.diagnostics.diagnostic import Mistake

How: TypeAlias = Literal["over", "below", "above", "drop"]

#: How a mend opens that offers a text, and what the text is for; the first that fits counts.
_OPENINGS: Final[tuple[tuple[re.Pattern[str], How], ...]] = (
    (re.compile(r"take this line away"), "drop"),
    (re.compile(r"(?:add|put) a line “([^”]+)” above"), "above"),
    (re.compile(r"(?:add|put) a line “([^”]+)”"), "below"),
    (
        re.compile(
            r"(?:did you mean|write|write it as|write it like|write only|write the unit, such as"
            r"|say in how much:|write what is left:|write what it is, such as) “([^”]+)”"
        ),
        "over",
    ),
)


@dataclass(frozen=True, slots=True)
class Offer:
    """A text and where it goes: `over` what is underlined, as a line `below` or `above` it.

    `drop` takes the underlined line away; its text is empty.
    """

    how: How
    text: str = ""


def offered(mistake: Mistake) -> Offer | None:
    """What the mend of a mistake offers to be pasted, if it does; a text with “…” is a pattern."""
    for opening, how in _OPENINGS:
        found = opening.match(mistake.mend)
        if found is not None:
            text = found[1] if opening.groups else ""
            return None if "…" in text else Offer(how, text)
    return None


def pasted(text: str, mistake: Mistake, offer: Offer) -> str:
    """The author's text with an offer put where it belongs."""
    lines = text.split("\n")
    at = mistake.place
    line = lines[at.line - 1]
    if offer.how == "over":
        end = at.column - 1 + at.length
        lines[at.line - 1] = line[: at.column - 1] + offer.text + line[end:]
    elif offer.how == "drop":
        del lines[at.line - 1]
    else:
        number = at.line - (offer.how == "above")
        inner = lines[at.line] if offer.how == "below" and at.line < len(lines) else line
        beside = inner if line.rstrip().endswith(":") else line
        under = beside.lstrip().startswith("- ") and offer.how == "below"  # a key of that entry
        indent = beside[: len(beside) - len(beside.lstrip())] + "  " * under
        lines.insert(number, indent + offer.text)
    return "\n".join(lines)
