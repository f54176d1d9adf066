"""Files of authors: changed whole or not at all, as they were written, and never over a newer one."""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.disk import atomic_file, transaction
from anthocard.disk.folder import Folder
from anthocard.disk.refused import Changed, Refused
from anthocard.terminal.houses import house_folder
from anthocard.terminal.output import put, put_all, put_changed, read_text
from hypothesis import given, strategies as st


def names(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"a\nb\n", b"a\nnew\nb\n"),
        (b"a\r\nb\r\n", b"a\r\nnew\r\nb\r\n"),
        (b"\xef\xbb\xbfa\r\nb", b"\xef\xbb\xbfa\r\nnew\r\nb"),
        (b"a\rb\r", b"a\rnew\rb\r"),
        (b"a\r\nb\n", b"a\r\nnew\r\nb\n"),
        (b"a\nb\r\nc", b"a\nnew\nb\r\nc"),
    ],
)
def test_line_ends_and_bom_stay(tmp_path: Path, before: bytes, after: bytes) -> None:
    """A line put in between takes the file's usual end; every other line keeps its own."""
    path = tmp_path / "house.yaml"
    path.write_bytes(before)
    old = read_text(path)
    put_changed(old, old.text.replace("a\n", "a\nnew\n"), tmp_path)
    assert path.read_bytes() == after


@given(st.text(st.sampled_from("ab\n\r\ufeff"), max_size=40))
def test_a_text_put_back_unchanged_has_the_same_bytes(content: str) -> None:
    """Whatever mixture of line ends an editor left."""
    from anthocard.terminal.output import _as_written

    text = content.encode().decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    assert _as_written(text, content) == content


@pytest.mark.parametrize("mode", [0o600, 0o644, 0o664, 0o755])
def test_mode_and_link_stay(tmp_path: Path, mode: int) -> None:
    """An author's link stays a link, and what it leads to is changed, with its own mode."""
    real = tmp_path / "kept" / "mine.yaml"
    real.parent.mkdir()
    real.write_text("old\n")
    real.chmod(mode)
    (tmp_path / "house.yaml").symlink_to(Path("kept") / "mine.yaml")
    put_changed(read_text(tmp_path / "house.yaml"), "new\n", tmp_path)
    assert (tmp_path / "house.yaml").is_symlink()
    assert real.read_text() == "new\n"
    assert stat.S_IMODE(real.stat().st_mode) == mode
    assert names(tmp_path) == ["house.yaml", "kept", "kept/mine.yaml"]


@pytest.mark.skipif(not hasattr(os, "chown") or os.geteuid() != 0, reason="only root gives away")
def test_the_owner_stays(tmp_path: Path) -> None:
    """What root changes is not root's afterwards."""
    path = tmp_path / "house.yaml"
    path.write_text("old")
    os.chown(path, 1234, 4321)
    put_changed(read_text(path), "new", tmp_path)
    assert (path.stat().st_uid, path.stat().st_gid) == (1234, 4321)


def test_a_link_out_of_the_house_is_not_written_through(tmp_path: Path) -> None:
    """A stranger's house.yaml that leads to a file of ours."""
    mine = tmp_path / "mine.yaml"
    mine.write_text("mine")
    (tmp_path / "house").mkdir()
    (tmp_path / "house" / "house.yaml").symlink_to(mine)
    old = read_text(tmp_path / "house" / "house.yaml")
    with pytest.raises(Refused, match="leads out of the house"):
        put_changed(old, "new", tmp_path / "house")
    assert mine.read_text() == "mine"


@pytest.mark.parametrize("how", ["in place", "anew", "gone"])
def test_what_an_editor_saved_meanwhile_is_not_overwritten(tmp_path: Path, how: str) -> None:
    """Refused in words; the editor's version stands, and the next try reads that."""
    path = tmp_path / "house.yaml"
    path.write_text("one")
    old = read_text(path)
    if how == "in place":
        path.write_text("two")
    else:
        path.unlink()
        if how == "anew":
            path.write_text("two")
    with pytest.raises(Changed, match=r"somebody saved this file meanwhile\n  Mend: run it again"):
        put_changed(old, "three", tmp_path)
    assert names(tmp_path) == (["house.yaml"] if how != "gone" else [])
    assert how == "gone" or path.read_text() == "two"
    put_changed(read_text(path), "three", tmp_path)
    assert path.read_text() == "three"


