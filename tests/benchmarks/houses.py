"""Houses of any size for the benchmarks: the starter house, and drinks that differ a little.

Belongs here: making files. Does not belong here: measuring them.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

STARTER = Path(__file__).parents[2] / "generator" / "anthocard" / "commands" / "starter"


#: Infusions of a mixed house, and what is steeped in each.
PLANTS = {
    "cabbage gin": "dried red cabbage", "hibiscus gin": "dried hibiscus",
    "carrot gin": "dried black carrot",
}  # fmt: skip


def make_house(folder: Path, drinks: int) -> Path:
    """The starter house and `drinks` more, each with an amount and a name of its own."""
    shutil.copytree(STARTER, folder)
    model = (folder / "drinks" / "first-light.md").read_text(encoding="utf-8")
    for number in range(drinks):
        text = model.replace("First Light", f"First Light {number:05}")
        text = text.replace("50 ml", f"{40 + number % 40 / 2:g} ml")
        (folder / "drinks" / f"light-{number:05}.md").write_text(text, encoding="utf-8")
    return folder


def mix_house(folder: Path, drinks: int, seed: int = 8) -> Path:
    """The starter house with infusions of other plants and `drinks` of chance: what colours, sours
    and chills each, in which glass, and what is poured last, is drawn.
    """
    chance = Random(seed)
    shutil.copytree(STARTER, folder)
    for name, plant in PLANTS.items():
        (folder / "infusions" / f"{plant.replace(' ', '-')}.md").write_text(
            f"---\nkind: infusion\nname: {name}\nplant: {plant}\ninto: gin\n"
            f"dose: {chance.uniform(2, 6):.1f} g per litre\ntime: 60 min\n---\nSteep.\n",
            encoding="utf-8",
        )
    for number in range(drinks):
        glass, method, ice = chance.choice(
            (
                ("coupe", "stirred", "none"),
                ("coupe", "shaken", "none"),
                ("highball", "built", "cubed"),
            )
        )
        colour = chance.choice(("blue gin", *PLANTS))
        pour, least, most = chance.choice(
            (("sharp acid", 4, 10), ("lime juice", 10, 25), ("tonic water", 60, 90))
        )
        ml = chance.uniform(least, most if glass == "highball" else min(most, 25) + least) / 2 + 3
        lines = [f"  - {chance.randrange(30, 55, 5)} ml {colour}"]
        lines += [f"  - {chance.randrange(5, 20, 5)} ml plain syrup"]
        lines += [f"  - {chance.uniform(2, 10):.1f} ml grapefruit juice"] * chance.randrange(2)
        pours = "\n".join(lines)
        (folder / "drinks" / f"chance-{number:05}.md").write_text(
            f"---\nkind: drink\nname: Chance {number:05}\nglass: {glass}\nice: {ice}\n"
            f"method: {method}\npours:\n{pours}\nreveal:\n  pour: {pour}\n"
            f"  amount: {ml:.1f} ml\nprice: 12\n---\nDrawn.\n\n## Method\n\n1. Make it.\n",
            encoding="utf-8",
        )
    return folder


def lay_build(out: Path, recipes: int) -> None:
    """Files as a publish of that many recipes leaves them: a page, figures and a card each."""
    for folder, ending in (("staff", "html"), ("staff/data", "json"), ("staff/cards", "pdf")):
        (out / folder).mkdir(parents=True, exist_ok=True)
        for number in range(recipes):
            (out / folder / f"light-{number:05}.{ending}").write_text("x")
    (out / "guest").mkdir()
    (out / "guest" / "index.html").write_text("x")
