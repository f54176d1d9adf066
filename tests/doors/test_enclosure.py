"""Shut in: what sets papers, and a publish as a whole, writes nowhere else and connects to nobody.

Each attempt is made by a process of its own, since what is shut in stays so. The trap can snap: the
same attempt goes through where nothing is shut in.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from anthocard.press.build.worker import pool

from tests.commands.conftest import begin_small, run

ASK = "from anthocard.guard.enclosure import enclose; print(enclose([{writable!r}], {run}))\n"


def able() -> bool:
    """Whether this system can keep a process to it."""
    words = [sys.executable, "-c", ASK.format(writable="/", run=True)]
    return subprocess.run(words, capture_output=True, check=False).stdout == b"True\n"


pytestmark = pytest.mark.skipif(not able(), reason="this system shuts no process in")

ATTEMPTS = {
    "write": "open('file', 'w')",
    "append": "open('file', 'a')",
    "make": "open('new', 'x')",
    "folder": "os.mkdir('new')",
    "remove": "os.unlink('file')",
    "rename": "os.rename('file', 'new')",
    "move in": "os.rename('file', 'room/file')",
    "link in": "os.link('file', 'room/file')",
    "symlink": "os.symlink('file', 'new')",
    "cut off": "os.truncate('file', 0)",
    "pipe": "os.mkfifo('new')",
    "remove folder": "os.rmdir('empty')",
    "run": "subprocess.run(['/bin/true'], check=True)",
    "connect": "socket.create_connection(('127.0.0.1', {port}))",
    "datagram": "socket.socket(type=socket.SOCK_DGRAM)",
    "sixth version": "socket.socket(socket.AF_INET6)",
}
ALLOWED = {
    "write": "open('room/file', 'w')",
    "move": "os.rename('room/old', 'room/deeper/new')",
    "link": "os.link('room/old', 'room/deeper/new')",
    "read": "open('file').read()",
    "between processes": "socket.socketpair()",
}


@pytest.fixture
def place(tmp_path: Path) -> Path:
    for folder in ("room/deeper", "empty"):
        (tmp_path / folder).mkdir(parents=True)
    for file in ("file", "room/old"):
        (tmp_path / file).write_text("as it was")
    return tmp_path


def attempt(code: str, place: Path, shut: bool, run: bool = False) -> str:
    """What came of it: nothing, or the error."""
    asked = ASK.format(writable=str(place / "room"), run=run) if shut else ""
    words = [sys.executable, "-c", f"import os, socket, subprocess\n{asked}{code}"]
    done = subprocess.run(words, cwd=place, capture_output=True, text=True, check=False)
    return done.stderr.strip().rpartition("\n")[2]


@pytest.mark.parametrize("what", ATTEMPTS)
def test_what_is_shut_in_can_not(what: str, place: Path) -> None:
    """Write, make, move, link or remove anything outside, run a program, open a socket."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        code = ATTEMPTS[what].format(port=server.getsockname()[1])
        before = {path: path.stat().st_mtime_ns for path in place.rglob("*")}
        said = attempt(code, place, shut=True)
        assert any(word in said for word in ("PermissionError", "Errno 18")), said  # 18: EXDEV
        assert {path: path.stat().st_mtime_ns for path in place.rglob("*")} == before
        assert attempt(code, place, shut=False) == ""


@pytest.mark.parametrize("what", ALLOWED)
def test_what_is_shut_in_can(what: str, place: Path) -> None:
    """Do as it likes below its own folder, read, and talk to processes of this machine."""
    assert attempt(ALLOWED[what], place, shut=True) == ""


def test_programs_may_be_allowed(place: Path) -> None:
    """For a process that starts others."""
    assert attempt(ATTEMPTS["run"], place, shut=True, run=True) == ""


def test_what_sets_papers_is_shut_in(tmp_path: Path) -> None:
    """A worker of every pool: no file of anybody, no socket."""
    with pool(1) as one:
        for asked in ((open, str(tmp_path / "file"), "w"), (socket.socket,)):
            with pytest.raises(PermissionError):
                one.submit(*asked).result()
    assert not (tmp_path / "file").exists()


