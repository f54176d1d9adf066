"""The swap: one publish at a time, forwards after a death, backwards after an error."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from anthocard.disk import exchange
from anthocard.disk.folder import Folder
from anthocard.disk.listing import LIST
from anthocard.disk.lock import LOCK
from anthocard.disk.refused import Busy
from anthocard.disk.swap import JOURNAL, Scratch, alone, mend, scratch_beside


def read(folder: Path) -> dict[str, str]:
    files = (p for p in folder.rglob("*") if p.is_file() and p.name != LIST)
    return {str(p.relative_to(folder)): p.read_text() for p in files}


def build(out: Path, age: str) -> None:
    with alone(out), scratch_beside(out) as scratch:
        for folder in ("guest", "staff"):
            scratch.write(f"{folder}/index.html", age.encode())
        scratch.swap_in(("guest", "staff"))


def test_a_second_publish_refuses_and_says_so(tmp_path: Path) -> None:
    """While another process holds the folder, ours is refused with words; afterwards it is not."""
    out = tmp_path / "build"
    holder = (
        "import sys, pathlib\n"
        "from anthocard.disk.swap import alone\n"
        "with alone(pathlib.Path(sys.argv[1])):\n"
        "    print('held', flush=True)\n"
        "    sys.stdin.read()\n"
    )
    other = subprocess.Popen(
        [sys.executable, "-c", holder, str(out)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert other.stdin is not None
    assert other.stdout is not None
    with other.stdin, other.stdout:
        assert other.stdout.readline() == b"held\n"
        with pytest.raises(Busy, match="another publish is writing here"):
            build(out, "new")
        other.kill()
        other.wait()
    build(out, "new")
    assert read(out) == {"guest/index.html": "new", "staff/index.html": "new"}


#: Windows as far as the lock goes: its own call, and what that raises when the byte is held (EACCES;
#: Microsoft, C runtime library reference, _locking; how: read) or where there are no locks (chosen).
WINDOWS = """
import errno, fcntl, os, pathlib, sys, types
from anthocard.disk import lock, swap

def locking(handle, mode, count):
    assert (mode, count) == (2, 1)
    if sys.argv[2] == "no locks":
        raise OSError(errno.EINVAL, "Invalid argument")
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise PermissionError(errno.EACCES, "Permission denied") from None

sys.modules["msvcrt"] = types.SimpleNamespace(LK_NBLCK=2, locking=locking)
sys.platform = "win32"
try:
    with swap.alone(pathlib.Path(sys.argv[1])):
        print("held", flush=True)
        sys.stdin.read()
except lock.Busy:
    print("busy", flush=True)
