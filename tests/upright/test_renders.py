"""A publish words each page and paper once: settings of a card are tried by style, not by template."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from anthocard.house.reader import read_house
from anthocard.press.base.theme import Theme
from anthocard.press.build import plan
from anthocard.press.build.recipe_cache import work_out
from anthocard.press.build.run import Run
from anthocard.press.store.store import Store

DEMO = Path(__file__).parents[2] / "recipes"


def test_templates_are_rendered_few_times(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo house with all papers, from nothing: at most 200 renders (705 when each try was one)."""
    rendered: list[str] = []
    render = Theme.render

    def counted(self: Theme, template: str, *words: Any) -> str:
        rendered.append(template)
        return render(self, template, *words)

    monkeypatch.setattr(Theme, "render", counted)
    collection, store = read_house(DEMO), Store(tmp_path / "store")
    computed, _ = work_out(collection, store)
    kept = os.environ.get(
        "ANTHOCARD_TESTED_BUILD"
    )  # what else is asked of the papers, asks it there
    plan.publish(collection, computed, Path(kept or tmp_path / "build"), press=Run(store))
    assert 100 < len(rendered) <= 200
