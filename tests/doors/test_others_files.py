"""Closed doors of a build folder: whatever lies there, or claims to, nobody's files are lost.

Each attack once worked. Beside it stands what shows that the trap would snap: the same files with
what a stranger cannot have.
"""

from __future__ import annotations

import json
import os
import re
import socket
from collections.abc import Callable
from pathlib import Path

import pytest
from anthocard.disk import exchange, scratch
from anthocard.disk.folder import Folder
from anthocard.disk.listing import LIST
from anthocard.disk.refused import Foreign
from anthocard.disk.swap import BUILT, CLAIM, JOURNAL, Scratch, alone, mend, scratch_beside


def build(out: Path, **more: str) -> None:
    """A publish of a page a folder, and `more` pages of the guests."""
    with alone(out), scratch_beside(out) as growing:
        for folder in BUILT:
            growing.write(f"{folder}/index.html", b"page")
        for name, text in more.items():
            growing.write(f"guest/{name}.html", text.encode())
        growing.swap_in(BUILT)


def tree(folder: Path) -> dict[str, object]:
    """Everything below a folder: bytes, where links lead, modes of folders; not our own notes."""
    found: dict[str, object] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            found[name] = f"-> {path.readlink()}"
        elif path.is_file():
            found[name] = path.read_bytes()
        else:
            found[name] = oct(path.lstat().st_mode)
    return {name: what for name, what in found.items() if not name.endswith(LIST)}


def plant(place: Path, name: str, number: str, **pages: str) -> dict[str, int]:
    """A scratch folder as a dead publish leaves it, with new pages by folder; their inodes."""
    for folder in ("new", "old"):
        (place / name / folder).mkdir(parents=True)
    (place / name / scratch.MARK).write_text(number)
    for folder, text in pages.items():
        (place / name / "new" / folder).mkdir(parents=True)
        (place / name / "new" / folder / "index.html").write_text(text)
        (place / name / "new" / folder / LIST).write_text("x")
    return {f: (place / name / "new" / f).stat().st_ino for f in pages}


@pytest.mark.parametrize("folder", ["recipes", "../recipes", "/etc", "..", ".", "", "guest/../x"])
def test_a_journal_moves_nothing_but_a_build(tmp_path: Path, folder: str) -> None:
    """A stranger's journal, with a scratch folder to match, names folders of the house: nothing of
    them moves. The trap can snap: guest, planted in the same way, does move."""
    house = tmp_path / "house"
    out = house / "build"
    build(out)
    (house / "recipes").mkdir()
    (house / "recipes" / "mine.md").write_text("mine")
    planted = plant(house, ".build-scratch-evil", "7", recipes="theirs", guest="moved")
    (out / CLAIM).write_text(json.dumps({"name": ".build-scratch-evil", "number": "7"}))
    journal = {folder: planted["recipes"], "guest": planted["guest"]}
    (out / JOURNAL).write_text(json.dumps(journal))
    mend(out)
    assert (house / "recipes" / "mine.md").read_text() == "mine"
    assert (out / "guest" / "index.html").read_text() == "moved"
    assert sorted(path.name for path in house.iterdir()) == ["build", "recipes"]


