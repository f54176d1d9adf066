"""Write generator/KEYS.md, the list of what can be written, from the types that read it."""

from __future__ import annotations

from pathlib import Path

from anthocard.terminal.keys import page

Path(__file__).parents[1].joinpath("generator/KEYS.md").write_text(page(), encoding="utf-8")
