"""Houses of any size for the enginemarks: the starter house, and drinks that differ a little.

Belongs here: making files. Does not belong here: measuring them.
"""

from __future__ import annotations

import shutil
from pathlib import Path

STARTER = Path(__file__).parents[2] / "generator" / "anthocard" / "commands" / "starter"


def make_house(folder: Path, drinks: int) -> Path:
    """The starter house and `drinks` more, each with an amount and a name of its own."""
    shutil.copytree(STARTER, folder)
    model = (folder / "drinks" / "first-light.md").read_text(encoding="utf-8")
    for number in range(drinks):
        text = model.replace("First Light", f"First Light {number:05}")
        text = text.replace("50 ml", f"{40 + number % 40 / 2:g} ml")
        (folder / "drinks" / f"light-{number:05}.md").write_text(text, encoding="utf-8")
    return folder


def lay_build(out: Path, recipes: int) -> None:
    """Files as a publish of that many recipes leaves them: a page, figures and a card each."""
    for folder, ending in (("staff", "html"), ("staff/data", "json"), ("staff/cards", "pdf")):
        (out / folder).mkdir(parents=True, exist_ok=True)
        for number in range(recipes):
            (out / folder / f"light-{number:05}.{ending}").write_text("x")
    (out / "guest").mkdir()
    (out / "guest" / "index.html").write_text("x")
