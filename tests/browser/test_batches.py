"""A batch on a page is the batch of the command: every demo recipe, whole numbers and fractions."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from anthocard.cli import main
from anthocard.diagnostics.diagnostic import MistakeLog
from anthocard.engine.compute import compute
from anthocard.engine.mix.shelf import Shelf
from anthocard.engine.results import Computed
from anthocard.engine.trade.batching import times as engine
from anthocard.house.collection import Collection
from anthocard.house.reader import read_house
from anthocard.press.words.batch_sheet import Sheet, make_sheet

from tests.browser.conftest import ROOT, Walk

TIMES = ("0.1", "0.5", "1", "1.5", "5", "7.25", "24", "333", "100000")
BEYOND = ("0", "0.05", "-3", "100001")


@cache
def demo() -> tuple[Collection, dict[str, Computed], Shelf]:
    collection = read_house(ROOT / "recipes")
    return collection, dict(compute(collection)[0]), Shelf(collection, MistakeLog())


def commanded(slug: str, times: str) -> Sheet:
    """The sheet `anthocard batch` writes."""
    collection, computed, shelf = demo()
    one = computed[slug]
    return make_sheet(one, engine(one, float(times), collection, shelf), collection.house)


@pytest.fixture(scope="module")
def shown(walk: Walk, address: str) -> dict[str, dict[str, Any]]:
    """What each page shows, by slug and number."""
    urls = {f"{address}/staff/{slug}.html": slug for slug in demo()[1]}
    told = walk("batches", address, [*urls], times=[*TIMES, *BEYOND])
    assert told["heard"] == []
    return {urls[url]: found for url, found in told["told"].items()}


@pytest.mark.parametrize("times", TIMES)
def test_a_page_shows_the_batch_of_the_command(shown: dict[str, Any], times: str) -> None:
    """Lines, weights, water, melt, made-up volume, bottles and service: equal to the last word."""
    assert len(shown) == 38
    for slug, found in shown.items():
        page, sheet = found[times], commanded(slug, times)
        assert page["lines"] == [[one.name, one.large, one.small] for one in sheet.lines], slug
        assert page["makes"] == sheet.makes, slug
        said = " ".join(page["said"])
        for words in (*sheet.notes, " ".join(sheet.bottling), *sheet.service):
            assert words in said, slug
        assert (page["one"], page["limits"]) == (0, [])


def test_what_is_of_one_is_marked_while_a_batch_is_shown(shown: dict[str, Any]) -> None:
    """The method, the guest's pour and the volume a recipe is made up to keep their amounts."""
    for slug, found in shown.items():
        assert found["5"]["marks"] == found["5"]["of"] >= 1, slug
        assert all(found[beyond]["marks"] == 0 for beyond in BEYOND)


def test_more_than_can_be_made_is_refused_in_words(shown: dict[str, Any]) -> None:
    """Nothing is cut down to a limit in silence: the limit is told, and one is shown."""
    for found in shown.values():
        for beyond in BEYOND:
            (told,) = found[beyond]["limits"]
            assert "From 0.1 to 100000" in told
            assert (found[beyond]["lines"], found[beyond]["one"] > 0) == ([], True)


def test_the_command_itself_says_so(
    shown: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Five times the frost acid at the prompt: each amount that the page shows, in its words."""
    house, out = str(ROOT / "recipes"), str(tmp_path / "batch.pdf")
    assert main(["batch", "frost acid", "--times", "5", "--house", house, "--out", out]) == 0
    printed = capsys.readouterr().out
    for name, large, _ in shown["frost-acid"]["5"]["lines"]:
        assert f"{large}  {name}" in printed
    assert shown["frost-acid"]["5"]["makes"] in printed
    with pytest.raises(SystemExit):
        main(["batch", "Hoar Frost", "--serves", "0.01", "--house", house])
    assert "from 0.1 to 100000" in capsys.readouterr().err
