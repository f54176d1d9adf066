"""Which part of a menu stands on which page, and how what is left of a page is shared out.

Belongs here: breaks and gaps, from heights alone. Does not belong here: how heights are measured
(weasyprint_70.py), what the parts say (menu_page.py), who asks for papers (menu_papers.py).

A template names its parts by `data-part`: `cover` and `back` have a page each, `art` stretches in
the part that holds it, the others run on: `top` (the menu's name where there is no cover),
`section` (its heading), `drink`, `pair` (two side by side) and `foot`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil
from typing import Final, TypeAlias

from anthocard.press.paper.weasyprint_70 import MeasuredPart

#: How what is left of a page is shared among the gaps before its parts, and how much one may grow,
#: mm, on a page with room for USUAL_MM. Chosen: twice as much before a section as before a drink,
#: never so much that a page falls apart; a foot stands low.
SHARE: Final = {"drink": 1.0, "pair": 1.0, "section": 2.0, "foot": 2.5}
MOST_MM: Final = {"drink": 13.0, "pair": 13.0, "section": 20.0, "foot": 60.0}
USUAL_MM: Final = 180.0
#: Taken off the height of a page, mm: what rounding may add.
_SPARE_MM: Final = 0.4
#: What a page that splits a section costs, and one that only holds a foot, beside the square of the
#: share of a page that stays empty. Chosen.
_SPLIT, _BARE = 0.03, 0.6
#: How many pages more than the fewest are thought of.
_MORE: Final = 8


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a menu that was measured: its height and the least gap before it, mm.

    `room` is the height that a page gives to all of them, `art` the number of what stretches in it.
    """

    number: int
    kind: str
    height: float
    gap: float
    room: float
    art: int | None = None


@dataclass(frozen=True)
class Measured:
    """A menu that was set on endless pages."""

    blocks: tuple[Block, ...]
    heights: tuple[float, ...]  # of every part by its number, mm
    whole: bool  # whether no word is lost

    @classmethod
    def read(cls, json_text: bytes, height_mm: float) -> Measured:
        """What a measuring job told, for pages so high."""
        read = json.loads(json_text)
        parts = [MeasuredPart(*row) for row in read["parts"]]
        blocks: list[Block] = []
        below, page = 0.0, 0
        for number, part in enumerate(parts):
            if part.name == "art" and blocks:
                last = blocks.pop()
                blocks.append(_with_art(last, number))
                continue
            gap = part.top - below if part.page == page else 0.0
            below, page = part.bottom, part.page
            room = height_mm - part.margins - _SPARE_MM
            blocks.append(Block(number, part.name, part.bottom - part.top, gap, room))
        heights = tuple(part.bottom - part.top for part in parts)
        return cls(tuple(blocks), heights, read["whole"])

    @cached_property
    def flow(self) -> tuple[Block, ...]:
        """Those that share pages."""
        return tuple(block for block in self.blocks if block.kind not in ("cover", "back"))

    @cached_property
    def _ways(self) -> dict[int, tuple[int, ...]]:
        """A section stays together or has two drinks on either side, unless no way is left."""
        kept = _ways(self.flow, [_may_open(self.flow, at) for at in range(len(self.flow))])
        return kept or _ways(self.flow, [True] * len(self.flow))

    @property
    def apart(self) -> int:
        """How many pages the cover and the back take: one each, but for a very long story."""
        own = (block for block in self.blocks if block not in self.flow)
        return sum(max(1, ceil(block.height / block.room)) for block in own)

    def pages(self) -> int | None:
        """The fewest pages that hold all of it; None where a part is higher than a page, words
        would be lost, or the template names no parts."""
        if not self.blocks or not self.whole:
            return None
        if any(block.height > block.room for block in self.flow):
            return None
        return self.apart + min(self._ways, default=0)

    def goes_on(self, pages: int) -> bool:
        """Whether so many pages hold all of it."""
        fewest = self.pages()
        return fewest is not None and fewest <= pages

    def enlarged(self, by: float) -> Measured:
        """The same, each part and each gap so many times as high."""
        enlarged = (
            replace(block, height=block.height * by, gap=block.gap * by) for block in self.blocks
        )
        return replace(self, blocks=tuple(enlarged))

    def emptiest(self, pages: int) -> float:
        """What share of the emptiest page stays empty at its foot, once gaps have grown."""
        left = [0.0]
        for first, *others in self._spans(pages):
            free = first.room - _used([first, *others])
            grown = sum(shared_out(others, free))
            stretched = any(block.art is not None for block in (first, *others))
            left.append(0.0 if stretched else (free - grown) / first.room)
        return max(left)

    def rules(self, pages: int) -> str:
        """CSS for parts by their number, `data-n`: breaks, gaps, how high what stretches is."""
        spans = self._spans(pages)
        said = [rule for n, span in enumerate(spans) for rule in self._page(span, n > 0)]
        said += [
            self._stretched(block, max(0.0, block.room - block.height))
            for block in self.blocks if block.art is not None and block not in self.flow
        ]  # fmt: skip
        return "section { margin: 0 !important }" + "".join(said)

    def _spans(self, pages: int) -> list[tuple[Block, ...]]:
        """What stands on each page of the flow."""
        if not self.flow:
            return []
        starts = self._ways.get(pages - self.apart) or self._ways[min(self._ways)]
        ends = (*starts[1:], len(self.flow))
        return [self.flow[low:high] for low, high in zip(starts, ends, strict=True)]

    def _page(self, blocks: Sequence[Block], turned: bool) -> Iterator[str]:
        first, *others = blocks
        turned_over = "break-before: page !important; " if turned or self.apart else ""
        on = "string-set: on attr(data-on); " if first.kind in ("drink", "pair") else ""
        yield f"[data-n='{first.number}'] {{ {turned_over}{on}margin-top: 0 !important }}"
        free = first.room - _used([first, *others])
        arts = [block for block in (first, *others) if block.art is not None]
        if arts:
            most = min(free, 0.42 * first.room)
            yield self._stretched(arts[0], most)
            free -= most
        for block, more in zip(others, shared_out(others, free), strict=True):
            gap = f"margin-top: {block.gap + more:.2f}mm !important"
            yield f"[data-n='{block.number}'] {{ break-before: avoid !important; {gap} }}"

    def _stretched(self, block: Block, by: float) -> str:
        assert block.art is not None
        return f"[data-n='{block.art}'] {{ height: {self.heights[block.art] + by:.2f}mm }}"


