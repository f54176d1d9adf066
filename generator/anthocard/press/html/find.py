"""What the search of the spec book reads: an index in pieces, scripts beside the page.

Belongs here: what of a row stands in the index, and how it is cut. Does not belong here: what a
recipe is found by (row.py), ranking (themes/base/find.js). Scripts, because a page that is opened
from a disk may load those and nothing else.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence

from anthocard.house.settings import Glass
from anthocard.press.data.row import RecipeRow
from anthocard.press.draw.thumbnail import draw_symbol, level_of

#: Rows in one piece of the index; chosen: about a quarter of a megabyte.
PIECE = 800
PIECES = "find-"  # how their names begin
CHIP = (
    '<symbol id="chip" viewBox="-30 -30 60 60"><circle r="29"/>'
    '<circle class="outline" r="29"/></symbol>'
)


def symbols(rows: Sequence[RecipeRow], glasses: Mapping[str, Glass]) -> dict[str, str]:
    """Each glass and level that some row shows, by key, as SVG symbols."""
    kinds = {(row.glass, level_of(glasses[row.glass], row.volume_ml)) for row in rows if row.glass}
    return {
        _key(*kind): draw_symbol(glasses[kind[0]], kind[1], _key(*kind)) for kind in sorted(kinds)
    }


def symbol_of(row: RecipeRow, glasses: Mapping[str, Glass]) -> str:
    """The key of the symbol a row shows; empty for what has no glass."""
    return _key(row.glass, level_of(glasses[row.glass], row.volume_ml)) if row.glass else ""


def index_files(
    recipes: Iterable[RecipeRow], glasses: Mapping[str, Glass], cards: bool
) -> dict[str, bytes]:
    """The pieces of the index by plain name; `cards` says whether drinks have one on paper."""
    all_rows = [_row(one, glasses, cards) for one in recipes]
    pieces = {}
    for start in range(0, max(1, len(all_rows)), PIECE):
        rows = all_rows[start : start + PIECE]
        written = json.dumps(rows, ensure_ascii=False, separators=(",", ":"))
        content = f"(globalThis.anthocardRows ??= []).push(...{written});\n"
        pieces[f"{PIECES}{start // PIECE + 1}.js"] = content.encode()
    return pieces


def line_of(row: RecipeRow) -> str:
    """What stands below a name in the list."""
    return f"{row.turning} · {row.strength}"


def _row(row: RecipeRow, glasses: Mapping[str, Glass], cards: bool) -> list[object]:
    """In the order in which find.js takes it apart."""
    return [
        row.slug, row.name, row.kind, line_of(row), symbol_of(row, glasses), row.hex, row.badge,
        int(cards and row.kind == "drink"), row.called, row.made, row.appearance, row.holds,
        row.tags,
    ]  # fmt: skip


def _key(glass: str, level: int) -> str:
    return f"g-{'-'.join(glass.split())}-{level}"
