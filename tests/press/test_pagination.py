"""Pages of a menu from heights alone: filled alike, sections kept together, gaps within bounds."""

from __future__ import annotations

import json
from itertools import pairwise

from anthocard.press.paper.menus.pagination import MOST_MM, SHARE, Block, Measured, shared_out
from hypothesis import given, strategies as st

ROOM = 180.0


def menu(sections: list[list[float]]) -> Measured:
    """Sections of drinks of these heights under headings of 12 mm, gaps of 4 mm."""
    blocks: list[Block] = []
    for drinks in sections:
        for kind, height in [("section", 12.0), *(("drink", height) for height in drinks)]:
            blocks.append(Block(len(blocks), kind, height, 4.0 if blocks else 0.0, ROOM))
    return Measured(tuple(blocks), tuple(block.height for block in blocks), True)


def starts(made: Measured, pages: int) -> list[int]:
    """The parts that open a page after the first."""
    rules = made.rules(pages).split("}")
    return [int(rule.split("'")[1]) for rule in rules if "break-before: page" in rule]


def test_pages_are_filled_alike() -> None:
    """Twelve drinks of 20 mm in one section: 288 + 12 mm make two pages, six on each."""
    made = menu([[20.0] * 12])
    assert made.pages() == 2
    assert starts(made, 2) == [7]


def test_a_section_begins_a_page_sooner_than_it_is_split() -> None:
    """Five and four drinks: the second section opens the second page, though a sixth would fit."""
    assert starts(menu([[22.0] * 5, [22.0] * 4]), 2) == [6]


def test_what_is_higher_than_a_page_is_not_planned() -> None:
    assert menu([[ROOM + 1.0, 20.0]]).pages() is None


@given(st.lists(st.lists(st.floats(8.0, 70.0), min_size=1, max_size=9), min_size=1, max_size=5))
def test_no_section_leaves_one_drink_alone(sections: list[list[float]]) -> None:
    """Where a way is left: two of its drinks on either side; never more than a page holds."""
    made = menu(sections)
    pages = made.pages()
    assert pages is not None
    opens = [0, *starts(made, pages), len(made.blocks)]
    assert len(opens) == pages + 1
    for low, high in pairwise(opens):
        held = made.blocks[low:high]
        assert sum(one.height + one.gap for one in held) - held[0].gap <= ROOM + 1e-9
    kept = all(sum(one) + 12.0 + 4.0 * len(one) <= ROOM for one in sections)
    if kept:  # a page for each is a way
        heads = [n for n, one in enumerate(made.blocks) if one.kind == "section"]
        for start, end in zip(heads, [*heads[1:], len(made.blocks)], strict=True):
            for page in opens[1:-1]:
                if start < page < end:
                    assert page - start - 1 >= 2
                    assert end - page >= 2


@given(
    st.lists(st.sampled_from([*SHARE]), min_size=1, max_size=12), st.floats(0.0, 400.0)
)  # fmt: skip
def test_gaps_share_what_is_left(kinds: list[str], free: float) -> None:
    """All of it, each no more than it may grow, those of one kind alike."""
    blocks = [Block(n, kind, 10.0, 4.0, ROOM) for n, kind in enumerate(kinds)]
    more = shared_out(blocks, free)
    assert sum(more) <= free + 0.1
    assert sum(more) >= min(free, sum(MOST_MM[kind] for kind in kinds)) - 0.2
    for kind in SHARE:
        grown = {round(one, 6) for one, of in zip(more, kinds, strict=True) if of == kind}
        assert len(grown) <= 1
        assert all(-1e-9 <= one <= MOST_MM[kind] + 1e-6 for one in grown)


def test_art_takes_what_its_page_has_left() -> None:
    """A cover of 100 mm on a page of 180 mm (0.4 kept back), its art of 24 mm."""
    rows = [
        [1, "cover", 0.0, 100.0, 30.0],
        [1, "art", 0.0, 24.0, 30.0],
        [2, "drink", 0.0, 20.0, 30.0],
    ]
    made = Measured.read(json.dumps({"whole": True, "parts": rows}).encode(), 210.0)
    assert made.pages() == 2
    assert "[data-n='1'] { height: 103.60mm }" in made.rules(2)
    assert "[data-n='2'] { break-before: page" in made.rules(2)
