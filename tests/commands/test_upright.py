"""Whatever is thrown at a command: a clear line, the right exit code, nothing lost or half written."""

from __future__ import annotations

import os
import resource
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from anthocard.press.build.fingerprint import RECORD

from tests.commands.conftest import COMMAND, environment
from tests.patience import HUNG_S, processor_time

Run = Callable[..., object]


def tree(folder: Path) -> dict[str, bytes | None]:
    """Everything below a folder: the bytes of files, None for folders."""
    return {
        p.relative_to(folder).as_posix(): None if p.is_dir() else p.read_bytes()
        for p in folder.rglob("*")
    }


@pytest.fixture
def built(begun: Path, tmp_path: Path) -> Path:
    """A good build, which no later failure may touch."""
    return Path(shutil.copytree(begun / "build", tmp_path / "out" / "build"))


def spoil(bar: Path, name: str, content: bytes) -> None:
    path = bar / name
    path.unlink(missing_ok=True)
    path.write_bytes(content)


BOMB = b"---\nname: A\n" + b"".join(
    b"a%d: &a%d [%s]\n" % (n, n, b",".join([b"*a%d" % (n - 1)] * 9) if n else b"x")
    for n in range(9)
) + b"---\n"  # fmt: skip


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"---\nname: Caf\xe9\n---\n", "the file is not saved as UTF-8"),
        (b"---\nname: A\n---\n" + b"x" * 5_000_000, "the file is larger than 1 MB"),
        (BOMB, "“&” at the start gives the value a handle"),
        (b"\x00\x01\x02", "a character that no editor shows"),
        (b"", "the file does not start with front-matter"),
        (b"---\n" + b"[" * 100_000 + b"\n---\n", "first-light.md:"),
    ],
    ids=["not-utf-8", "5-mb", "alias-bomb", "binary", "empty", "brackets"],
)
@pytest.mark.parametrize("command", ["proofread", "publish"])
def test_a_recipe_that_is_none(
    anthocard: Run, bar: Path, built: Path, command: str, content: bytes, told: str
) -> None:
    """Told in a line with its place, within seconds of a processor; the last good build stands."""
    before = tree(built.parent)
    spoil(bar, "drinks/first-light.md", content)
    words = ["--out", built, "--no-paper"] if command == "publish" else []
    with processor_time() as spent:
        answer = anthocard(command, "--house", bar, *words)
    assert spent.seconds < 20
    assert answer.returncode == 1
    assert told in answer.stdout + answer.stderr
    assert "Traceback" not in answer.stderr
    assert len(answer.stdout + answer.stderr) < 20_000
    assert tree(built.parent) == before


def test_a_link_out_of_the_house(anthocard: Run, bar: Path, tmp_path: Path) -> None:
    """What it points at is not read, let alone published."""
    secret = tmp_path / "secret.md"
    secret.write_text("---\nname: secret\n---\nsecret\n", encoding="utf-8")
    (bar / "drinks" / "first-light.md").unlink()
    (bar / "drinks" / "first-light.md").symlink_to(secret)
    answer = anthocard("proofread", "--house", bar)
    assert answer.returncode == 1
    assert "this link leads out of the house" in answer.stdout
    assert "name: secret" not in answer.stdout


@pytest.mark.parametrize("command", ["publish", "proofread", "preview", "export", "import"])
def test_a_folder_that_is_no_house(anthocard: Run, tmp_path: Path, command: str) -> None:
    """Every command that needs a house says that there is none, and how to begin one."""
    more = {"export": ["recipes"], "import": ["recipes", tmp_path / "x.csv"]}.get(command, [])
    answer = anthocard(command, *more, "--house", tmp_path, cwd=tmp_path)
    assert answer.returncode == 1
    told = answer.stdout + answer.stderr
    assert "there is no house.yaml in this folder" in told
    assert "anthocard begin" in told
    assert list(tmp_path.iterdir()) == []


def unwritable(folder: Path) -> bool:
    """Whether permissions can keep this process out at all: they cannot keep root out."""
    return not os.access(folder, os.W_OK)


@pytest.fixture
def closed(built: Path) -> Iterator[Path]:
    """A build folder whose parent nobody may write to."""
    built.parent.chmod(0o555)
    yield built
    built.parent.chmod(0o755)


def test_a_read_only_build_folder(anthocard: Run, bar: Path, closed: Path) -> None:
    """The system's own refusal, in words and with exit code 4; run as root the same by a file."""
    if unwritable(closed.parent):
        before = tree(closed)
        page = bar / "drinks" / "first-light.md"
        page.write_text(page.read_text(encoding="utf-8") + "\nMore.\n", encoding="utf-8")
        answer = anthocard("publish", "--house", bar, "--out", closed, "--no-paper")
        assert tree(closed) == before
    else:  # nothing is closed to root but what is no folder at all
        in_the_way = closed.parent / "file"
        in_the_way.write_text("mine", encoding="utf-8")
        answer = anthocard("publish", "--house", bar, "--out", in_the_way / "b", "--no-paper")
        assert in_the_way.read_text(encoding="utf-8") == "mine"
    assert answer.returncode == 4
    assert "Mend: " in answer.stderr
    assert "nothing half written" in answer.stderr
    assert "Traceback" not in answer.stderr


def full_disk(bytes_left: int) -> Callable[[], None]:
    """As a full disk refuses a write: no file may grow beyond so many bytes (EFBIG)."""

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (bytes_left, bytes_left))

    return limit


