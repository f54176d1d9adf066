"""A wrong mend is a defect: every text that is offered is pasted in, and the file read again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.facts.chemistry.substances import substances
from anthocard.house.reader import read_sound

from tests.house.conftest import BLUE_HOUR, HOUSE
from tests.house.test_broken import CASES, place_of
from tests.pasting import offered, pasted

House = Callable[..., Path]


def told(folder: Path) -> list[Mistake]:
    try:
        return [one for one in read_sound(folder)[1] if one.severity == "error"]
    except AuthorError as error:
        return [one for one in error.mistakes if one.severity == "error"]


def wrong_mends(case: Path, house: House) -> Iterator[str]:
    name, text = place_of(case), case.read_text(encoding="utf-8")
    before = told(house(**{name: text}))
    for mistake in before:
        offer, place = offered(mistake), mistake.place
        if offer is None or not place.line or not place.path.endswith(name):
            continue
        after = told(house(**{name: pasted(text, mistake, offer)}))
        left = _alike(after, mistake)[len(_alike(before, mistake)) - 1 :]
        if offer.how == "over":
            others = [one for one in _on_line(before, place) if one is not mistake]
            left = left or _on_line(after, place)[len(others) :]
        if left:
            yield f"{mistake}\n   pasted “{offer.text}” {offer.how}, and then\n{left[0]}"


def _alike(found: list[Mistake], to: Mistake) -> list[Mistake]:
    return [one for one in found if (one.kind, one.message) == (to.kind, to.message)]


def _on_line(found: list[Mistake], place: Place) -> list[Mistake]:
    return [one for one in found if (one.place.path, one.place.line) == (place.path, place.line)]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_a_mend_offers_can_be_pasted(case: Path, house: House) -> None:
    """With what is offered put where it belongs, the mistake is gone, and none is in its place."""
    assert list(wrong_mends(case, house)) == []


#: A slip in each word for what only a laboratory uses, and in one that may be offered.
FORBIDDEN = {
    word
    for one in substances() if not one.for_drinks
    for word in (re.split(r",| \(", one.label)[0], *one.aliases)
}  # fmt: skip
SLIPS = [*(f"{word[:-2]}{word[-1]}" for word in sorted(FORBIDDEN) if len(word) > 5), "citricc acid"]


def test_what_must_not_go_into_a_drink_is_never_offered(house: House) -> None:
    """A slip in “boric acid”, in a solution, a drink or a reading: no mend names it, or another."""
    lines = "".join(f"  - 1 g {slip}\n" for slip in SLIPS)
    read = "".join(f"  - {{of: {slip}, ph: 5, measured: 2026-01-03}}\n" for slip in SLIPS)
    folder = house(
        **{
            "house.yaml": f"{HOUSE}calibrations:\n{read}",
            "solutions/jar.md": f"---\nkind: solution\nname: Jar\nparts:\n{lines}made_up_to: 1 l\n---\n",
            "drinks/slip.md": BLUE_HOUR.replace("Blue Hour", "Slip").replace("  - 50", f"{lines}  - 50"),
        }
    )  # fmt: skip
    mends = [one.mend for one in told(folder) if one.kind.startswith("unknown")]
    assert len(mends) == 3 * len(SLIPS) > 12
    assert [mend for mend in mends for word in FORBIDDEN if f"“{word}”" in mend] == []
    assert mends.count("did you mean “citric acid”?") == 3
