"""`sh .ci/score`: the table of what the engine says beside what others measured.

`--each AREA` prints every value of the areas whose name begins so; `--write` puts the table into README.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from tests.score.areas import areas
from tests.score.outside import held, table

TABLE = re.compile(r"\| area \|.*\n(?:\|.*\n)+")

if __name__ == "__main__":
    wanted = sys.argv[2] if sys.argv[1:2] == ["--each"] else None
    found = [area for area in areas() if wanted is None or area.name.startswith(wanted)]
    if wanted is not None:
        for area in found:
            for one in area.values:
                marks = ("" if one.inside else " OUT") + (" held" if held(one.key) else "")
                print(
                    f"{one.key:40} published {one.published:9.4g}  ours {one.ours:9.4g} "
                    f"({one.p5:.4g} to {one.p95:.4g})  {one.error:+.3f}{marks}"
                )
    print(table(found))
    if sys.argv[1:2] == ["--write"]:
        readme = Path(__file__).parents[2] / "README.md"
        text = readme.read_text(encoding="utf-8")
        readme.write_text(re.sub(TABLE, table(found) + "\n", text), encoding="utf-8")