@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("recipes", "7"), ("../other", "7"), (".build-scratch-mine", "8"), ("", "7"),
        (".build-scratch-link", "7"), (".build-scratch-mine", ""), (".build-scratch-../other", "7"),
    ],
)  # fmt: skip
def test_a_claim_removes_nothing_that_is_not_ours(tmp_path: Path, name: str, number: str) -> None:
    """A claim that names another folder, a path, a link, or one with another number (a neighbour's
    at work) removes and moves nothing. The trap can snap: with name and number both right it goes.
    """
    out = tmp_path / "a" / "build"
    out.mkdir(parents=True)
    for folder in (tmp_path / "a" / "recipes", tmp_path / "other"):
        folder.mkdir()
        (folder / scratch.MARK).write_text("7")
        (folder / "mine.md").write_text("mine")
    (tmp_path / "a" / ".build-scratch-link").symlink_to(tmp_path / "other")
    inodes = plant(tmp_path / "a", ".build-scratch-mine", "7", guest="theirs")
    (out / CLAIM).write_text(json.dumps({"name": name, "number": number}))
    (out / JOURNAL).write_text(json.dumps(inodes))
    before = tree(tmp_path / "a") | tree(tmp_path / "other")
    mend(out)
    after = tree(tmp_path / "a") | tree(tmp_path / "other")
    assert before.keys() - after.keys() == {f"build/{CLAIM}", f"build/{JOURNAL}"}
    assert after.keys() <= before.keys()
    (out / CLAIM).write_text(json.dumps({"name": ".build-scratch-mine", "number": "7"}))
    mend(out)
    assert not (tmp_path / "a" / ".build-scratch-mine").exists()


@pytest.mark.parametrize("rubbish", ["[]", "{", "7", "[" * 100_000, '{"guest": "x"}', '{"a": [1]}'])
def test_rubbish_for_a_journal_or_a_claim(tmp_path: Path, rubbish: str) -> None:
    """It counts for nothing and goes."""
    build(tmp_path / "build")
    before = tree(tmp_path)
    for name in (JOURNAL, CLAIM):
        (tmp_path / "build" / name).write_text(rubbish)
    mend(tmp_path / "build")
    assert tree(tmp_path) == before


@pytest.mark.parametrize("name", [".anthocard-swap.new", ".anthocard-scratch.new"])
def test_a_planted_link_is_not_written_through(tmp_path: Path, name: str) -> None:
    """Our own private names may lie there as links to somebody's files: those stay as they are."""
    mine = tmp_path / "mine.txt"
    mine.write_text("mine")
    out = tmp_path / "build"
    out.mkdir()
    (out / name).symlink_to(mine)
    (out / name.removesuffix(".new")).symlink_to(mine)
    build(out)
    assert mine.read_text() == "mine"
    assert (out / "guest" / "index.html").read_text() == "page"


@pytest.mark.parametrize("folder", BUILT)
def test_a_strangers_folder_is_not_a_build(tmp_path: Path, folder: str) -> None:
    """The first publish into a folder with somebody's `guest` or `staff` refuses and names what is
    there; nothing is written. Moved away, the same publish goes through."""
    (tmp_path / folder / "thesis").mkdir(parents=True)
    (tmp_path / folder / "list.txt").write_text("mine")
    before = tree(tmp_path)
    with pytest.raises(Foreign) as refused:
        build(tmp_path)
    assert re.search(
        r"it holds list\.txt, thesis\n  Mend: .*--out.*move it away", str(refused.value)
    )
    assert tree(tmp_path) == before
    (tmp_path / folder).rename(tmp_path / "mine")
    build(tmp_path)
    assert (tmp_path / folder / "index.html").read_text() == "page"


@pytest.mark.parametrize("kind", ["link", "file", "socket", "pipe"])
def test_what_is_no_folder_is_not_replaced(tmp_path: Path, kind: str) -> None:
    """`guest` as a link to a served folder, or anything else: refused in words, and it stays."""
    out, elsewhere = tmp_path / "build", tmp_path / "served"
    for folder in (out, elsewhere):
        folder.mkdir()
    guest = out / "guest"
    makers: dict[str, Callable[[], object]] = {
        "link": lambda: guest.symlink_to(elsewhere),
        "file": lambda: guest.write_text("mine"),
        "pipe": lambda: os.mkfifo(guest),
        "socket": lambda: _socket(guest),
    }
    makers[kind]()
    before = guest.lstat()
    with pytest.raises(Foreign, match=r"this is (a link|no folder), and was not made by anthocard"):
        build(out)
    assert (guest.lstat().st_ino, guest.lstat().st_mode) == (before.st_ino, before.st_mode)
    assert [path.name for path in out.iterdir()] == ["guest"]
    assert list(elsewhere.iterdir()) == []


