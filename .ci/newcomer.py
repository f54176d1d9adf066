"""A newcomer's walk, timed: a fresh clone, README's own lines, to the first own card.

Belongs here: running what README says, word for word, with nothing kept from before. Does not
belong here: what any of it should do in detail (tests/).

    python3 .ci/newcomer.py

Exits with 1 when the walk takes more than five minutes, or leads to no card.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
MOST_S = 300.0
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block(language: str, after: str) -> str:
    """The first fenced block in a language behind a heading of README."""
    found = re.search(rf"(?ms)^```{language}\n(.*?)^```$", README[README.index(after) :])
    assert found is not None, f"README has no {language} behind {after}"
    return found.group(1)


def main() -> int:
    """Walk; the exit code."""
    install = block("sh", "## Two commands").split("\n")[:-1]
    begin, publish = block("text", "## A house in five minutes").split("\n")[:-1]
    drink = block("markdown", "## What you write")
    lines = [*install, begin, publish, publish]
    took = 0.0
    with tempfile.TemporaryDirectory() as place:
        checkout, bar = Path(place, "checkout"), Path(place, "my-bar")
        around = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "VIRTUAL_"))}
        around["XDG_CACHE_HOME"] = str(Path(place, "cache"))  # nothing kept, by pip or by us
        subprocess.run(["git", "clone", "-q", ROOT, checkout], check=True)
        for number, line in enumerate(lines):
            start = time.monotonic()
            subprocess.run(line, shell=True, check=True, cwd=checkout, env=around)
            took += time.monotonic() - start
            print(f"{time.monotonic() - start:6.1f} s  {line}", flush=True)
            if number == len(lines) - 2:  # and now a drink of one's own
                (bar / "drinks" / "harbour-light.md").write_text(drink, encoding="utf-8")
        card = Path(place, "my-bar-build", "staff", "cards", "harbour-light.pdf")
        made = card.is_file() and card.read_bytes().startswith(b"%PDF")
    print(f"{took:6.1f} s  in all; {'the card is there' if made else 'NO CARD'}")
    return 0 if made and took <= MOST_S else 1


if __name__ == "__main__":
    sys.exit(main())
