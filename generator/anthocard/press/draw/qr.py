"""QR codes as drawings: one path of black modules and the quiet zone the standard asks for.

Belongs here: the only segno import. Does not belong here: what a code says (labels.py).
"""

from __future__ import annotations

from html import escape
from itertools import groupby

QUIET = 4  # modules of white around the code (ISO/IEC 18004, 9.1, memory)


def draw_qr(text: str, title: str) -> str:
    """An SVG square, one unit a module, error correction M (about 15 %). Same text, same drawing.

    Raises ValueError for more text than a code holds.
    """
    import segno

    code = segno.make_qr(text, error="m")  # DataOverflowError is a ValueError
    size = code.symbol_size(scale=1, border=0)[0]
    runs: list[str] = []
    for y, row in enumerate(code.matrix):
        x = 0
        for dark, cells in groupby(row):
            length = len(list(cells))
            if dark:
                runs.append(f"M{x} {y}h{length}v1h-{length}z")
            x += length
    box = f"{-QUIET} {-QUIET} {size + 2 * QUIET} {size + 2 * QUIET}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="qr" viewBox="{box}"'
        f' shape-rendering="crispEdges"><title>{escape(title)}</title>'
        f'<rect x="{-QUIET}" y="{-QUIET}" width="{size + 2 * QUIET}"'
        f' height="{size + 2 * QUIET}" fill="#ffffff"/>'
        f'<path d="{"".join(runs)}" fill="#000000"/></svg>'
    )
