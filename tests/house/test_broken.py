"""Every mistake an author can make, beside the exact words that are said about it.

`broken/x.md` (or `.yaml`) is what somebody wrote, `broken/x.txt` what they are told.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.house.reader import read_house

CASES = sorted(p for p in (Path(__file__).parent / "broken").iterdir() if p.suffix != ".txt")


CASES_TOLD = [case.with_suffix(".txt") for case in CASES]


def place_of(case: Path) -> str:
    """Where in a house a broken file belongs."""
    if case.suffix == ".yaml":
        return f"{case.stem.split('-')[0]}.yaml"
    kind = re.search(r"kind: (infusion|solution|syrup|drink|menu)\b", case.read_text("utf-8"))
    return f"{kind[1] if kind else 'drink'}s/{case.name}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_every_mistake_is_told_at_once_in_these_words(
    case: Path, house: Callable[..., Path]
) -> None:
    """The whole text, with place, caret and mend, is what stands beside the broken file."""
    folder = house(**{place_of(case): case.read_text(encoding="utf-8")})
    with pytest.raises(AuthorError) as told:
        read_house(folder)
    expected = case.with_suffix(".txt").read_text(encoding="utf-8")
    assert f"{told.value}\n" == expected


def test_every_text_has_its_broken_file() -> None:
    """No expected text is left over from a case that is gone."""
    texts = {p.stem for p in (Path(__file__).parent / "broken").glob("*.txt")}
    assert texts == {case.stem for case in CASES}


def test_more_than_sixty_mistakes_are_told_apart() -> None:
    """The broken files hold at least 60 mistakes that are told in different words."""
    texts = [p.read_text(encoding="utf-8") for p in CASES_TOLD]
    told = {
        (kind, re.sub("“[^”]*”|[0-9.]+", "…", message))
        for text in texts
        for kind, message in re.findall(r"^  (Look: |)(\S.*)\n  Mend: ", text, re.MULTILINE)
    }
    mistakes = sum(len(re.findall(r"^\S+:\d+:\d+$", text, re.MULTILINE)) for text in texts)
    assert len(told) >= 60
    assert mistakes >= 150
