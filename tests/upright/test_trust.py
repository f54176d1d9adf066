"""Caches are not trusted: what nobody with the key made is not used, and whose a folder is counts."""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
from pathlib import Path

import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.guard.secret import KEY_VARIABLE, shared_secret
from anthocard.press.store.store import Store, usual_folder

from tests.commands.conftest import begin_small, run

KEY = "ab" * 20
OURS, THEIRS = b"o" * 32, b"t" * 32


def entry(folder: Path, key: str = KEY) -> Path:
    return folder / key[:2] / key[2:]


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache folder of one's own, not made yet."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    return tmp_path / "own" / "anthocard"


def _altered(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[-1] ^= 1
    path.write_bytes(content)


def _unsigned(path: Path) -> None:
    path.write_bytes(b"paper")


def _other_key(path: Path) -> None:
    other = Store(path.parents[1], THEIRS)
    assert other.put(KEY, b"paper")


def _moved(path: Path) -> None:
    """An entry under the name of another: its code holds for its own key alone."""
    Store(path.parents[1], OURS).put("cd" * 20, b"evil")
    entry(path.parents[1], "cd" * 20).replace(path)


def _link(path: Path) -> None:
    path.rename(path.with_name("elsewhere"))
    path.symlink_to("elsewhere")


def _pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def _huge(path: Path) -> None:
    with path.open("r+b") as file:
        file.truncate(64 * 2**30)


@pytest.mark.parametrize(
    ("spoil", "told"),
    [(_altered, True), (_unsigned, True), (_other_key, True), (_moved, True), (_link, False),
     (_pipe, True), (_huge, True)],
)  # fmt: skip
def test_what_nobody_with_the_key_made_is_not_used(spoil, told, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """Altered, unsigned, made with another key, moved, a link, a pipe, 64 GB: none is got, and it
    is said; put once more it is there again."""
    assert Store(tmp_path, OURS).put(KEY, b"paper")
    store = Store(tmp_path, OURS)
    assert store.get(KEY) == b"paper"
    assert store.notices == ()
    spoil(entry(tmp_path))
    store = Store(tmp_path, OURS)
    assert store.get(KEY) is None
    assert KEY not in store.used
    assert ["One entry of" in line for line in store.notices] == [True] * told
    assert store.put(KEY, b"paper")
    assert store.get(KEY) == b"paper"


def test_without_a_key_only_what_this_user_made_here_is_taken(own: Path, tmp_path: Path) -> None:
    """The secret is made at the first need, 32 bytes nobody else can read; another user's is
    another one."""
    shared = tmp_path / "shared"
    assert Store(shared).put(KEY, b"paper")
    secret = own / "key"
    assert len(secret.read_bytes()) == 32
    assert stat.S_IMODE(secret.stat().st_mode) & 0o077 == 0
    assert stat.S_IMODE(own.stat().st_mode) == 0o700
    assert Store(shared).get(KEY) == b"paper"
    secret.unlink()
    assert Store(shared).get(KEY) is None
    secret.write_bytes(b"short")
    assert Store(shared).get(KEY) is None
    assert len(secret.read_bytes()) == 32


@pytest.mark.skipif(os.name != "posix", reason="modes of folders")
@pytest.mark.parametrize("mode", [0o777, 0o770, 0o720, 0o1777])
def test_a_folder_others_may_write_to_is_not_used(own: Path, mode: int) -> None:
    """Nor anything kept in it, or anywhere in its user's name; it says so, and how to mend it."""
    own.mkdir(parents=True)
    own.chmod(mode)
    store = Store(usual_folder())
    assert not store.put(KEY, b"paper")
    assert store.get(KEY) is None
    assert list(own.iterdir()) == []
    assert f"chmod 700 {own}" in store.notices[0]
    own.chmod(0o755)
    store = Store(usual_folder())
    assert store.put(KEY, b"paper")
    assert stat.S_IMODE(own.stat().st_mode) == 0o700  # nobody could write there: it is narrowed


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="only root gives folders away")
def test_a_folder_of_somebody_else_is_not_used(own: Path) -> None:
    """Even one that nobody else may write to; nor a secret that somebody else wrote."""
    own.mkdir(parents=True, mode=0o700)
    os.chown(own, 12345, 12345)
    store = Store(usual_folder())
    assert not store.put(KEY, b"paper")
    assert "belongs to somebody else" in store.notices[0]
    os.chown(own, 0, 0)
    (own / "key").write_bytes(b"x" * 32)
    os.chown(own / "key", 12345, 12345)
    assert Store(usual_folder()).put(KEY, b"paper")
    assert (own / "key").read_bytes() != b"x" * 32


def test_a_folder_that_is_none(own: Path, tmp_path: Path) -> None:
    """A link to somebody's folder, a file: not used, and said."""
    (tmp_path / "theirs").mkdir()
    own.parent.mkdir()
    own.symlink_to(tmp_path / "theirs", target_is_directory=True)
    assert "no folder" in Store(usual_folder()).notices[0]
    assert not Store(usual_folder()).put(KEY, b"paper")
    assert list((tmp_path / "theirs").iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="modes of files")
@pytest.mark.parametrize("umask", [0o022, 0o077])
def test_whoever_shares_a_folder_can_read_what_is_put_there(
    umask: int, tmp_path: Path, own: Path
) -> None:
    """A folder of a group: entries and the folders they lie in take over its mode and group."""
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o2770)
    if os.geteuid() == 0:
        os.chown(shared, -1, 12345)
        shared.chmod(0o2770)
    before = os.umask(umask)
    try:
        assert Store(shared, OURS).put(KEY, b"paper")
    finally:
        os.umask(before)
    file, shelf = entry(shared).stat(), entry(shared).parent.stat()
    assert stat.S_IMODE(file.st_mode) == 0o660
    assert stat.S_IMODE(shelf.st_mode) == 0o2770
    assert file.st_gid == shelf.st_gid == shared.stat().st_gid


