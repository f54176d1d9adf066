"""Small houses written to disk, read and computed whole: what the engine is tested on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from anthocard.engine.compute import compute
from anthocard.engine.results import Computed
from anthocard.house.reader import read_house

HOUSE = """\
name: A Test Bench
place: GB
currency: GBP
glasses:
  small glass: {width: 60 mm, holds: 250 ml}
  tall glass: {width: 60 mm, holds: 400 ml}
measures:
  dash: {ml: 0.8, measured: 2026-01-01}
"""

Computer = Callable[..., Mapping[str, Computed]]


def write_house(folder: Path, files: Mapping[str, str], house: str = HOUSE) -> Path:
    """Lay out a house: recipe files by `folder/name.md`, front-matter only unless fenced."""
    (folder / "house.yaml").write_text(house, encoding="utf-8")
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        whole = text if text.startswith("---") or not name.endswith(".md") else f"---\n{text}---\n"
        path.write_text(whole, encoding="utf-8")
    return folder


@pytest.fixture
def computer(tmp_path: Path) -> Computer:
    """Compute a house given as files: `computer({"drinks/x.md": "kind: drink\\n…"})`."""

    def run(
        files: Mapping[str, str], house: str = HOUSE, at_c: float | None = None
    ) -> Mapping[str, Computed]:
        return compute(read_house(write_house(tmp_path, files, house)), at_c)[0]

    return run
