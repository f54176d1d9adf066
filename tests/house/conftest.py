"""Small invented houses written into a temporary folder, for the tests of this floor."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

HOUSE = """\
name: The Still Room
place: GB
currency: GBP
glasses:
  small goblet: {width: 62 mm, holds: 180 ml}
  highball: {width: 60 mm, holds: 300 ml}
measures:
  dash: {ml: 0.8, measured: 2026-01-03}
"""
BLUE_GIN = """\
---
kind: infusion
name: Blue Gin
plant: butterfly pea
into: gin
dose: 8 g per litre
time: 100 min
---
"""
BLUE_HOUR = """\
---
kind: drink
name: Blue Hour
glass: small goblet
ice: cracked
method: shaken
pours:
  - 50 ml blue gin
  - 15 ml honey syrup
  - 1 dash aromatic bitters
reveal:
  pour: lemon juice
  amount: 10 ml
garnish: a bay leaf
price: 13
---
Violet, until you pour.

## Method
1. Shake.
"""
FILES = {"house.yaml": HOUSE, "infusions/blue-gin.md": BLUE_GIN, "drinks/blue-hour.md": BLUE_HOUR}


House = Callable[..., Path]


@pytest.fixture
def house(tmp_path: Path) -> House:
    """Writes the small house into a temporary folder, other files over it, and gives its path."""

    def build(**extra: str) -> Path:
        folder = tmp_path / "recipes"
        for name, text in {**FILES, **extra}.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="")
        return folder

    return build
