"""Shares: each machine sets its part, one puts them together and sets next to nothing more."""

from __future__ import annotations

import json
import os
import shutil
import signal
from asyncio import CancelledError, sleep
from collections.abc import Callable, Mapping
from concurrent.futures import Executor, Future
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Mistake, Place
from anthocard.digest import digest
from anthocard.guard.secret import KEY_VARIABLE
from anthocard.press.build.fingerprint import RECORD
from anthocard.press.build.plan import make_each
from anthocard.press.build.run import BuildShare, Run
from anthocard.press.paper.job import HERE, PaperPress, each, paper_pdf
from anthocard.press.store.key import Target
from anthocard.press.store.store import Store
from anthocard.terminal.typed import share_of

from tests.commands.conftest import Ran, begin_small, run

SHARED = "of all jobs of a chain"
PAGE = "<html lang=en><head><title>t</title></head><body><p>page {}</p></body></html>"


@pytest.mark.parametrize("text", ["", "1", "0/3", "4/3", "-1/3", "1/0", "a/b", "1/2/3", "1.5/2"])
def test_what_is_no_share_is_told(text: str) -> None:
    """Only I/N with 1 ≤ I ≤ N."""
    with pytest.raises(AuthorError, match="no share"):
        share_of(text)
    assert share_of(" 2/5 ") == (2, 5)


def test_every_paper_falls_to_one_share() -> None:
    """By its key alone: a thousand keys, three shares, none left out and none twice, fairly."""
    keys = [f"{number * 7919:040x}" for number in range(1000)]
    parts = [[key for key in keys if BuildShare(i, 3).has(key)] for i in (1, 2, 3)]
    assert sorted(key for part in parts for key in part) == sorted(keys)
    assert min(map(len, parts)) > 250


def files_of(makers: Mapping[str, Callable[[PaperPress], Any]]) -> dict[str, Target]:
    return {path: Target(path, "", make) for path, make in makers.items()}


def made(press: PaperPress, wanted: Mapping[str, Target]) -> dict[str, bytes]:
    """The files that could be made whole; in a share those that need no other."""
    done: dict[str, bytes] = {}

    async def make(path: str, target: Target) -> None:
        with suppress(CancelledError):
            done[path] = await press.get(target)

    press.now(make_each(wanted, make))
    return done


def pages(count: int) -> dict[str, Target]:
    def one(number: int) -> Callable[[PaperPress], Any]:
        return lambda press: paper_pdf(lambda: PAGE.format(number), "", press=press)

    return files_of({f"{number}.pdf": one(number) for number in range(count)})


def joined(into: Store, *parts: Path) -> int:
    return sum(into.take_in(Store(part)) for part in parts)


def test_shares_joined_are_the_whole(tmp_path: Path) -> None:
    """Two machines, two folders: joined, the publish sets nothing and gives the same bytes."""
    wanted, counts = pages(8), []
    for number in (1, 2):
        run = Run(Store(tmp_path / str(number)), 1, share=BuildShare(number, 2))
        counts.append(len(made(run, wanted)))
        assert counts[-1] == run.set_anew == len(run.papers)
    assert sum(counts) == 8
    assert min(counts) > 0
    into = Store(tmp_path / "into")
    assert joined(into, tmp_path / "1", tmp_path / "2", tmp_path / "no") == 8
    last = Run(into, 1)
    assert made(last, wanted) == made(HERE, wanted)
    assert last.set_anew == 0


def test_a_share_sets_what_it_needs_to_know_its_own(tmp_path: Path) -> None:
    """One paper decides what six others are like: every share sets that one and its own of the six,
    and what is left for the join is the one that needs all of them."""

    async def bound(press: PaperPress) -> bytes:
        async def page(words: str, decides: bool = False) -> bytes:
            return await paper_pdf(lambda: PAGE.format(words), "", press=press, decides=decides)

        first = await page("first", decides=True)
        rest = await each(page(f"{n} after {len(first)}") for n in range(6))
        last = await page(f"{sum(map(len, rest))}")
        return b"".join([first, *rest, last])

    wanted, counts = files_of({"bound.pdf": bound}), []
    for number in (1, 2):
        run = Run(Store(tmp_path / str(number)), 1, share=BuildShare(number, 2))
        assert made(run, wanted) == {}
        counts.append(run.set_anew)
    assert sum(counts) == 1 + 1 + 6
    into = Store(tmp_path / "into")
    assert joined(into, tmp_path / "1", tmp_path / "2") == 7
    last = Run(into, 1)
    assert made(last, wanted) == made(HERE, wanted)
    assert last.set_anew == 1


def test_all_come_to_an_end_before_anything_is_raised() -> None:
    """`each` gives what all give, in order; where some cannot, the others are made all the same,
    and the mistakes of all are told."""
    done = []

    async def one(number: int, wrong: str = "") -> int:
        await sleep(0.01 * (3 - number))
        if wrong:
            raise AuthorError([Mistake("x", wrong, Place(f"{number}.md"))])
        done.append(number)
        return number

    assert HERE.now(each(map(one, range(3)))) == [0, 1, 2]
    done.clear()
    with pytest.raises(AuthorError) as caught:
        HERE.now(each([one(0, "first"), one(1), one(2, "last")]))
    assert [mistake.message for mistake in caught.value.mistakes] == ["first", "last"]
    assert done == [1]


class Matrix:
    """A chain's jobs: processes of their own, each with a cache folder of its own for its user."""

    def __init__(self, room: Path, house: Path) -> None:
        self.room, self.house, self._jobs = room, house, 0

    def publish(self, *words: object) -> Ran:
        self._jobs += 1
        env = {"XDG_CACHE_HOME": str(self.room / f"own-{self._jobs}"), KEY_VARIABLE: SHARED}
        return run("publish", "--house", self.house, "--processes", 1, *words, env=env)

    def joined(self, name: str, *parts: Path) -> tuple[dict[str, Any], dict[str, bytes]]:
        words = [word for part in parts for word in ("--join", part)]
        out, cache = self.room / name, self.room / f"{name}-cache"
        answer = self.publish("--out", out, "--cache", cache, "--json", *words)
        assert answer.returncode == 0, answer.stderr
        return json.loads(answer.stdout), built(out)


def built(out: Path) -> dict[str, bytes]:
    files = (path for path in out.rglob("*") if path.is_file() and path.name != RECORD)
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in files}


def titles(folder: Path) -> dict[str, str]:
    """The papers in a cache, by key: what each is called; nothing if it is made of others."""
    cache = Store(folder, digest(SHARED.encode(), 32))
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
    begin_small(matrix.house)
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
    """The second share never came, and of the first two of three papers are damaged, cut short or
    gone: the build is the same, and just what was lost is set."""
    part = shutil.copytree(matrix.room / "1", tmp_path / "1")
    held = sorted(key for key, title in titles(part).items() if "Spec book" not in title)
    spoilt = [key for number, key in enumerate(held) if number % 3]
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
        room, dies = str(self.room), self.deadly(job.html)

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
    wanted = pages(count)
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0",
            local_directory=str(tmp_path / "dask"),
        ) as cluster,
        distributed.Client(cluster) as client,
    ):  # fmt: skip
        born = set(client.run(os.getpid).values())
        run = Run(
            Store(tmp_path / "cache"),
            executor=lambda: Watched(
                client.get_executor(), room, lambda html: kills and "page 5" in html
            ),
        )
        done = made(run, wanted)
        left = set(client.run(os.getpid).values())
    assert run.set_anew == count
    assert done == made(HERE, wanted)
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
