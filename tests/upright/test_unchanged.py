"""Doing nothing, and only when nothing has changed: times that lie, clocks that go back, readers
that are interrupted.
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from anthocard.commands import publish as command
from anthocard.press.build import site, unchanged
from anthocard.press.build.recall import Worked
from anthocard.press.build.unchanged import (
    NOTE,
    fingerprint,
    glance,
    sources,
    still_stands,
    take_note,
)

WORDS = ("a house", "base")


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A house and its build, both written ten seconds ago."""
    folder = tmp_path / "house"
    (folder / "drinks").mkdir(parents=True)
    (folder / "house.yaml").write_text("name: x")
    (folder / "drinks" / "one.md").write_text("one")
    (tmp_path / "out" / "staff").mkdir(parents=True)
    (tmp_path / "out" / "staff" / "one.html").write_text("one")
    return folder


def noted(house: Path, monkeypatch: pytest.MonkeyPatch, later_s: float = 10.0) -> Path:
    """Take the note, as if `later_s` seconds after the last save."""
    out = house.parent / "out"
    take_note(out, fingerprint(house, WORDS), WORDS, sources(house)[0], 1)
    at = time.time_ns() + int(later_s * 1e9)
    os.utime(out / NOTE, ns=(at, at))
    # The package's own files may have been written a moment ago by whoever develops it.
    monkeypatch.setattr(unchanged, "_own_folders", lambda: ())
    take_note(out, fingerprint(house, WORDS), WORDS, sources(house)[0], 1)
    os.utime(out / NOTE, ns=(at, at))
    return out


def test_nothing_changed_is_told_at_a_glance(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Untouched: one file stands. With other options: nobody knows."""
    out = noted(house, monkeypatch)
    assert glance(out, house, WORDS) == 1
    assert glance(out, house, ("a house", "other")) is None


@pytest.mark.skipif(not hasattr(os, "fork"), reason="one process looks at everything")
@pytest.mark.filterwarnings("ignore:This process .* is multi-threaded:DeprecationWarning")
@pytest.mark.parametrize("fate", ["tells", "dies", "fails", "is not waited for"])
def test_a_big_build_is_looked_over_by_a_second_process(
    house: Path, monkeypatch: pytest.MonkeyPatch, fate: str
) -> None:
    """It tells the same; if it dies, or cannot look, this one looks itself; and it always ends."""
    out = noted(house, monkeypatch)
    monkeypatch.setattr(unchanged, "_MANY", 0)
    ours, real, fork, children = os.getpid(), unchanged._built, os.fork, []

    def looks(folder: Path) -> str:
        if os.getpid() != ours and fate == "dies":
            os._exit(3)
        if os.getpid() != ours and fate == "fails":
            raise OSError(5, "Input/output error")
        if os.getpid() != ours and fate == "is not waited for":
            time.sleep(60)
        return real(folder)

    def forked() -> int:
        child = fork()
        children.append(child)
        return child

    monkeypatch.setattr(unchanged, "_built", looks)
    monkeypatch.setattr(os, "fork", forked)
    if fate == "is not waited for":
        (house / "drinks" / "one.md").write_text("two")
        start = time.monotonic()
        assert glance(out, house, WORDS) is None
        assert time.monotonic() - start < 30
    else:
        assert glance(out, house, WORDS) == 1
        (out / "staff" / "one.html").write_text("two")
        assert glance(out, house, WORDS) is None
    for child in children:
        with pytest.raises(ProcessLookupError):
            os.kill(child, 0)
    assert len(children) == (1 if fate == "is not waited for" else 2)


@pytest.mark.parametrize(
    "change",
    [
        lambda h, o: (h / "drinks" / "one.md").write_text("two"),
        lambda h, o: (h / "drinks" / "new.md").write_text("new"),
        lambda h, o: (h / "drinks" / "one.md").unlink(),
        lambda h, o: (h / "drinks" / "one.md").rename(h / "drinks" / "two.md"),
        lambda h, o: (h / "stock.yaml").write_text("gin: {}"),
        lambda h, o: (h / "themes" / "mine").mkdir(parents=True),
        lambda h, o: (o / "staff" / "one.html").write_text("two"),
        lambda h, o: (o / "staff" / "one.html").unlink(),
        lambda h, o: (o / NOTE).write_text("{"),
        lambda h, o: (o / NOTE).write_text("[]"),
        lambda h, o: (o / NOTE).unlink(),
    ],
)
def test_every_change_is_noticed(change: Any, house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Edited, added, gone, renamed, in the house or in the build, or the note itself."""
    out = noted(house, monkeypatch)
    change(house, out)
    assert glance(out, house, WORDS) is None


def test_an_edit_that_hides_its_time_is_noticed(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Same size, and the time of writing put back as copying tools do: the inode's own time tells."""
    out = noted(house, monkeypatch)
    path = house / "drinks" / "one.md"
    before = path.stat()
    path.write_text("two")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert glance(out, house, WORDS) is None
    assert still_stands(out, fingerprint(house, WORDS)) is None


@pytest.mark.parametrize("later_s", [1.0, -3600.0])
def test_young_files_are_read_again(
    later_s: float, house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Saved a second before the note, or (the clock went back an hour) after it: a glance is not
    enough, the contents decide, and they say that nothing changed.
    """
    out = noted(house, monkeypatch, later_s)
    assert glance(out, house, WORDS) is None
    assert still_stands(out, fingerprint(house, WORDS)) == 1


def test_a_folder_linked_to_itself_ends(house: Path) -> None:
    """A link that leads round in a circle is passed by."""
    (house / "themes").mkdir()
    (house / "themes" / "round").symlink_to(house / "themes", target_is_directory=True)
    (house / "drinks" / "nowhere.md").symlink_to(house / "nothing")
    assert sources(house)[0] == sources(house)[0]
    assert fingerprint(house, WORDS) == fingerprint(house, WORDS)


def test_files_that_change_while_they_are_read(
    house: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A save in the middle of a publish: what was built is not taken for the last word."""
    out = tmp_path / "other"

    def slow(folder: Path) -> tuple[Any, Worked, tuple[()]]:
        (house / "drinks" / "one.md").write_text("saved meanwhile")
        return SimpleNamespace(house=None), Worked(cast("Any", None), (), {}), ()

    monkeypatch.setattr(command, "recalled", slow)
    monkeypatch.setattr(site, "contents", lambda *_: {"staff/one.html": lambda: b"one"})
    options = argparse.Namespace(
        house=house, out=out, theme="base", no_paper=True, only=None, again=False, quiet=True,
        json=False, cache=tmp_path / "cache", processes=1, share=None,
        join=[], cache_most=None,
    )  # fmt: skip
    assert command.run(options) == 0
    assert (out / "staff" / "one.html").read_bytes() == b"one"
    assert not (out / NOTE).exists()
