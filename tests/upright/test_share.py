"""Shares: each machine sets its part, one puts them together and sets nothing more."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.cellar.errors import AuthorError
from generator.press.cache import Cache
from generator.press.paper import paper_pdf
from generator.press.share import Share, join, read_share, set_share
from generator.press.workers import Typesetter, made

PAGE = "<html lang=en><head><title>t</title></head><body><p>page {}</p></body></html>"


@pytest.mark.parametrize("text", ["", "1", "0/3", "4/3", "-1/3", "1/0", "a/b", "1/2/3", "1.5/2"])
def test_what_is_no_share_is_told(text: str) -> None:
    """Only I/N with 1 ≤ I ≤ N."""
    with pytest.raises(AuthorError, match="no share"):
        read_share(text)
    assert read_share(" 2/5 ") == Share(2, 5)


def test_every_paper_falls_to_one_share() -> None:
    """By its key alone: a thousand keys, three shares, none left out and none twice, fairly."""
    keys = [f"{number * 7919:040x}" for number in range(1000)]
    parts = [[key for key in keys if Share(i, 3).has(key)] for i in (1, 2, 3)]
    assert sorted(key for part in parts for key in part) == sorted(keys)
    assert min(map(len, parts)) > 250


def test_shares_joined_are_the_whole(tmp_path: Path) -> None:
    """Two machines, two folders: joined, the publish sets nothing and gives the same bytes."""
    wanted = {f"{n}.pdf": (lambda n=n: paper_pdf(PAGE.format(n), "")) for n in range(8)}
    whole = dict(made(wanted, wanted))
    counts = []
    for number in (1, 2):
        typesetter = Typesetter(Cache(tmp_path / str(number)), 1)
        counts.append(set_share(wanted, Share(number, 2), typesetter))
    assert sum(counts) == 8
    assert min(counts) > 0
    into = Cache(tmp_path / "into")
    assert join((Cache(tmp_path / "1"), Cache(tmp_path / "2"), Cache(tmp_path / "no")), into) == 8
    last = Typesetter(into, 1)
    assert dict(made(wanted, wanted, last)) == whole
    assert last.set_anew == 0
