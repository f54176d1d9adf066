"""How soon pages are there, as Lighthouse scores it on a phone that it imagines: needs a clock."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.test_screen import LOOKED_AT, audited


@pytest.mark.parametrize(("page", "scheme"), LOOKED_AT)
def test_pages_are_there_soon(
    page: str, scheme: str, address: str, node: str, chromium: str, tmp_path: Path
) -> None:
    """At least 95 of 100, on an idle machine."""
    asked = "--only-categories=performance"
    report = audited(f"{address}/{page}", scheme, (node, chromium), tmp_path, asked)
    score = round(100 * report["categories"]["performance"]["score"])
    print(f"{page} {scheme}: {score}")
    assert score >= 95