"""


def test_windows_holds_a_file_in_the_folder(tmp_path: Path) -> None:
    """With a stand-in for its call: a second publish is refused, a killed one holds nothing, and
    the last to go leaves neither the file nor an empty folder. Without locks there is no refusal.
    """
    out = tmp_path / "build"

    def start(locks: str = "locks") -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-c", WINDOWS, str(out), locks], cwd=Path(__file__).parents[2],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip

    def said(other: subprocess.Popen[str]) -> str:
        assert other.stdout is not None
        return other.stdout.readline()

    with start() as first:
        assert said(first) == "held\n"
        assert (out / LOCK).is_file()
        with start() as second:
            assert said(second) == "busy\n"
        with start("no locks") as careless:
            assert said(careless) == "held\n"
        (out / "mine").touch()
        first.kill()
    with start() as third:
        assert said(third) == "held\n"
    assert [path.name for path in out.iterdir()] == ["mine"]
    (out / "mine").unlink()
    out.rmdir()
    with start() as fourth:
        assert said(fourth) == "held\n"
    assert not out.exists()


def test_death_between_the_two_folders_is_mended_forwards(tmp_path: Path) -> None:
    """Killed after guest/ was swapped and before staff/: the next look finishes it, without a
    publish.
    """
    out = tmp_path / "build"
    build(out, "old")
    child = (
        "import os, sys, pathlib\n"
        "from anthocard.disk import exchange, swap\n"
        "out = pathlib.Path(sys.argv[1])\n"
        "real = exchange.put\n"
        "exchange.put = lambda scratch, name, to: os._exit(9) if name == 'staff'"
        " else real(scratch, name, to)\n"
        "with swap.alone(out), swap.scratch_beside(out) as scratch:\n"
        "    for folder in ('guest', 'staff'):\n"
        "        scratch.write(f'{folder}/index.html', b'new')\n"
        "    scratch.swap_in(('guest', 'staff'))\n"
    )
    assert subprocess.run([sys.executable, "-c", child, str(out)], check=False).returncode == 9
    assert (out / "staff/index.html").read_text() == "old"
    mend(out)
    assert read(out) == {"guest/index.html": "new", "staff/index.html": "new"}
    assert list(tmp_path.iterdir()) == [out]


def test_a_failed_first_publish_leaves_nothing(tmp_path: Path) -> None:
    """Where there was no folder there is none afterwards, when what is written fails."""
    out = tmp_path / "build"

    def fail() -> None:
        with alone(out), scratch_beside(out) as scratch:
            scratch.write("guest/index.html", b"x")
            raise OSError("full")

    with pytest.raises(OSError, match="full"):
        fail()
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_an_error_and_the_old_build_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that takes half of a file and no more: told, and nothing has moved."""
    out = tmp_path / "build"
    build(out, "old")
    real, left = os.write, [2]

    def full(handle: int, content: bytes) -> int:
        taken = real(handle, bytes(content)[: left[0]])
        left[0] -= taken
        if not taken:
            raise OSError(28, "No space left on device")
        return taken

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(OSError, match="No space left"):
        build(out, "brand new")
    assert read(out) == {"guest/index.html": "old", "staff/index.html": "old"}
    assert list(tmp_path.iterdir()) == [out]


@pytest.mark.skipif(not hasattr(os, "seteuid"), reason="permissions of another kind")
def test_a_read_only_folder_is_told(tmp_path: Path) -> None:
    """Where nothing may be written, the system's own words come out and nothing has changed."""
    out = tmp_path / "build"
    build(out, "old")
    before = os.geteuid()
    tmp_path.chmod(0o555)
    out.chmod(0o555)
    for folder in tmp_path.parents:
        if folder != Path("/") and before == 0 and folder.stat().st_uid == 0:
            folder.chmod(folder.stat().st_mode | 0o055)
    try:
        if before == 0:
            os.seteuid(65534)
        with pytest.raises(PermissionError):
            build(out, "new")
    finally:
        os.seteuid(before)
        tmp_path.chmod(0o755)
        out.chmod(0o755)
    assert read(out) == {"guest/index.html": "old", "staff/index.html": "old"}


def test_a_publish_that_died_in_the_swap_is_finished_by_the_next(tmp_path: Path) -> None:
    """The journal names what was to move: one folder had moved, the other moves now, by mend alone;
    a journal that is rubbish moves nothing, and both leave no trace."""
    out = tmp_path / "build"
    build(out, "old")
    growing = Scratch(out)
    for name in ("guest", "staff"):
        growing.write(f"{name}/index.html", b"new")
    new = growing.folder / "new"
    inodes = {name: (new / name).stat().st_ino for name in ("guest", "staff")}
    (out / JOURNAL).write_text(json.dumps(inodes))
    with Folder.at(growing.folder) as left, Folder.at(out) as home:
        exchange.put(left, "guest", home)  # and then the power went
    assert (out / "guest" / "index.html").read_text() == "new"
    assert (out / "staff" / "index.html").read_text() == "old"
    mend(out)
    assert read(out) == {"guest/index.html": "new", "staff/index.html": "new"}
    assert list(tmp_path.iterdir()) == [out]
    (out / JOURNAL).write_bytes(b"{")
    mend(out)
    assert read(out) == {"guest/index.html": "new", "staff/index.html": "new"}
    assert not (out / JOURNAL).exists()