def _socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(os.path.relpath(path))


def strange_files(guest: Path, assets: Path) -> None:
    """What a host and its owner put beside the pages."""
    for folder in (guest / ".git" / "objects" / "00", guest / ".well-known", guest / "empty"):
        folder.mkdir(parents=True)
    (guest / ".git" / "HEAD").write_text("ref: refs/heads/pages\n")
    (guest / ".git" / "objects" / "00" / "ff").write_bytes(b"\0")
    (guest / ".git" / "objects" / "00" / "ff").chmod(0o444)
    (guest / ".well-known" / "security.txt").write_text("mailto:")
    for name in ("CNAME", "robots.txt", ".htaccess", ".nojekyll", "_headers"):
        (guest / name).write_text(name)
    (guest / "link").symlink_to("/nowhere")
    os.mkfifo(guest / "pipe")
    (guest / "empty").chmod(0o750)
    assets.mkdir(exist_ok=True)
    (assets / "photo.jpg").write_bytes(b"jpg")


@pytest.mark.parametrize("links", [True, False])
def test_what_others_put_there_is_carried_over(
    tmp_path: Path, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A git work tree with its host's settings: all of it stands beside the new pages, to the byte,
    the mode and the inode; what we made and make no more is gone. Twice, and without hard links."""
    out = tmp_path / "build"
    build(out, gone="gone", come="old")
    strange_files(out / "guest", out / "guest" / "assets")
    strange = {
        name: what for name, what in tree(out / "guest").items() if not name.endswith("html")
    }
    number = (out / "guest" / ".git" / "HEAD").stat().st_ino
    if not links:

        def refuse(*_: object, **__: object) -> None:
            raise OSError(1, "Operation not permitted")

        monkeypatch.setattr(os, "link", refuse)
        monkeypatch.setattr("anthocard.disk.folder._UNNAMED", 0)
    for text in ("new", "newer"):
        build(out, come=text)
        pages = {"index.html": b"page", "come.html": text.encode()}
        assert tree(out / "guest") == {**strange, **pages}
        assert (out / "guest" / ".git" / "HEAD").stat().st_ino == number
        assert [path.name for path in tmp_path.iterdir()] == ["build"]


def test_files_of_others_are_never_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A host's settings stand in the new folder in the moment it takes its place: a page that a
    login keeps is never served without it."""
    out, real, seen = tmp_path / "build", exchange.carry, []
    build(out)
    (out / "staff" / ".htaccess").write_text("deny from all")

    def look(left: Folder, name: str, home: Folder) -> list[str]:
        seen.append((out / "staff" / ".htaccess").read_text())
        return real(left, name, home)

    monkeypatch.setattr(exchange, "carry", look)
    build(out)
    assert seen == ["deny from all"]


def test_a_page_that_would_fall_on_a_file_of_others(tmp_path: Path) -> None:
    """The publish refuses and names it; nothing has moved. So with a folder in the way, and with a
    link that somebody put in the place of a page of ours."""
    out = tmp_path / "build"
    build(out)
    (out / "guest" / "menu.html").write_text("by hand")
    (out / "guest" / "card.html").mkdir()
    (out / "guest" / "index.html").unlink()
    (out / "guest" / "index.html").symlink_to("menu.html")
    before = tree(tmp_path)
    with pytest.raises(Foreign, match=r"names of others: card\.html, index\.html, menu\.html"):
        build(out, menu="ours", card="ours")
    assert tree(tmp_path) == before


def test_what_comes_in_while_the_old_folder_goes_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that somebody saves into the replaced folder at the last moment is not removed with it;
    a later publish is not stopped by that."""
    out = tmp_path / "build"
    build(out)
    real = Scratch.discard

    def late(growing: Scratch) -> None:
        (growing.folder / "old" / "guest" / "late.txt").write_text("mine")
        real(growing)

    monkeypatch.setattr(Scratch, "discard", late)
    build(out, come="new")
    monkeypatch.undo()
    assert [path.read_text() for path in tmp_path.rglob("late.txt")] == ["mine"]
    build(out, come="newer")
    assert (out / "guest" / "come.html").read_text() == "newer"
    assert [path.read_text() for path in tmp_path.rglob("late.txt")] == ["mine"]


@pytest.mark.parametrize("name", ["build", "build[1]", "b*", "?", "[!x]", "a b", "-rf"])
def test_a_neighbour_keeps_its_scratch_folder(tmp_path: Path, name: str) -> None:
    """Folder names with the signs of patterns: a publish beside others that are at work, under any
    name, leaves theirs alone, and its own dead one goes."""
    names = ["build1", "b", "bx", "x", "b-scratch-x", name]
    work = {}
    for one in dict.fromkeys(names):
        out = tmp_path / one
        build(out)
        if one != name:
            work[one] = Scratch(out)
            work[one].write("guest/index.html", b"growing")
    dead = Scratch(tmp_path / name)
    dead.write("guest/index.html", b"dead")
    build(tmp_path / name)
    assert not dead.folder.exists()
    for one, growing in work.items():
        growing.swap_in(("guest",))
        growing.discard()
        assert (tmp_path / one / "guest" / "index.html").read_bytes() == b"growing"


def test_an_only_publish_carries_ours_and_theirs(tmp_path: Path) -> None:
    """What is not made again stays: ours by its list, theirs because it is theirs; a link of theirs
    is not followed. What is dropped later still goes."""
    out = tmp_path / "build"
    build(out, two="two")
    (out / "guest" / "CNAME").write_text("bar.example")
    (out / "guest" / "link").symlink_to(tmp_path)
    with alone(out), scratch_beside(out) as growing:
        growing.carry_over(("guest",), lambda path: True)
        growing.write("guest/index.html", b"again")
        growing.swap_in(("guest",))
    assert tree(out / "guest") == {
        "index.html": b"again", "two.html": b"two", "CNAME": b"bar.example",
        "link": f"-> {tmp_path}",
    }  # fmt: skip
    build(out)
    assert not (out / "guest" / "two.html").exists()
    assert (out / "guest" / "CNAME").read_text() == "bar.example"


@pytest.mark.parametrize("name", ["", ".", "..", "a/b", "/", "../x", "a\0b"])
def test_a_name_is_one_step(tmp_path: Path, name: str) -> None:
    """No operation of an open folder leads out of it."""
    with Folder.at(tmp_path) as folder:
        for call in (
            folder.below, folder.state, folder.read, folder.mkdir, folder.unlink, folder.rmdir,
            lambda n: folder.write_new(n, b""), lambda n: folder.rename("x", folder, n),
            lambda n: folder.exchange("x", folder, n), lambda n: folder.link("x", folder, n),
        ):  # fmt: skip
            with pytest.raises(ValueError, match="is not one step down"):
                call(name)


def test_an_open_folder_follows_no_link(tmp_path: Path) -> None:
    """Neither to a folder nor to a file; and emptied, it removes links, not what they lead to."""
    (tmp_path / "far").mkdir()
    (tmp_path / "far" / "mine.txt").write_text("mine")
    ours = tmp_path / "ours"
    ours.mkdir()
    (ours / "folder").symlink_to(tmp_path / "far")
    (ours / "file").symlink_to(tmp_path / "far" / "mine.txt")
    with Folder.at(ours) as folder:
        with pytest.raises(OSError, match=r"Not a directory|Too many levels"):
            folder.below("folder")
        with pytest.raises(OSError, match=r"Not a directory|Too many levels"):
            folder.below("folder", make=True)
        assert folder.read("file") is None
        with pytest.raises(FileExistsError):
            folder.write_new("file", b"theirs")
        folder.empty()
    assert list(ours.iterdir()) == []
    assert (tmp_path / "far" / "mine.txt").read_text() == "mine"
