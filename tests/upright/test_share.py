"""Shares: each machine sets its part, one puts them together and sets next to nothing more."""

from __future__ import annotations

import json
import os
import shutil
import signal
from collections.abc import Callable
from concurrent.futures import Executor, Future
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from anthocard.diagnostics.diagnostic import AuthorError
from anthocard.press.build.asking import deciding, each
from anthocard.press.build.share import (
    Share,
    join,
    read_share,
    set_share,
)
from anthocard.press.build.standing import REGISTER
from anthocard.press.build.unchanged import NOTE
from anthocard.press.build.workers import Typesetter, made
from anthocard.press.paper.typeset import paper_pdf
from anthocard.press.store.cache import Cache

from tests.commands.conftest import Ran, run

PAGE = "<html lang=en><head><title>t</title></head><body><p>page {}</p></body></html>"


@pytest.mark.parametrize("text", ["", "1", "0/3", "4/3", "-1/3", "1/0", "a/b", "1/2/3", "1.5/2"])
def test_what_is_no_share_is_told(text: str) -> None:
    """Only I/N with 1 ≤ I ≤ N."""
    with pytest.raises(AuthorError, match="no share"):
        read_share(text)
    assert read_share(" 2/5 ") == Share(2, 5)


def test_every_paper_falls_to_one_share() -> None:
    """By its key alone: a thousand keys, three shares, none left out and none twice, fairly."""
    keys = [f"{number * 7919:040x}" for number in range(1000)]
    parts = [[key for key in keys if Share(i, 3).has(key)] for i in (1, 2, 3)]
    assert sorted(key for part in parts for key in part) == sorted(keys)
    assert min(map(len, parts)) > 250


def test_shares_joined_are_the_whole(tmp_path: Path) -> None:
    """Two machines, two folders: joined, the publish sets nothing and gives the same bytes."""
    wanted = {f"{n}.pdf": (lambda n=n: paper_pdf(PAGE.format(n), "")) for n in range(8)}
    whole = dict(made(wanted, wanted))
    counts = []
    for number in (1, 2):
        typesetter = Typesetter(Cache(tmp_path / str(number)), 1)
        counts.append(set_share(wanted, Share(number, 2), typesetter))
    assert sum(counts) == 8
    assert min(counts) > 0
    into = Cache(tmp_path / "into")
    assert join((Cache(tmp_path / "1"), Cache(tmp_path / "2"), Cache(tmp_path / "no")), into) == 8
    last = Typesetter(into, 1)
    assert dict(made(wanted, wanted, last)) == whole
    assert last.set_anew == 0


def test_a_share_sets_what_it_needs_to_know_its_own(tmp_path: Path) -> None:
    """One paper decides what six others are like: every share sets that one and its own of the six,
    and what is left for the join is the one that needs all of them."""

    def bound() -> bytes:
        with deciding():
            first = paper_pdf(PAGE.format("first"), "")
        rest = each(
            [lambda n=n: paper_pdf(PAGE.format(f"{n} after {len(first)}"), "") for n in range(6)]  # type: ignore[misc]
        )
        last = paper_pdf(PAGE.format(sum(map(len, rest))), "")
        return b"".join([first, *rest, last])

    wanted = {"bound.pdf": bound}
    counts = []
    for number in (1, 2):
        typesetter = Typesetter(Cache(tmp_path / str(number)), 1)
        counts.append(set_share(wanted, Share(number, 2), typesetter))
        assert typesetter.set_anew == counts[-1]
    assert sum(counts) == 1 + 1 + 6
    into = Cache(tmp_path / "into")
    assert join((Cache(tmp_path / "1"), Cache(tmp_path / "2")), into) == 7
    last = Typesetter(into, 1)
    assert dict(made(wanted, wanted, last)) == {"bound.pdf": bound()}
    assert last.set_anew == 1


@pytest.mark.parametrize("broken", ["1", "2", "12"])
def test_all_are_asked_before_anyone_waits(broken: str) -> None:
    """`each` gives what all make; a paper under way does not keep the next from being asked for."""
    from anthocard.press.build.asking import Pending

    asked = []

    def make(name: str, pending: bool) -> str:
        asked.append(name)
        if pending:
            raise Pending
        return name

    assert each([lambda n=n: make(n, False) for n in "123"]) == ["1", "2", "3"]  # type: ignore[misc]
    asked.clear()
    with pytest.raises(Pending):
        each([lambda n=n: make(n, n in broken) for n in "123"])  # type: ignore[misc]
    assert asked == ["1", "2", "3"]


