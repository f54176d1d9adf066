"""What a table says of where its rows come from is true of them: `read` is what was read in the text itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import anthocard
import pytest
import yaml
from anthocard.diagnostics.tables import HOW, plain_values

TABLES = sorted(Path(anthocard.__file__).parent.rglob("*.yaml"))
#: What says of a whole row that its text itself was not seen.
NOT_READ = re.compile(
    r"second-hand|from a secondary|\bas (?:quoted|reported)\b|quoted by|via colour-science|"
    r"coefficients read in|own table, after|paper (?:itself )?not seen|^MEMORY"
)


def rows_of(path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    table = yaml.safe_load(path.read_text(encoding="utf-8"))
    for section, rows in table.items() if isinstance(table, dict) else ():
        if not section.startswith("_") and isinstance(rows, dict):
            for key, row in rows.items():
                if isinstance(row, dict) and row.get("how") in HOW:
                    yield f"{section}.{key}", row


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_read_is_only_what_was_read(path: Path) -> None:
    """No row called `read` says in its own source that somebody else was read instead."""
    said = [
        key for key, row in rows_of(path) if row["how"] == "read" and NOT_READ.search(row["source"])
    ]
    assert not said


def test_the_pattern_finds_what_it_looks_for() -> None:
    """The words that were once called `read` are found, and an honest row is not."""
    for words in (
        "guidance on flowers (read second-hand)",
        "as quoted in a dossier",
        "MEMORY: typical",
    ):
        assert NOT_READ.search(words)
    assert not NOT_READ.search("27 CFR 31.233 (read)")


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_no_key_stands_twice(path: Path) -> None:
    """Of two rows of one key the last would count in silence; the reader refuses it."""
    plain_values(path.name, path.read_text(encoding="utf-8"))