def test_keys_of_those_who_share(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From a file or the environment, the same; too short or open to everybody is an error."""
    monkeypatch.delenv(KEY_VARIABLE, raising=False)
    assert shared_secret(None) is None
    file = tmp_path / "key"
    file.write_text("correct horse 42\n")
    file.chmod(0o640)
    secret = shared_secret(file)
    assert secret is not None
    assert len(secret) == 32
    monkeypatch.setenv(KEY_VARIABLE, "correct horse 42")
    assert shared_secret(None) == secret
    monkeypatch.setenv(KEY_VARIABLE, "too short")
    with pytest.raises(AuthorError, match="nobody could guess"):
        shared_secret(None)
    file.chmod(0o644)
    with pytest.raises(AuthorError, match="others on this machine"):
        shared_secret(file)


def test_a_poisoned_folder_costs_time_alone(tmp_path: Path) -> None:
    """Every entry altered, papers and pages alike: the build is the same, what was made is made
    again, and the screen says how many entries were not used. With another key none is."""
    bar, shared, key = tmp_path / "bar", tmp_path / "shared", tmp_path / "key"
    begin_small(bar)
    key.write_text("of those who share it")
    key.chmod(0o600)
    env = {"XDG_CACHE_HOME": str(tmp_path / "own")}
    words = ["publish", "--house", bar, "--json", "--cache", shared]

    def publish(name: str, *more: object, **own: str) -> tuple[dict[str, int], str]:
        shutil.rmtree(tmp_path / "out", ignore_errors=True)
        answer = run(*words, "--out", tmp_path / "out", *more, env={**env, **own})
        assert answer.returncode == 0, answer.stderr
        (tmp_path / "out" / ".anthocard.json").unlink()
        shutil.copytree(tmp_path / "out", tmp_path / name)
        return json.loads(answer.stdout)["anew"], answer.stderr

    made, said = publish("first", "--cache-key", key)
    assert said == ""
    none = dict.fromkeys(made, 0)
    # Another user on another machine, who has the key.
    assert (
        publish("second", ANTHOCARD_CACHE_KEY=key.read_text(), XDG_CACHE_HOME="/dev/null")[0]
        == none
    )
    found = [path for path in shared.rglob("??/*") if path.is_file()]
    for path in found:
        _altered(path)
    anew, said = publish("third", "--cache-key", key)
    assert anew == made
    told = re.match(rf"(\d+) entries of {shared} were not used: made with another key", said)
    assert told is not None
    assert len(found) / 2 < int(told[1]) <= len(found)  # what is part of another is not asked for
    anew, said = publish("fourth")
    assert anew == made
    assert "made with another key" in said
    files = [
        {path.relative_to(tmp_path / name): path.read_bytes()
         for path in (tmp_path / name).rglob("*") if path.is_file()}
        for name in ("first", "second", "third", "fourth")
    ]  # fmt: skip
    assert files[0] == files[1] == files[2] == files[3]