def shared_out(blocks: Sequence[Block], free_mm: float) -> list[float]:
    """How much the gap before each of some parts grows, mm: by SHARE, none beyond MOST_MM."""
    more = [0.0] * len(blocks)
    growing = [n for n, block in enumerate(blocks) if block.kind in SHARE]
    while growing and free_mm > 0.01:
        unit = free_mm / sum(SHARE[blocks[n].kind] for n in growing)
        for n in growing:
            grown = min(unit * SHARE[blocks[n].kind], _most(blocks[n]) - more[n])
            more[n] += grown
            free_mm -= grown
        growing = [n for n in growing if more[n] < _most(blocks[n]) - 0.01]
    return more


def _most(block: Block) -> float:
    """How much the gap before a part may grow, mm: more on a page higher than A5."""
    return MOST_MM[block.kind] * max(1.0, block.room / USUAL_MM)


def _with_art(block: Block, number: int) -> Block:
    return Block(block.number, block.kind, block.height, block.gap, block.room, number)


def _used(blocks: Sequence[Block]) -> float:
    """The height of parts one under another; the first has no gap before it."""
    return sum(block.height + block.gap for block in blocks) - (blocks[0].gap if blocks else 0.0)


#: Of pages that begin with certain parts: where each begins, and what all of them cost together.
_Way: TypeAlias = tuple[float, tuple[int, ...]]


def _ways(flow: Sequence[Block], may: Sequence[bool]) -> dict[int, tuple[int, ...]]:
    """By how many pages, from the fewest on: where they begin so that they are filled alike."""
    best: dict[int, _Way] = {0: (0.0, ())}
    found: dict[int, tuple[int, ...]] = {}
    for count in range(1, len(flow) + 1):
        reached: dict[int, _Way] = {}
        for start, (so_far, starts) in best.items():
            for end, cost in _pages_from(flow, start, may):
                way = (so_far + cost, (*starts, start))
                reached[end] = min(way, reached.get(end, way))
        if len(flow) in reached:
            found[count] = reached.pop(len(flow))[1]
        if len(found) > _MORE or not reached:
            break
        best = reached
    return found


def _pages_from(
    flow: Sequence[Block], start: int, may: Sequence[bool]
) -> Iterator[tuple[int, float]]:
    """Every end of a page that begins with a part, and what that page costs."""
    used = -flow[start].gap if start < len(flow) else 0.0
    for end in range(start + 1, len(flow) + 1):
        used += flow[end - 1].gap + flow[end - 1].height
        room = flow[start].room
        if used > room:
            return
        if end == len(flow) or may[end]:
            split = _SPLIT if end < len(flow) and flow[end].kind in ("drink", "pair") else 0.0
            bare = _BARE if flow[start].kind == "foot" else 0.0
            yield end, (1.0 - used / room) ** 2 + split + bare


def _may_open(flow: Sequence[Block], at: int) -> bool:
    """Whether a page may begin with a part."""
    if at == 0 or flow[at].kind == "foot":
        return True
    if flow[at].kind == "section":
        return flow[at - 1].kind != "top"
    before = _drinks(flow, range(at - 1, -1, -1))
    return before >= 2 and _drinks(flow, range(at, len(flow))) >= 2


def _drinks(flow: Sequence[Block], run: range) -> int:
    """How many drinks stand one after another from a part on, one way, up to a heading."""
    count = 0
    for n in run:
        if flow[n].kind not in ("drink", "pair"):
            break
        count += 2 if flow[n].kind == "pair" else 1
    return count