class Matrix:
    """A chain's jobs: processes of their own, each with a cache folder of its own for its user."""

    def __init__(self, room: Path, house: Path) -> None:
        self.room, self.house, self._jobs = room, house, 0

    def publish(self, *words: object) -> Ran:
        self._jobs += 1
        env = {"XDG_CACHE_HOME": str(self.room / f"own-{self._jobs}")}
        return run("publish", "--house", self.house, "--processes", 1, *words, env=env)

    def joined(self, name: str, *parts: Path) -> tuple[dict[str, Any], dict[str, bytes]]:
        words = [word for part in parts for word in ("--join", part)]
        out, cache = self.room / name, self.room / f"{name}-cache"
        answer = self.publish("--out", out, "--cache", cache, "--json", *words)
        assert answer.returncode == 0, answer.stderr
        return json.loads(answer.stdout), built(out)


def built(out: Path) -> dict[str, bytes]:
    files = (
        path for path in out.rglob("*") if path.is_file() and path.name not in (NOTE, REGISTER)
    )
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in files}


def titles(folder: Path) -> dict[str, str]:
    """The papers in a cache, by key: what each is called; nothing if it is made of others."""
    cache = Cache(folder)
    found = {}
    for key in cache:
        kept = cache.get(key)
        if kept is not None and kept.startswith(b"%PDF"):
            with pikepdf.open(BytesIO(kept)) as pdf:
                found[key] = str(pdf.docinfo.get("/Title", ""))
    return found


@pytest.fixture(scope="module")
def matrix(tmp_path_factory: pytest.TempPathFactory) -> Matrix:
    """The starter house, published whole into plain/, and set by two jobs into 1/ and 2/."""
    room = tmp_path_factory.mktemp("matrix")
    matrix = Matrix(room, room / "bar")
    assert run("begin", matrix.house).returncode == 0
    assert matrix.publish("--out", room / "plain", "--cache", room / "whole").returncode == 0
    for number in (1, 2):
        words = ("--share", f"{number}/2", "--cache", room / str(number))
        answer = matrix.publish("--out", room / "nothing", *words)
        assert answer.returncode == 0, answer.stderr
        held = len(titles(room / str(number)))
        assert (
            answer.stdout == f"Share {number} of 2: {held} papers stand in {room / str(number)}.\n"
        )
        assert not (room / "nothing").exists()
    return matrix


def test_a_chain_of_jobs_gives_the_same_build(matrix: Matrix) -> None:
    """Two shares joined on a third machine: the bytes of a plain publish, and what is left to set
    there is what knows of all papers: pages of the book, legends of the sheets. No card, no label
    and no menu."""
    parts = [matrix.room / number for number in ("1", "2")]
    told, files = matrix.joined("joined", *parts)
    assert files == built(matrix.room / "plain")
    set_before = {key for part in parts for key in titles(part)}
    set_anew = {
        k: t for k, t in titles(matrix.room / "joined-cache").items() if k not in set_before
    }
    of_all = [title for title in set_anew.values() if "Spec book" in title or "· sheet" in title]
    assert told["anew"]["papers"] <= len(of_all)  # cards cut from what was set are not counted
    assert len([t for part in parts for t in titles(part).values() if "Spec book" not in t]) > 9


def test_what_a_share_lacks_is_set_where_they_are_joined(matrix: Matrix, tmp_path: Path) -> None:
    """The second share never came, and of the first every third paper is damaged, cut short or
    gone: the build is the same, and just what was lost is set."""
    part = shutil.copytree(matrix.room / "1", tmp_path / "1")
    spoilt = sorted(key for key, title in titles(part).items() if "Spec book" not in title)[::3]
    for number, key in enumerate(spoilt):
        path = part / key[:2] / key[2:]
        whole = path.read_bytes()
        path.write_bytes([b"rubbish", whole[:-1], b""][number % 3])
    (part / "ab").mkdir(exist_ok=True)
    (part / "ab" / ("0" * 38)).mkdir()
    (part / "notes.txt").write_text("x")
    told, files = matrix.joined("lacking", part, tmp_path / "never")
    assert files == built(matrix.room / "plain")
    lost = set(titles(matrix.room / "2")) - set(titles(part)) | set(spoilt)
    cards = {
        k for k, t in titles(matrix.room / "lacking-cache").items() if t and "Spec book" not in t
    }
    assert len(lost & cards) > 5
    assert told["anew"]["papers"] >= len(lost & cards)