def test_at_the_last_moment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is looked at once more when all is written, just before the new file takes its place."""
    path = tmp_path / "house.yaml"
    path.write_text("one")
    old = read_text(path)
    real = Folder.write_new

    def slow(folder: Folder, *given: object, **named: object) -> None:
        real(folder, *given, **named)  # type: ignore[arg-type]
        path.write_text("two")

    monkeypatch.setattr(Folder, "write_new", slow)
    with pytest.raises(Changed):
        put_changed(old, "three", tmp_path)
    assert path.read_text() == "two"
    assert names(tmp_path) == ["house.yaml"]


@pytest.mark.parametrize("kind", ["pipe", "folder", "device", "link to a device"])
def test_what_is_no_file_is_not_replaced(tmp_path: Path, kind: str) -> None:
    """A device, a pipe or a folder where a file is to be: refused, and it is what it was."""
    path = tmp_path / "out.csv"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    elif kind == "device":
        try:
            os.mknod(path, stat.S_IFCHR | 0o666, os.makedev(1, 3))
        except OSError:
            pytest.skip("devices are made by root alone")
    else:
        path.symlink_to("/dev/null")
    before = path.stat()
    for write in (lambda: put(path, "x"), lambda: put_all(tmp_path, {"out.csv": "x"}, over=True)):
        with pytest.raises(Refused, match="nothing is put in its place"):
            write()
    after = path.stat()
    assert (before.st_mode, before.st_rdev, before.st_ino) == (
        after.st_mode,
        after.st_rdev,
        after.st_ino,
    )
    assert names(tmp_path) == ["out.csv"]


def test_folders_made_for_nothing_go_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that cannot be written leaves no empty folders on its way."""

    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    for write in (
        lambda: put(tmp_path / "a" / "b" / "x.pdf", b"x"),
        lambda: put_all(tmp_path / "a" / "b", {"c/x": b"x"}),
    ):
        with pytest.raises(OSError, match="No space left"):
            write()
        assert names(tmp_path) == []


NEW = {"drinks/one.md": b"one", "drinks/deep/two.md": b"two", "three.md": b"three"}


def dead(folder: Path, at: int) -> None:
    """A put_all that was killed before it moved file number `at` (from 0)."""
    child = os.fork()
    if child == 0:
        real = Folder.move_new

        def move(staged: Folder, name: str, *rest: object) -> None:
            if name == str(at):
                os._exit(9)
            real(staged, name, *rest)  # type: ignore[arg-type]

        Folder.move_new = move  # type: ignore[method-assign]
        transaction.put_all(folder, NEW)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


