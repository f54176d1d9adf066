"""The cache stays within its bounds: what was used longest ago goes, what is in use never does."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from anthocard.cli import main
from anthocard.press.store import store as store_module
from anthocard.press.store.store import Store

from tests.commands.conftest import ROOT, begin_small, run
from tests.patience import HUNG_S

DAY_S = 86_400.0
PAPER = b"x" * 968  # with its code 1,000 bytes


def key(number: int) -> str:
    return f"{number * 7919 % 256:02x}{number:038x}"


def path_of(folder: Path, number: int) -> Path:
    return folder / key(number)[:2] / key(number)[2:]


def used(folder: Path, number: int, days_ago: float) -> None:
    then = time.time() - days_ago * DAY_S
    os.utime(path_of(folder, number), (then, then))


def fill(folder: Path, days_ago: list[float]) -> Store:
    """Entry number i, 1,000 bytes, was used `days_ago[i]` days ago; returns a fresh cache."""
    for number, days in enumerate(days_ago):
        assert Store(folder).put(key(number), PAPER)
        used(folder, number, days)
    return Store(folder)


def left(folder: Path) -> set[int]:
    return {int(name[2:], 16) for name in Store(folder)}


def test_what_was_used_longest_ago_goes_first(tmp_path: Path) -> None:
    """Five entries, room for three: the two oldest go, and no more than those."""
    fill(tmp_path, [5, 40, 1, 30, 2]).shrink(3_999)
    assert left(tmp_path) == {0, 2, 4}
    Store(tmp_path).shrink(3_000)
    assert left(tmp_path) == {0, 2, 4}


def test_what_this_run_used_stays(tmp_path: Path) -> None:
    """With room for nothing, what was got and what was put stay, old as it may look."""
    cache = fill(tmp_path, [300, 200, 100])
    assert cache.get(key(0)) == PAPER
    used(tmp_path, 0, 300)
    assert cache.put(key(7), PAPER)
    used(tmp_path, 7, 300)
    assert cache.get(key(99)) is None
    cache.shrink(0)
    assert left(tmp_path) == {0, 7}


def test_to_get_it_is_to_use_it(tmp_path: Path) -> None:
    """The oldest of three, got once by another run, outlives the two that were not."""
    assert fill(tmp_path, [300, 200, 100]).get(key(0)) == PAPER
    Store(tmp_path).shrink(1_000)
    assert left(tmp_path) == {0}


@pytest.mark.parametrize(
    ("days_ago", "written"), [(0.5, False), (1.5, True), (-0.5, False), (-400, True)]
)
def test_it_is_marked_at_most_once_a_day(tmp_path: Path, days_ago: float, written: bool) -> None:
    """Got again within a day nothing is written; later, or from a time to come, the time is set."""
    cache = fill(tmp_path, [days_ago])
    before = path_of(tmp_path, 0).stat()
    cache.get(key(0))
    after = path_of(tmp_path, 0).stat()
    assert (after.st_mtime_ns != before.st_mtime_ns) is written
    assert (after.st_ctime_ns != before.st_ctime_ns) is written
    if written:
        assert abs(after.st_mtime - time.time()) < 60


def test_a_clock_that_was_put_back_keeps_nothing_for_ever(tmp_path: Path) -> None:
    """Written when the clock said next year: it goes before what was used last week, unless it is
    used now; a few minutes ahead (another machine's clock) is as good as now."""
    cache = fill(tmp_path, [-365, 7, -0.01, 3, -365])
    cache.get(key(4))
    Store(tmp_path).shrink(4_000)
    assert left(tmp_path) == {1, 2, 3, 4}
    Store(tmp_path).shrink(2_000)
    assert left(tmp_path) == {2, 4}


def test_damaged_ones_are_not_in_use(tmp_path: Path) -> None:
    """What fails its code was not got: it goes like any other that nobody used."""
    cache = fill(tmp_path, [1, 2])
    path_of(tmp_path, 0).write_bytes(b"y" * 1_000)
    assert cache.get(key(0)) is None
    cache.shrink(0)
    assert left(tmp_path) == set()


def test_only_what_a_cache_wrote_is_removed(tmp_path: Path) -> None:
    """With room for nothing: a stranger's file, a folder and a link stay, and where it leads."""
    shelf = path_of(tmp_path, 0).parent
    cache = fill(tmp_path, [9])
    (tmp_path / "mine").write_bytes(PAPER)
    (shelf / ".mine").write_bytes(PAPER)
    (shelf / "notes.txt").write_bytes(PAPER)
    (shelf / ("a" * 38)).mkdir()
    (shelf / ("b" * 38)).symlink_to(tmp_path / "mine")
    cache.shrink(0)
    assert not path_of(tmp_path, 0).exists()
    names = {path.name for path in shelf.iterdir()}
    assert names == {".mine", "notes.txt", "a" * 38, "b" * 38}
    assert (tmp_path / "mine").read_bytes() == PAPER


def test_halves_left_by_dead_processes_go(tmp_path: Path) -> None:
    """A file half written is left alone while its writer may live, and gone after a day."""
    writer = (
        "import os, sys, pathlib\n"
        "from anthocard.press.store.store import Store\n"
        "os.replace = lambda *_, **__: os._exit(9)\n"
        "Store(pathlib.Path(sys.argv[1])).put('ab' + '0' * 38, b'paper')\n"
    )
    words = [sys.executable, "-c", writer, str(tmp_path)]
    assert subprocess.run(words, cwd=ROOT, check=False).returncode == 9
    (half,) = (tmp_path / "ab").iterdir()
    Store(tmp_path).shrink(0)
    assert half.exists()
    assert left(tmp_path) == set()
    os.utime(half, (0, 0))
    Store(tmp_path).shrink(0)
    assert not half.exists()


def test_a_file_that_vanishes_is_no_mistake(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Gone between the look and the removal, no permission, no folder at all: nothing is raised,
    and what could not be removed still counts."""
    Store(tmp_path / "nothing").shrink(0)
    assert not (tmp_path / "nothing").exists()
    (tmp_path / "file").write_bytes(b"")
    Store(tmp_path / "file").shrink(0)
    fill(tmp_path, [30, 20, 10])
    real = os.unlink

    def stubborn(path: str, *, dir_fd: int | None = None) -> None:
        if path.endswith(key(0)[2:]):
            raise PermissionError(13, "no", path)
        real(path, dir_fd=dir_fd)
        real(path, dir_fd=dir_fd)  # as if another process had been quicker

    monkeypatch.setattr(os, "unlink", stubborn)
    Store(tmp_path).shrink(0)
    assert left(tmp_path) == {0}


def test_several_at_once_on_one_folder(tmp_path: Path) -> None:
    """Four processes get, put and shrink the same 40 keys to almost nothing: whatever is found is
    whole, no one fails, and no half is left."""
    worker = (
        "import sys, random, pathlib\n"
        "from anthocard.press.store.store import Store\n"
        "folder, keys = pathlib.Path(sys.argv[1]), [f'{n:040x}' for n in range(40)]\n"
        "chance = random.Random(sys.argv[2])\n"
        "for _ in range(60):\n"
        "    cache = Store(folder)\n"
        "    for key in chance.sample(keys, 8):\n"
        "        paper = cache.get(key)\n"
        "        assert paper in (None, key.encode() * 9), key\n"
        "        assert paper or cache.put(key, key.encode() * 9), key\n"
        "    cache.shrink(1_000)\n"
    )
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", worker, str(tmp_path), str(number)],
            cwd=ROOT, stderr=subprocess.PIPE, text=True,
        )
        for number in range(4)
    ]  # fmt: skip
    said = [one.communicate(timeout=HUNG_S)[1] for one in runs]
    assert [one.returncode for one in runs] == [0] * 4, said
    assert not list(tmp_path.rglob(".*"))


def files(folder: Path) -> set[str]:
    return {path.name for path in folder.rglob("??/*") if path.is_file()}


def test_publish_keeps_to_its_bounds(tmp_path: Path) -> None:
    """At the command line: entries of another day go from the folder a bound is given for, never
    from a folder that --cache names without one; what the house uses stays."""
    bar, shared, env = (
        tmp_path / "bar",
        tmp_path / "shared",
        {"XDG_CACHE_HOME": str(tmp_path / "own")},
    )
    begin_small(bar)
    words = ("publish", "--house", bar, "--out", tmp_path / "out", "--no-paper", "--again")
    own = tmp_path / "own" / "anthocard" / "store"
    for folder in (own, shared):
        fill(folder, [400, 300, 200])
    strangers = {key(number)[2:] for number in range(3)}
    assert run(*words, "--cache", shared, env=env).returncode == 0
    assert strangers < files(shared)
    assert run(*words, env=env).returncode == 0
    assert strangers < files(own)  # far below what a folder of one's own may hold
    assert run(*words, "--cache-most", 0, env=env).returncode == 0
    # What the pictures and the light of the first run were made from is needed by none after it.
    assert files(own) < files(shared) - strangers
    assert run(*words, "--cache", shared, "--cache-most", "0", env=env).returncode == 0
    assert files(own) == files(shared)
    assert run(*words, "--cache-most", "-1", env=env).returncode == 2


def test_the_usual_bounds_are_for_the_usual_folder_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Were it nothing at all: what nobody used goes from this user's own folder, and from a folder
    that --cache names nothing goes."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    monkeypatch.setattr(store_module, "USUAL_MB", 0)
    bar, shared, own = tmp_path / "bar", tmp_path / "shared", tmp_path / "own" / "anthocard"
    begin_small(bar)
    words = [
        "publish",
        "--house",
        str(bar),
        "--out",
        str(tmp_path / "out"),
        "--no-paper",
        "--again",
    ]
    for folder in (shared, own / "store"):
        fill(folder, [400])
    stranger = key(0)[2:]
    assert main([*words, "--cache", str(shared)]) == 0
    assert stranger in files(shared) & files(own / "store")
    assert main(words) == 0
    assert stranger not in files(own / "store")
    assert files(own / "store") == files(shared) - {stranger}


def test_a_publish_with_nothing_to_do_leaves_the_cache_alone(tmp_path: Path) -> None:
    """A second run does not even look: without a cache folder it makes none, and with --cache-most
    it removes nothing."""
    bar, own = tmp_path / "bar", tmp_path / "own"
    begin_small(bar)
    words = ("publish", "--house", bar, "--out", tmp_path / "out", "--no-paper")
    env = {"XDG_CACHE_HOME": str(own)}
    assert run(*words, env=env).returncode == 0
    fill(own / "anthocard" / "store", [400])
    states = {path: path.stat() for path in own.rglob("*")}
    answer = run(*words, "--cache-most", "0", env=env)
    assert "Nothing has changed" in answer.stdout
    assert {path: path.stat().st_ctime_ns for path in own.rglob("*")} == {
        path: state.st_ctime_ns for path, state in states.items()
    }
    shutil.rmtree(own)
    assert "Nothing has changed" in run(*words, env=env).stdout
    assert not own.exists()