def test_a_share_knows_the_last_build(matrix: Matrix, tmp_path: Path) -> None:
    """The book tells what changed since the build in --out, so a share reads it too: a change of one
    dose, the only share of one, and where it is joined no paper at all is left to set."""
    changed = Matrix(tmp_path, shutil.copytree(matrix.house, tmp_path / "bar"))
    shutil.copytree(matrix.room / "plain", tmp_path / "build")
    drink = changed.house / "drinks" / "first-light.md"
    text = drink.read_text(encoding="utf-8")
    assert "50 ml blue gin" in text
    drink.write_text(text.replace("50 ml blue gin", "45 ml blue gin"), encoding="utf-8")
    words = ("--share", "1/1", "--cache", tmp_path / "part")
    assert changed.publish("--out", tmp_path / "build", *words).returncode == 0
    before = built(tmp_path / "build")
    told, files = changed.joined("build", tmp_path / "part")
    assert files["staff/book.pdf"] != before["staff/book.pdf"]
    assert told["anew"]["papers"] == 0


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("--share", "4/3"), 1, "“4/3” is no share"),
        (("--share", "1/3", "--join", "part"), 2, "not allowed with"),
    ],
)
def test_a_share_that_is_none(tmp_path: Path, words: tuple[str, ...], code: int, told: str) -> None:
    """An author's error with its mend, before anything is read or written; not both at once."""
    out, cache, bar = tmp_path / "out", tmp_path / "cache", tmp_path / "bar"
    assert run("begin", bar).returncode == 0
    answer = run("publish", "--house", bar, "--out", out, "--cache", cache, *words)
    assert answer.returncode == code
    assert told in answer.stderr
    assert not out.exists()
    assert not cache.exists()


class Watched(Executor):
    """Passes work on to another executor; each worker leaves a file that is named by its process,
    and the first to begin a paper that `deadly` finds is killed in the middle of it."""

    def __init__(self, other: Executor, room: Path, deadly: Callable[[str], bool]) -> None:
        self.other, self.room, self.deadly = other, room, deadly

    def submit(
        self, work: Callable[..., Any], /, job: Any, *more: Any, **named: Any
    ) -> Future[Any]:
        room, dies = str(self.room), self.deadly(job.attempts[0])

        def watched(*given: Any) -> Any:  # a function in a function travels by value
            with open(f"{room}/{os.getpid()}", "a") as seen:  # noqa: PTH123 - Path stays at home
                seen.write("x")
            if dies:
                try:
                    os.close(os.open(f"{room}/killed", os.O_CREAT | os.O_EXCL))
                except FileExistsError:
                    pass
                else:
                    os.kill(os.getpid(), signal.SIGKILL)
            return work(*given)

        return self.other.submit(watched, job, *more, **named)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """The cluster goes on for others."""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="workers are killed by signal")
@pytest.mark.parametrize("kills", [False, True])
def test_a_cluster_of_processes_sets_the_same_papers(tmp_path: Path, kills: bool) -> None:
    """Two workers of a dask cluster, processes of their own: both work, this process sets nothing,
    and the bytes are the same. Where one is killed in the middle of a paper, another sets it."""
    distributed = pytest.importorskip("distributed")
    room, count = tmp_path / "seen", 12
    room.mkdir()
    wanted = {f"{n}.pdf": (lambda n=n: paper_pdf(PAGE.format(n), "")) for n in range(count)}
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0",
            local_directory=str(tmp_path / "dask"),
        ) as cluster,
        distributed.Client(cluster) as client,
    ):  # fmt: skip
        born = set(client.run(os.getpid).values())
        typesetter = Typesetter(
            Cache(tmp_path / "cache"),
            executor=lambda: Watched(
                client.get_executor(), room, lambda html: kills and "page 5" in html
            ),
        )
        done = dict(made(wanted, wanted, typesetter))
        left = set(client.run(os.getpid).values())
    assert typesetter.set_anew == count
    assert done == dict(made(wanted, wanted))
    seen = {
        int(path.name): len(path.read_text()) for path in room.iterdir() if path.name != "killed"
    }
    assert len(born) == 2
    assert os.getpid() not in seen
    if kills:
        assert len(set(seen) - left) == 1
        assert sum(seen.values()) > count
    else:
        assert set(seen) == born == left
        assert sum(seen.values()) == count