@pytest.mark.parametrize("at", range(len(NEW)))
def test_an_import_killed_between_two_files_is_finished_by_whoever_reads_next(
    tmp_path: Path, at: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """Any command that looks for the house finishes it and says so; once."""
    (tmp_path / "house.yaml").write_text("name: x")
    dead(tmp_path, at)
    assert house_folder(tmp_path) == tmp_path
    told = capsys.readouterr().err
    assert told.count("finished what was stopped: wrote ") == len(NEW)
    assert {name: (tmp_path / name).read_bytes() for name in NEW} == NEW
    assert len(names(tmp_path)) == len(NEW) + 3  # two folders and the house
    house_folder(tmp_path)
    assert capsys.readouterr().err == ""


def test_the_next_import_finishes_the_last_first(tmp_path: Path) -> None:
    """Called without a look at the house: the claim of a dead one is not written over."""
    dead(tmp_path, 1)
    put_all(tmp_path, {"four.md": "four"})
    assert {name: (tmp_path / name).read_bytes() for name in NEW} == NEW
    assert len(names(tmp_path)) == len(NEW) + 3


def test_what_was_saved_after_a_death_is_not_overwritten(tmp_path: Path) -> None:
    """The author wrote a file of that name meanwhile, and changed one that had come in."""
    dead(tmp_path, 1)
    (tmp_path / "three.md").write_text("mine")
    (tmp_path / "drinks" / "one.md").write_text("changed")
    transaction.finish(tmp_path)
    assert (tmp_path / "three.md").read_text() == "mine"
    assert (tmp_path / "drinks" / "one.md").read_text() == "changed"
    assert (tmp_path / "drinks" / "deep" / "two.md").read_bytes() == b"two"
    assert names(tmp_path) == [
        "drinks",
        "drinks/deep",
        "drinks/deep/two.md",
        "drinks/one.md",
        "three.md",
    ]


@pytest.mark.parametrize(
    "path", ["linked/x.md", "house.yaml", "../mine.md", "/etc/x", "a\0b", "", "."]
)
def test_a_strangers_plan_writes_over_nothing(tmp_path: Path, path: str) -> None:
    """A cloned house with a plan, a claim and all: nothing of ours is touched, inside or outside.

    The trap can snap: a name that is free in the house is filled, by the stranger's own file; but
    of a plan that leads out nothing is done at all."""
    house, far = tmp_path / "house", tmp_path / "far"
    for folder in (house, far):
        folder.mkdir()
    (tmp_path / "mine.md").write_text("mine")
    (house / "house.yaml").write_text("mine")
    (house / "linked").symlink_to(far)
    staged = house / ".anthocard-files-x"
    staged.mkdir()
    (staged / ".anthocard-ours").write_text("7")
    claim = json.dumps({"name": staged.name, "number": "7"})
    (house / transaction.CLAIM).write_text(claim)
    for number in range(2):
        (staged / str(number)).write_text("theirs")
    (staged / "plan").write_text(json.dumps(["free.md", path]))
    transaction.finish(house)
    sound = path in ("linked/x.md", "house.yaml")
    assert (house / "free.md").exists() == sound
    assert (tmp_path / "mine.md").read_text() == (house / "house.yaml").read_text() == "mine"
    assert list(far.iterdir()) == []


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("links", [True, False])
def test_all_or_none_when_the_last_cannot_be_moved(
    tmp_path: Path, over: bool, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error at the last file takes the others back: old ones are the old ones, new ones gone."""
    if over:
        (tmp_path / "one").write_text("old")
        (tmp_path / "two").write_text("old")
    else:
        (tmp_path / "two").mkdir()  # in the way, seen only when it is its turn
    before = names(tmp_path)
    calls = {"n": 0}

    def failing(real: Callable[..., object]) -> Callable[..., object]:
        def step(*given: object, **named: object) -> object:
            calls["n"] += 1
            if calls["n"] == 2:
                raise OSError(5, "Input/output error")
            return real(*given, **named)

        return step

    if not links:
        monkeypatch.setattr(Folder, "exchange", lambda *_: False)
        monkeypatch.setattr(
            Folder, "rename" if over else "mkdir", getattr(Folder, "rename" if over else "mkdir")
        )
    if over:
        name = "exchange" if links else "rename"
        monkeypatch.setattr(Folder, name, failing(getattr(Folder, name)))
    with pytest.raises(OSError, match="Input/output error" if over else "File exists"):
        put_all(tmp_path, {"one": "new", "two": "new"}, over=over)
    assert names(tmp_path) == before
    if over:
        assert {path.read_text() for path in tmp_path.iterdir()} == {"old"}
    else:
        assert (tmp_path / "two").is_dir()


def test_a_file_that_is_not_utf_8_is_told(tmp_path: Path) -> None:
    """With its line and the mend, as for recipes."""
    from anthocard.diagnostics.diagnostic import AuthorError

    (tmp_path / "house.yaml").write_bytes(b"name: x\nplace: \xe9\n")
    with pytest.raises(AuthorError, match=r"house\.yaml:2:1\n(?s:.*)not saved as UTF-8"):
        read_text(tmp_path / "house.yaml")


def test_nothing_is_seen_where_there_is_no_folder(tmp_path: Path) -> None:
    """A file to come, in a folder to come."""
    path = tmp_path / "a" / "stock.yaml"
    assert atomic_file.see(path).content is None
    put_changed(read_text(path), "gin: {}\n", tmp_path)
    assert path.read_text() == "gin: {}\n"
