"""Doing nothing, and only when nothing has changed: times that lie, clocks that go back, readers
that are interrupted.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from anthocard.cli import main
from anthocard.commands import publish as command
from anthocard.digest import digest
from anthocard.press.build import fingerprint as module, plan
from anthocard.press.build.fingerprint import RECORD, Record, fingerprint, sources
from anthocard.press.data.worked import as_worked
from anthocard.press.store.key import Target

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
    # The package's own files may have been written a moment ago by whoever develops it.
    monkeypatch.setattr(module, "own_folders", lambda: ())
    record = Record(out)
    record.write_down({"staff/one.html": ("k1", digest(b"one").hex())})
    record.take_note(fingerprint(house, WORDS), sources(house, WORDS)[0], (), None)
    at = time.time_ns() + int(later_s * 1e9)
    os.utime(out / RECORD, ns=(at, at))
    return out


def glance(out: Path, house: Path, words: tuple[str, ...] = WORDS) -> int | None:
    return Record(out).glance(*sources(house, words))


def test_nothing_changed_is_told_at_a_glance(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Untouched: one file stands. With other options: nobody knows."""
    out = noted(house, monkeypatch)
    assert glance(out, house) == 1
    assert glance(out, house, ("a house", "other")) is None


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
        lambda h, o: (o / RECORD).write_text("{"),
        lambda h, o: (o / RECORD).write_text("[]"),
        lambda h, o: (o / RECORD).unlink(),
    ],
)
def test_every_change_is_noticed(change: Any, house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Edited, added, gone, renamed, in the house or in the build, or the note itself."""
    out = noted(house, monkeypatch)
    change(house, out)
    assert glance(out, house) is None


def test_an_edit_that_hides_its_time_is_noticed(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Same size, and the time of writing put back as copying tools do: the inode's own time tells."""
    out = noted(house, monkeypatch)
    path = house / "drinks" / "one.md"
    before = path.stat()
    path.write_text("two")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert glance(out, house) is None
    assert Record(out).stands(fingerprint(house, WORDS)) is None


@pytest.mark.parametrize("later_s", [1.0, -3600.0])
def test_young_files_are_read_again(
    later_s: float, house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Saved a second before the note, or (the clock went back an hour) after it: a glance is not
    enough, the contents decide, and they say that nothing changed; once that is written down (a
    second later still), a glance is enough.
    """
    out = noted(house, monkeypatch, later_s)
    assert glance(out, house) is None
    assert Record(out).stands(fingerprint(house, WORDS)) == 1
    Record(out).renew(sources(house, WORDS)[0])
    at = time.time_ns() + 10 * 10**9
    os.utime(out / RECORD, ns=(at, at))
    assert glance(out, house) == 1


def test_a_build_that_was_copied_is_known_at_a_glance_again(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its files have other inodes: contents decide once, and what they say is written down."""
    out = noted(house, monkeypatch)
    page = out / "staff" / "one.html"
    page.rename(page.with_name("old"))
    page.write_text("one")
    assert glance(out, house) is None
    assert Record(out).stands(fingerprint(house, WORDS)) == 1
    Record(out).renew(sources(house, WORDS)[0])
    at = time.time_ns() + 10 * 10**9
    os.utime(out / RECORD, ns=(at, at))
    assert glance(out, house) == 1


def test_a_folder_linked_to_itself_ends(house: Path) -> None:
    """A link that leads round in a circle is passed by."""
    (house / "themes").mkdir()
    (house / "themes" / "round").symlink_to(house / "themes", target_is_directory=True)
    (house / "drinks" / "nowhere.md").symlink_to(house / "nothing")
    assert sources(house, WORDS)[0] == sources(house, WORDS)[0]
    assert fingerprint(house, WORDS) == fingerprint(house, WORDS)


def test_files_that_change_while_they_are_read(
    house: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A save in the middle of a publish: what was built is not taken for the last word."""
    out = tmp_path / "other"

    def slow(folder: Path, store: object) -> tuple[Any, Any, tuple[()]]:
        (house / "drinks" / "one.md").write_text("saved meanwhile")
        return (
            SimpleNamespace(
                house=SimpleNamespace(press=None, web=None, staff_web=None), changes_on=()
            ),
            as_worked(cast("Any", None), {}),
            (),
        )

    monkeypatch.setattr(command, "house_computed", slow)
    monkeypatch.setattr("anthocard.press.proof.house_warnings.house_warnings", lambda *_: ())
    file = Target("one", "", lambda press: b"one")
    monkeypatch.setattr(plan, "contents", lambda *_: {"staff/one.html": file})
    words = ["publish", "--house", house, "--out", out, "--cache", tmp_path / "cache"]
    assert main([*map(str, words), "--no-paper", "--quiet"]) == 0
    assert (out / "staff" / "one.html").read_bytes() == b"one"
    assert glance(out, house) is None
    assert Record(out).stands(fingerprint(house, WORDS)) is None


KEYS = {"staff/one.html": "k1", "staff/two.html": "k2"}


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Two files that stand in a record."""
    (tmp_path / "staff").mkdir()
    for path in KEYS:
        (tmp_path / path).write_text(f"made of {KEYS[path]}")
    write_down(tmp_path)
    return tmp_path


def write_down(out: Path) -> None:
    Record(out).write_down(
        {path: (key, digest(f"made of {key}".encode()).hex()) for path, key in KEYS.items()}
    )


def known(out: Path) -> set[str]:
    record = Record(out)
    return {path for path, key in KEYS.items() if record.has(path, key)}


def test_a_file_is_known_by_the_key_it_was_made_under(out: Path) -> None:
    """By that key alone, and another file's key is none of its own."""
    assert known(out) == set(KEYS)
    assert not Record(out).has("staff/one.html", "k2")
    assert not Record(out).has("staff/three.html", "k1")


def _edit(one: Path) -> None:
    one.write_text("made by hand")


def _same_length(one: Path) -> None:
    one.write_text("made of k9")


def _link(one: Path) -> None:
    one.rename(one.with_name("other"))
    one.symlink_to("other")


def _folder(one: Path) -> None:
    one.unlink()
    one.mkdir()


@pytest.mark.parametrize("what", [_edit, _same_length, _link, _folder, Path.unlink])
def test_a_file_that_was_touched_is_not_known(out: Path, what: Callable[[Path], None]) -> None:
    """Another content, a link, nothing: all of it is made again."""
    what(out / "staff/one.html")
    assert known(out) == {"staff/two.html"}


def _link_again(one: Path) -> None:
    os.link(one, one.with_name("new"))
    one.with_name("new").replace(one)


def _copy(one: Path) -> None:
    content = one.read_bytes()
    one.unlink()
    one.write_bytes(content)


@pytest.mark.parametrize("what", [_link_again, _copy])
def test_the_same_contents_are_the_same_file(out: Path, what: Callable[[Path], None]) -> None:
    """Linked, as the next build has it, or copied with its folder."""
    what(out / "staff/one.html")
    assert known(out) == set(KEYS)


def test_some_files_made_anew_leave_the_rows_of_the_others(out: Path) -> None:
    """As `--only` does; what is no longer as it was written down loses its row."""
    (out / "staff/one.html").write_text("made of k3")
    Record(out).write_down({"staff/one.html": ("k3", digest(b"made of k3").hex())})
    assert Record(out).has("staff/one.html", "k3")
    assert known(out) == {"staff/two.html"}
    (out / "staff/two.html").unlink()
    Record(out).write_down({})
    assert list(json.loads((out / RECORD).read_bytes())["files"]) == ["staff/one.html"]


@pytest.mark.parametrize(
    "rubbish",
    [
        b"", b"[]", b"\xff", b'{"note": {}, "files": {"staff/one.html": 3}}',
        b'{"note": {}, "files": {"staff/one.html": []}}', b'{"note": 3, "files": {}}', b"[" * 9999,
    ],
)  # fmt: skip
def test_a_record_that_is_rubbish_knows_nothing(out: Path, rubbish: bytes) -> None:
    """And is written anew."""
    (out / RECORD).write_bytes(rubbish)
    assert known(out) == set()
    write_down(out)
    assert known(out) == set(KEYS)


def test_no_room_for_a_record_is_no_mistake(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The build stands by then."""

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    (out / RECORD).unlink()
    write_down(out)
    assert known(out) == set()


def test_a_build_is_of_the_days_between_two_changes(tmp_path: Path) -> None:
    """Once a day has come on which another menu is shown, what was built is not enough."""
    house, out = tmp_path / "house", tmp_path / "out"
    house.mkdir()
    (house / "house.yaml").write_text("name: x\n", encoding="utf-8")
    out.mkdir()
    key, state = fingerprint(house, WORDS), sources(house, WORDS)[0]
    Record(out).take_note(key, state, ["2000-01-01", "2001-01-01", "2999-12-31"], {"error": 0})
    assert Record(out).stands(key) == 0
    Record(out).renew(state)  # nothing was made: the days stay known, and what was doubtful
    assert Record(out).counts == {"error": 0}
    note = json.loads((out / RECORD).read_text(encoding="utf-8"))
    for day, stands in (("2001-01-01", 0), ("2000-12-31", None)):  # the day it was built on
        note["note"]["day"] = day
        (out / RECORD).write_text(json.dumps(note), encoding="utf-8")
        assert Record(out).stands(key) == stands
        assert Record(out).counts is None  # of another day
