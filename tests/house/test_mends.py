"""A wrong mend is a defect: every text that is offered is pasted in, and the file read again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake
from anthocard.house.reader import read_sound

from tests.house.test_broken import CASES, place_of

House = Callable[..., Path]
#: Mends that say what to put in the place of what is underlined.
_OFFERS = re.compile(
    r"^(?:did you mean|write only|write the unit, such as|write it as|say in how much:) “([^”]+)”"
)


def offered(mistake: Mistake) -> str | None:
    """The text that a mend offers for exactly what is underlined, if it does."""
    found = _OFFERS.match(mistake.mend)
    if found is None or not mistake.place.text or found[1] == "key: value":
        return None  # a pattern to follow is no text to paste
    return found[1]


def told(folder: Path) -> list[Mistake]:
    try:
        return [one for one in read_sound(folder)[1] if one.severity == "error"]
    except AuthorError as error:
        return [one for one in error.mistakes if one.severity == "error"]


def pasted(text: str, mistake: Mistake, new: str) -> str:
    """The file with the underlined characters replaced."""
    lines = text.split("\n")
    at = mistake.place
    line = lines[at.line - 1]
    lines[at.line - 1] = line[: at.column - 1] + new + line[at.column - 1 + at.length :]
    return "\n".join(lines)


def wrong_mends(case: Path, house: House) -> Iterator[str]:
    name, text = place_of(case), case.read_text(encoding="utf-8")
    before = told(house(**{name: text}))
    for mistake in before:
        new = offered(mistake)
        if new is None or not mistake.place.path.endswith(name):
            continue
        after = told(house(**{name: pasted(text, mistake, new)}))
        line = mistake.place.line
        left = [one for one in after if one.place.line == line and one.place.path.endswith(name)]
        others = [one for one in before if one.place.line == line and one is not mistake]
        if len(left) > len(others):
            yield f"{mistake}\n   pasted “{new}”, and then\n{left[0]}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_a_mend_offers_can_be_pasted(case: Path, house: House) -> None:
    """With the offered text in the place of the underlined one, that line has no mistake left."""
    assert list(wrong_mends(case, house)) == []