def test_what_is_shut_in_reads_what_was_compiled(place: Path) -> None:
    """Once somebody who may write there has, nothing is compiled again by those who may not; and one
    that is shut in where nothing was kept compiles for itself, keeps nothing, and goes on.
    """
    trace = "from anthocard.engine.optics.paint import compile_ahead; compile_ahead()\n"
    tell = (
        "from anthocard.engine.optics.tracer import march; print(len(march.stats.cache_misses))\n"
    )
    shut = ASK.format(writable=str(place / "room"), run=False)
    assert subprocess.run([sys.executable, "-c", trace], check=True).returncode == 0
    done = subprocess.run(
        [sys.executable, "-c", shut + trace + tell], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["True", "0"]
    elsewhere = "import anthocard.guard.compiling as c; from pathlib import Path\n"
    elsewhere += f"c._folder.cache_clear(); c._folder = lambda: Path({str(place)!r}) / 'none'\n"
    done = subprocess.run(
        [sys.executable, "-c", shut + elsewhere + trace + tell],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.split() == ["True", "1"]
    assert not (place / "none").exists()


@pytest.fixture
def passing() -> Iterator[Path]:
    """A folder for passing files with a short name: sockets lie in it, and theirs have a limit."""
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)


@pytest.mark.parametrize("command", ["publish", "proofread"])
def test_a_command_that_reads_a_house_is_shut_in(
    command: str, tmp_path: Path, passing: Path
) -> None:
    """Code that a stranger's theme would bring to run (here: put where Python looks for modules)
    writes nothing beside the build, its scratch folder, the cache and passing files."""
    bar, canary = tmp_path / "elsewhere" / "bar", tmp_path / "elsewhere" / "canary"
    begin_small(bar)
    (tmp_path / "code").mkdir()
    (tmp_path / "code" / "sitecustomize.py").write_text(
        "from jinja2.sandbox import SandboxedEnvironment as S\n"
        "import pathlib\n"
        "real = S.__init__\n"
        "def init(self, *given, **named):\n"
        "    real(self, *given, **named)\n"
        f"    try: pathlib.Path({str(canary)!r}).write_text('x')\n"
        f"    except OSError as error: pathlib.Path({str(passing / 'no')!r}).write_text(repr(error))\n"
        "S.__init__ = init\n"
    )
    (tmp_path / "place").mkdir()
    words = ["--out", tmp_path / "place" / "out", "--no-paper"] if command == "publish" else []
    if command == "proofread":
        (bar / "themes" / "mine").mkdir(parents=True)
        words = ["--theme", "mine"]
    own = {"XDG_CACHE_HOME": str(tmp_path / "own"), "TMPDIR": str(passing)}
    env = {**own, "PYTHONPATH": f"{Path(__file__).parents[2]}:{tmp_path / 'code'}"}
    answer = run(command, "--house", bar, *words, env=env, copied=False)
    assert answer.returncode == 0, answer.stderr
    assert "PermissionError" in (passing / "no").read_text()
    assert not canary.exists()


READING = {
    "figures": ["{bar}/drinks/first-light.md"],
    "dial": ["{bar}/drinks/first-light.md", "--until", "pH 4"],
    "batch": ["First Light", "--times", "4"],
    "export": ["recipes"],
    "buy": ["--serves", "First Light=3"],
    "prep": ["--serves", "First Light=3"],
    **{paper: [] for paper in ("cards", "labels", "logs", "book")},
}


@pytest.mark.parametrize("command", READING)
def test_a_command_that_only_reads_is_shut_in(command: str, tmp_path: Path, passing: Path) -> None:
    """Code that runs while a stranger's house is read can write nothing; the command writes the
    file that `--out` names."""
    bar, canary = tmp_path / "elsewhere" / "bar", tmp_path / "elsewhere" / "canary"
    begin_small(bar)
    (tmp_path / "code").mkdir()
    (tmp_path / "code" / "sitecustomize.py").write_text(
        "import anthocard.house.reader as r, pathlib\n"
        "real = r._read\n"
        "def read(*given, **named):\n"
        f"    try: pathlib.Path({str(canary)!r}).write_text('x')\n"
        f"    except OSError as error: pathlib.Path({str(passing / 'no')!r}).write_text(repr(error))\n"
        "    return real(*given, **named)\n"
        "r._read = read\n"
    )
    (tmp_path / "place").mkdir()
    out = [] if command in ("figures", "dial") else ["--out", tmp_path / "place" / "out"]
    words = [word.format(bar=bar) for word in READING[command]]
    own = {"XDG_CACHE_HOME": str(tmp_path / "own"), "TMPDIR": str(passing)}
    env = {**own, "PYTHONPATH": f"{Path(__file__).parents[2]}:{tmp_path / 'code'}"}
    answer = run(command, *words, "--house", bar, *out, env=env, copied=False)
    assert answer.returncode == 0, answer.stderr
    assert "PermissionError" in (passing / "no").read_text()
    assert not canary.exists()
    assert not out or (tmp_path / "place" / "out").stat().st_size > 0
