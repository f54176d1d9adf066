"""Numbering parts of a book: what is guessed is checked, and the numbers told are those that stand."""

from __future__ import annotations

import asyncio
import io
import re
from collections.abc import Mapping, Sequence

import pikepdf
import pytest
from anthocard.press.paper.job import HERE, paper_pdf
from anthocard.press.paper.numbering import Begins, BookPart, number_and_bind

STYLE = "@page { size: 60mm 60mm }"
COVER, CONTENTS = BookPart("cover", dict), BookPart("contents", dict, leads=True)
BODY = (
    BookPart("reading", dict, side="right"),
    BookPart("glance", dict, side="right", rows=("a", "b"), names=("glance",), leads=True),
    BookPart("drinks", dict, side="left", pages=2, usual=True, names=("drinks",)),
)
BACK = BookPart("indexes", dict, leads=True)


class Parts:
    """Sets parts of so many pages, by name; what the contents said is kept, and each round of
    asking: parts that are asked for before one of them is there."""

    def __init__(self, pages: Mapping[str, int]) -> None:
        self.pages = pages
        self.told: Mapping[str, int] = {}
        self.rounds: list[list[str]] = []
        self._round: asyncio.Future[None] | None = None

    async def __call__(
        self, part: BookPart, begins: Begins, numbers: Mapping[str, int] | None
    ) -> bytes:
        if part.name == "contents":
            self.told = numbers or {}
        if self._round is None or self._round.done():
            self._round = asyncio.ensure_future(asyncio.sleep(0.01))
            self.rounds.append([])
        self.rounds[-1].append(part.name)
        await self._round
        return await self._set(part.name, begins)

    async def _set(self, name: str, begins: Begins) -> bytes:
        count = self.pages.get(name, 1)
        leaves = [f"<p style='break-after: page'>{name}</p>"] * (count - 1) + [f"<p>{name}</p>"]
        leaves[0] = leaves[0].replace("<p ", f"<p id={name} ").replace("<p>", f"<p id={name}>")
        blank = "<p style='break-after: page'></p>"
        body = (
            blank * begins.blank
            + "".join(leaves)
            + "<p style='break-before: page'>" * (begins.padded)
        )
        html = f"<!doctype html><html lang=en><title>t</title><body>{body}"
        return await paper_pdf(lambda: html, STYLE)


def bound(parts: Parts, remembered: int | None, body: Sequence[BookPart] = BODY) -> bytes:
    def remember(part: BookPart, pages: int | None) -> int | None:
        return remembered

    return HERE.now(number_and_bind(COVER, CONTENTS, body, BACK, parts, remember, HERE))


def standing(pdf: bytes) -> dict[str, str]:
    """The label of the page on which each name stands."""
    with pikepdf.open(io.BytesIO(pdf)) as read:
        called = {page.objgen: page.label for page in read.pages}
        held = list(read.Root.Names.Dests.Names)  # type: ignore[call-overload]
        return {
            str(name): called[at[0].objgen] for name, at in zip(held[::2], held[1::2], strict=True)
        }


@pytest.mark.parametrize("remembered", [None, 1, 2, 4])
@pytest.mark.parametrize("glance", [1, 2, 3])
def test_numbers_are_those_that_stand(glance: int, remembered: int | None) -> None:
    """Whatever was remembered of a part, right or wrong: the contents tell the pages on which
    things stand, and sides are kept."""
    press = Parts({"glance": glance, "drinks": 4})
    pdf = bound(press, remembered)
    labels = standing(pdf)
    for name in ("reading", "glance", "drinks"):
        assert str(press.told[name]) == labels[name]
    assert labels["indexes"] == str(press.told["part-indexes"])
    assert int(labels["glance"]) % 2 == 1
    assert int(labels["drinks"]) % 2 == 0
    assert re.fullmatch("[ivx]+", labels["contents"])


def test_all_parts_are_set_at_once() -> None:
    """Parts that take the pages they nearly always take are set in one round, and numbers with
    them; one that takes others has those behind it, and those that tell its pages, set again."""
    right = Parts({"drinks": 2})
    bound(right, 1, BODY[1:])
    (first,) = right.rounds
    assert sorted(first) == ["contents", "cover", "cover", "drinks", "glance", "indexes"] or sorted(
        set(first)
    ) == ["contents", "cover", "drinks", "glance", "indexes"]
    wrong = Parts({"drinks": 2, "glance": 3})
    bound(wrong, 1, BODY[1:])
    assert {"drinks", "contents", "indexes"} <= set(wrong.rounds[-1])
    assert "cover" not in wrong.rounds[-1]


def test_parts_that_never_agree_are_bound() -> None:
    """A part that takes a page more each time it is set: the book is bound all the same."""

    class Growing(Parts):
        async def _set(self, name: str, begins: Begins) -> bytes:
            if name == "glance":
                self.pages = {**self.pages, "glance": self.pages["glance"] % 5 + 2}
            return await super()._set(name, begins)

    assert bound(Growing({"glance": 1}), 1).startswith(b"%PDF")