@pytest.mark.parametrize("left", [0, 2_000, 20_000])
def test_a_full_disk_while_publishing(anthocard: Run, bar: Path, built: Path, left: int) -> None:
    """Wherever it strikes, the last good build stands, and no scratch folder is left behind."""
    before = tree(built.parent)
    page = bar / "drinks" / "first-light.md"
    page.write_text(page.read_text(encoding="utf-8") + "\nMore.\n", encoding="utf-8")
    answer = anthocard(
        "publish", "--house", bar, "--out", built, "--no-paper", preexec_fn=full_disk(left)
    )
    assert answer.returncode == 4, answer.stderr
    assert "make room on the disk" in answer.stderr
    assert tree(built.parent) == before


@pytest.mark.parametrize("left", [0, 500])
def test_a_full_disk_while_beginning_importing_exporting(
    anthocard: Run, bar: Path, tmp_path: Path, left: int
) -> None:
    """All files or none, and what stood before stands."""
    answer = anthocard("begin", tmp_path / "new", preexec_fn=full_disk(left))
    assert answer.returncode == 4
    assert not (tmp_path / "new").exists()
    sheet = tmp_path / "stock.csv"
    sheet.write_text("name,kind\nmarsh spirit,spirit\n", encoding="utf-8")
    before = tree(bar)
    answer = anthocard("import", "stock", sheet, "--house", bar, preexec_fn=full_disk(left))
    assert answer.returncode == 4
    assert tree(bar) == before
    target = tmp_path / "all.csv"
    target.write_text("old", encoding="utf-8")
    answer = anthocard(
        "export", "recipes", "--house", bar, "--out", target, preexec_fn=full_disk(left)
    )
    assert answer.returncode == 4
    assert target.read_text(encoding="utf-8") == "old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["all.csv", "bar", "stock.csv"]


def processor_s(pid: int) -> float:
    """What a process has used of a processor (proc(5): the 14th and 15th word of its stat)."""
    words = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")


@pytest.mark.parametrize("worked_s", [0.0, 0.1, 0.3, 0.6, 0.9])
def test_ctrl_c_in_the_middle(bar: Path, built: Path, worked_s: float) -> None:
    """At any moment: exit code 130 (or done just before), a build that is whole, no litter: the last
    good one, or the new one where all but saying so was done. The moment is told by the time of a
    processor, so that a busy machine is stopped at the same place as an idle one.
    """
    before = tree(built.parent)
    page = bar / "drinks" / "first-light.md"
    page.write_text(page.read_text(encoding="utf-8") + "\nMore.\n", encoding="utf-8")
    # Without -W error: a file that an import had open when it was stopped is Python's own affair.
    command = [COMMAND[0], *COMMAND[3:], "publish", "--house", str(bar), "--out", str(built)]
    command.append("--no-paper")
    process = subprocess.Popen(
        command, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        encoding="utf-8",
    )  # fmt: skip
    while process.poll() is None and processor_s(process.pid) < worked_s:
        time.sleep(0.01)
    process.send_signal(signal.SIGINT)
    _, told = process.communicate(timeout=HUNG_S)
    # Python itself was still starting, or clearing away: it tells what it can hand to nobody.
    assert "Traceback" not in told or not worked_s or told.startswith("Exception ignored in")
    after = tree(built.parent)
    if process.returncode == 0:
        assert {name.split("/")[0] for name in after} == {"build"}
    else:
        assert process.returncode in (130, -signal.SIGINT)
        if after != before:
            subprocess.run([*command, "--again"], env=environment(), check=True)
            whole = tree(built.parent)
            notes = {f"{built.name}/{RECORD}": b""}
            assert {**after, **notes} == {**whole, **notes}


@pytest.mark.parametrize("where", ["a command", "the command line"])
def test_an_import_that_hides_ctrl_c_is_stopped(where: str, bar: Path) -> None:
    """A library in C that is stopped while it is imported raises what it likes; so does this one."""
    name = {"a command": "anthocard.commands.proofread", "the command line": "anthocard.cli"}[where]
    script = (
        "import os, signal, sys\n"
        "class Hiding:\n"
        "    def find_spec(self, name, *rest):\n"
        f"        if name == {name!r}:\n"
        "            try: os.kill(os.getpid(), signal.SIGINT)\n"
        "            except KeyboardInterrupt: raise TypeError('expected a message argument')\n"
        "sys.meta_path.insert(0, Hiding())\n"
        f"sys.argv = ['anthocard', 'proofread', '--house', {str(bar)!r}]\n"
        "from anthocard.__main__ import program\n"
        "sys.exit(program())"
    )
    done = subprocess.run(
        [COMMAND[0], "-c", script], env=environment(), capture_output=True, encoding="utf-8",
        check=False,
    )  # fmt: skip
    assert done.returncode == 130
    assert "Traceback" not in done.stderr
    assert ("stopped; nothing half written" in done.stderr) == (where == "a command")


def test_a_reader_that_leaves_early(bar: Path) -> None:
    """`anthocard proofread | head -1` ends quietly."""
    line = " ".join(f"'{word}'" for word in (*COMMAND, "proofread", "--house", str(bar)))
    done = subprocess.run(
        ["bash", "-c", f"{line} | head -1"], env=environment(), capture_output=True,
        encoding="utf-8", check=True,
    )  # fmt: skip
    assert done.stdout.count("\n") == 1
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr
