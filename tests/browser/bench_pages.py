"""How soon pages are there, as Lighthouse scores it on a phone that it imagines, and how smoothly a
drink turns: both need a clock.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.conftest import Walk
from tests.browser.test_screen import LOOKED_AT, MENU, audited


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


@pytest.mark.parametrize("slower", [1, 4])
def test_a_turn_is_smooth(slower: int, address: str, walk: Walk) -> None:
    """At most 8 ms of the main thread a picture shown, on this machine and one four times slower."""
    told = walk("turning", address, [f"{address}/{MENU}"], slower=slower)["told"]
    most = max(one["ms"] for one in told)
    fewest = min(one["frames"] for one in told) / 2
    print(f"{slower} × slower: at most {most:.1f} ms a picture, at least {fewest:.0f} a second")
    assert most <= 8.0
