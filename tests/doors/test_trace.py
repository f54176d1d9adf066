"""Closed doors of the system itself: every call of a whole publish that names a file or a peer.

strace sees what no hook of Python does: libraries in C, processes that set papers, calls by handle.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from anthocard.disk.swap import CLAIM, JOURNAL

ROOT = Path(__file__).parents[2]
STARTER = ROOT / "generator" / "anthocard" / "commands" / "starter"
CHANGES = (
    "mkdir", "mkdirat", "rename", "renameat", "renameat2", "unlink", "unlinkat", "rmdir", "link",
    "linkat", "symlink", "symlinkat", "chmod", "fchmodat", "fchmodat2", "chown", "lchown",
    "fchownat", "truncate", "utime", "utimes", "utimensat", "futimesat", "mknod", "mknodat",
    "setxattr", "removexattr",
)  # fmt: skip
#: What a system reads for any program that starts, and shares memory by.
SYSTEM = (
    "/proc", "/dev", "/sys", "/lib", "/lib64", "/usr/lib", "/usr/lib64", "/usr/local/lib",
    "/usr/share", "/etc/ld.so.cache", "/etc/ld.so.preload", "/etc/locale.alias", "/etc/localtime",
    "/etc/mime.types", "/etc/nsswitch.conf", "/etc/passwd", "/etc/group", "/etc/fonts",
    "/etc/ssl/openssl.cnf",
)  # fmt: skip


#: All children too; what is not asked about runs on without a stop (strace 5.3 and later).
LOOKING = ("-ff", "--seccomp-bpf", "-qq", "-y", "-s", "4000", "-e", "trace=%file,%network", "-o")


def traceable() -> bool:
    """Whether strace is here, and allowed to look."""
    if shutil.which("strace") is None:
        return False
    with tempfile.TemporaryDirectory() as folder:
        tried = subprocess.run(["strace", *LOOKING, f"{folder}/t", "true"], check=False)
        return tried.returncode == 0


pytestmark = pytest.mark.skipif(not traceable(), reason="strace is not here, or may not look")


class Call(NamedTuple):
    """A call of the system that went through."""

    name: str
    paths: tuple[str, ...]
    text: str

    @property
    def writes(self) -> bool:
        return (
            self.name in CHANGES
            or re.search("O_WRONLY|O_RDWR|O_CREAT|O_TRUNC", self.text) is not None
        )

    @property
    def opens(self) -> bool:
        return self.name.startswith("open") and "O_DIRECTORY" not in self.text


def calls(folder: Path, words: list[str], **settings: object) -> Iterator[Call]:
    """Everything that a command and its children did, those that failed left out."""
    traces = folder / "traces"
    traces.mkdir()
    looked = ["strace", *LOOKING, traces / "t", *words]
    subprocess.run(looked, check=True, capture_output=True, **settings)  # type: ignore[call-overload]
    for trace in traces.iterdir():
        here = str(settings["cwd"])
        for line in trace.read_text(errors="replace").splitlines():
            read = re.match(r"(\w+)\((.*)\)\s+= (-?\d+)(?:<(.*?)>(?:\(deleted\))?)?", line)
            if read is None or int(read[3]) < 0:
                continue
            paths = [
                _path(found, here) for found in re.finditer(r'(?:<([^<>]*)>, )?"([^"]*)"', read[2])
            ]
            if read[1].startswith("open") and read[4]:
                paths = [read[4].removesuffix("(deleted)")]
            yield Call(read[1], tuple(paths), line)


def _path(found: re.Match[str], here: str) -> str:
    return os.path.normpath(Path(found[1] or here, found[2]))


def below(path: str, roots: tuple[object, ...]) -> bool:
    return any(path == str(root) or path.startswith(f"{root}/") for root in roots)


def odd(found: list[Call], reads: tuple[object, ...], writes: tuple[object, ...]) -> list[str]:
    """Files opened outside the lists, connections, and changes outside the writable folders."""
    told = []
    for call in found:
        if call.name in ("connect", "sendto", "bind") and "AF_INET" in call.text:
            told.append(call.text)
        if call.writes and call.name not in ("connect", "bind", "execve"):
            told += [call.text for path in call.paths if not below(path, writes)]
        elif call.opens:
            told += [
                call.text
                for path in call.paths
                if not below(path, (*reads, *writes)) and not Path(path).is_dir()
            ]
    return told


def hostile(folder: Path) -> Path:
    """A house whose words ask for files and hosts, with a build folder that leads out and lies."""
    house, out = folder / "house", folder / "out" / "build"
    shutil.copytree(STARTER, house)
    canary = folder / "canary.txt"
    canary.write_text("CANARY")
    (folder / "theirs").mkdir()
    page = house / "drinks" / "first-light.md"
    words = f"![x]({canary}) <img src='file://{canary}'> ![y](http://192.0.2.1/y.png)\n"
    page.write_text(page.read_text().replace("\n---\n", f"\n---\n{words}\n", 1))
    (out / "guest").mkdir(parents=True)
    (out.parent / ".build-scratch-x" / "new").mkdir(parents=True)
    (out.parent / ".build-scratch-x" / "new" / "guest").symlink_to(folder / "theirs")
    (out / f"{JOURNAL}.new").symlink_to(canary)
    (out / CLAIM).write_text(json.dumps({"name": "../../theirs", "number": "1"}))
    (out / JOURNAL).write_text(json.dumps({"guest": 1, "../../theirs": 2}))
    return out


@pytest.fixture
def passing() -> Iterator[Path]:
    """A folder for passing files with a short name: sockets lie in it, and theirs have a limit."""
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)


def test_a_publish_of_a_hostile_house(tmp_path: Path, passing: Path) -> None:
    """With papers, in processes of their own: nothing is opened but the house, this package with
    its themes, Python and the system's libraries; no connection is made; nothing is written but
    below out, its scratch folder beside it, the caches and the folder for passing files, and where
    Python keeps what was compiled of this package.
    """
    out = hostile(tmp_path)
    for name in ("cache", "own"):
        (tmp_path / name).mkdir()
    words = ["-B", "-m", "anthocard", "publish", "--house", tmp_path / "house", "--out", out]
    words += ["--cache", tmp_path / "cache", "--processes", "1"]
    own = {"XDG_CACHE_HOME": str(tmp_path / "own"), "TMPDIR": str(passing)}
    found = list(
        calls(
            tmp_path,
            [sys.executable, *map(str, words)],
            cwd=tmp_path / "house",
            env={**os.environ, **own},
        )
    )
    compiled = ROOT / "generator/anthocard/engine/optics/__pycache__"
    writes = (
        out.parent, tmp_path / "cache", tmp_path / "own", passing, compiled, "/dev/shm", "/dev/null",
    )  # fmt: skip
    python = tuple({Path(p).resolve() for p in (sys.prefix, sys.base_prefix)} | {Path(sys.prefix)})
    venv = Path(sys.executable).parents[1]
    reads = (tmp_path / "house", ROOT / "generator", ROOT / "themes", *python, venv, *SYSTEM)
    assert odd(found, reads, (*writes, "/proc/self/fd")) == []
    assert (out / "staff" / "cards" / "first-light.pdf").is_file()
    assert sum(call.writes for call in found) > 100
    assert list((tmp_path / "theirs").iterdir()) == []
    assert (out.parent / ".build-scratch-x" / "new" / "guest").is_symlink()


@pytest.mark.parametrize(
    "code",
    [
        "open('canary.txt')", "open('theirs/x', 'w')", "os.mkdir('theirs/x')",
        "os.unlink('canary.txt')", "os.rename('canary.txt', 'out/x')", "os.chmod('canary.txt', 0o600)",
        "os.open('x', os.O_CREAT, dir_fd=os.open('theirs', os.O_RDONLY))", "os.utime('canary.txt')",
        "socket.socket(type=socket.SOCK_DGRAM).connect(('127.0.0.1', 9))",
        "os.link('canary.txt', 'out/x')", "os.symlink('x', 'theirs/x')",
    ],
)  # fmt: skip
def test_the_search_sees_each_of_them(code: str, tmp_path: Path) -> None:
    """The trap can snap: a program that does one of these things is found out by it."""
    hostile(tmp_path)
    words = [sys.executable, "-c", f"import os, socket; {code}"]
    found = list(calls(tmp_path, words, cwd=tmp_path))
    reads = (ROOT, Path(sys.prefix), Path(sys.base_prefix), *SYSTEM)
    told = odd(found, reads, (tmp_path / "out",))
    assert len({one.split("(")[0] for one in told}) == 1, told
