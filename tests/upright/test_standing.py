"""What is known of the last build without reading it: never a wrong file, whatever happened to it."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.press.build.standing import REGISTER, Standing

KEYS = {"staff/one.html": "k1", "staff/two.html": "k2"}


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Two files that stand in a register."""
    (tmp_path / "staff").mkdir()
    for path in KEYS:
        (tmp_path / path).write_text(f"made of {KEYS[path]}")
    Standing(tmp_path).register(KEYS)
    return tmp_path


def known(out: Path) -> set[str]:
    standing = Standing(out)
    return {path for path, key in KEYS.items() if standing.has(path, key)}


def test_a_file_is_known_by_the_key_it_was_made_under(out: Path) -> None:
    """By that key alone, and another file's key is none of its own."""
    standing = Standing(out)
    assert known(out) == set(KEYS)
    assert not standing.has("staff/one.html", "k2")
    assert not standing.has("staff/three.html", "k1")


def _edit(one: Path) -> None:
    one.write_text("made by hand")


def _same_length(one: Path) -> None:
    one.write_text("made of k9")


def _replace(one: Path) -> None:
    new = one.with_name("new")
    new.write_bytes(one.read_bytes())
    times = one.stat()
    os.utime(new, ns=(times.st_atime_ns, times.st_mtime_ns))
    new.replace(one)


def _link(one: Path) -> None:
    one.rename(one.with_name("other"))
    one.symlink_to("other")


def _folder(one: Path) -> None:
    one.unlink()
    one.mkdir()


@pytest.mark.parametrize("what", [_edit, _same_length, _replace, _link, _folder, Path.unlink])
def test_a_file_that_was_touched_is_not_known(out: Path, what: Callable[[Path], None]) -> None:
    """Another content, another file, a link, nothing: all of it is read or made again."""
    what(out / "staff/one.html")
    assert known(out) == {"staff/two.html"}


def test_a_link_to_the_same_file_is_that_file(out: Path) -> None:
    """That is how the next build has it."""
    os.link(out / "staff/one.html", out / "staff/new")
    (out / "staff/new").replace(out / "staff/one.html")
    assert known(out) == set(KEYS)


def test_some_files_made_anew_leave_the_rows_of_the_others(out: Path) -> None:
    """As `--only` does; what is no longer as it was registered loses its row."""
    (out / "staff/one.html").write_text("made of k3")
    Standing(out).register({"staff/one.html": "k3"})
    assert Standing(out).has("staff/one.html", "k3")
    assert known(out) == {"staff/two.html"}
    (out / "staff/two.html").unlink()
    Standing(out).register({})
    assert list(json.loads((out / REGISTER).read_bytes())) == ["staff/one.html"]


@pytest.mark.parametrize(
    "rubbish",
    [b"", b"[]", b"\xff", b'{"staff/one.html": 3}', b'{"staff/one.html": []}', b"[" * 9999],
)
def test_a_register_that_is_rubbish_knows_nothing(out: Path, rubbish: bytes) -> None:
    """And is written anew."""
    (out / REGISTER).write_bytes(rubbish)
    assert known(out) == set()
    Standing(out).register(KEYS)
    assert known(out) == set(KEYS)


def test_no_room_for_a_register_is_no_mistake(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The build stands by then."""

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    (out / REGISTER).unlink()
    Standing(out).register(KEYS)
    assert known(out) == set()
