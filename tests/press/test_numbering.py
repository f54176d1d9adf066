"""Numbering parts of a book: what is guessed is checked, and the numbers told are those that stand."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping

import pikepdf
import pytest
from anthocard.press.build.asking import Pending
from anthocard.press.paper.numbering import (
    Begins,
    Part,
    number_and_bind,
)
from anthocard.press.paper.typeset import paper_pdf

STYLE = "@page { size: 60mm 60mm }"
COVER, CONTENTS = Part("cover", dict), Part("contents", dict, leads=True)
BODY = (
    Part("reading", dict, side="right"),
    Part("glance", dict, side="right", rows=("a", "b"), names=("glance",), leads=True),
    Part("drinks", dict, side="left", pages=2, sure=True, names=("drinks",)),
)
BACK = Part("indexes", dict, leads=True)


class Press:
    """Parts of so many pages, by name; what the contents said is kept. `late` are set one by one."""

    def __init__(self, pages: Mapping[str, int], late: bool = False) -> None:
        self.pages, self.late = pages, late
        self.made: dict[tuple[str, Begins, str], bytes] = {}
        self.told: Mapping[str, int] = {}

    def __call__(self, part: Part, begins: Begins, numbers: Mapping[str, int] | None) -> bytes:
        if part.name == "contents":
            self.told = numbers or {}
        key = part.name, begins, repr(sorted((numbers or {}).items()))
        if key not in self.made:
            self.made[key] = self._set(part.name, begins)
            if self.late:
                raise Pending
        return self.made[key]

    def _set(self, name: str, begins: Begins) -> bytes:
        count = self.pages.get(name, 1)
        leaves = [f"<p style='break-after: page'>{name}</p>"] * (count - 1) + [f"<p>{name}</p>"]
        leaves[0] = leaves[0].replace("<p ", f"<p id={name} ").replace("<p>", f"<p id={name}>")
        blank = "<p style='break-after: page'></p>"
        body = (
            blank * begins.blank
            + "".join(leaves)
            + "<p style='break-before: page'>" * (begins.padded)
        )
        return paper_pdf(f"<!doctype html><html lang=en><title>t</title><body>{body}", STYLE)


def standing(pdf: bytes) -> dict[str, str]:
    """The label of the page on which each name stands."""
    with pikepdf.open(io.BytesIO(pdf)) as read:
        called = {page.objgen: page.label for page in read.pages}
        held = list(read.Root.Names.Dests.Names)  # type: ignore[call-overload]
        return {
            str(name): called[at[0].objgen] for name, at in zip(held[::2], held[1::2], strict=True)
        }


@pytest.mark.parametrize("remembered", [None, 1, 2, 4])
@pytest.mark.parametrize("late", [False, True])
@pytest.mark.parametrize("glance", [1, 2, 3])
def test_numbers_are_those_that_stand(glance: int, late: bool, remembered: int | None) -> None:
    """Whatever was remembered of a part, right or wrong, and whether parts come at once or late:
    the contents tell the pages on which things stand, and sides are kept."""
    press = Press({"glance": glance, "drinks": 4}, late)
    for _ in range(20):
        try:
            pdf = number_and_bind(
                COVER, CONTENTS, BODY, BACK, press, lambda part, pages: remembered
            )
            break
        except Pending:
            continue
    else:
        pytest.fail("it never came to an end")
    labels = standing(pdf)
    for name in ("reading", "glance", "drinks"):
        assert str(press.told[name]) == labels[name]
    assert labels["indexes"] == str(press.told["part-indexes"])
    assert int(labels["glance"]) % 2 == 1
    assert int(labels["drinks"]) % 2 == 0
    assert re.fullmatch("[ivx]+", labels["contents"])


def test_all_that_can_be_numbered_is_asked_for_at_once() -> None:
    """Parts that take the pages they nearly always take are set in one round, and numbers with
    them; the second round finds all of it there."""
    press = Press({"drinks": 2}, late=True)

    def bound() -> bytes:
        return number_and_bind(COVER, CONTENTS, BODY[1:], BACK, press, lambda part, pages: 1)

    with pytest.raises(Pending):
        bound()
    asked = len(press.made)
    assert bound()
    assert len(press.made) == asked
