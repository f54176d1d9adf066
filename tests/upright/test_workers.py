"""Workers: a paper that never ends, eats memory or is killed is named, and the rest goes on."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import AuthorError, Place
from anthocard.press.build import workers
from anthocard.press.build.asking import (
    Pending,
    each,
    together,
)
from anthocard.press.build.processes import pool
from anthocard.press.build.workers import Typesetter, made
from anthocard.press.paper.typeset import (
    Job,
    Outcome,
    card_pdf,
    paper_pdf,
)
from anthocard.press.store.cache import Cache, key_of

STYLE = "@page { size: 60mm 60mm } "
GOOD = "<html lang=en><head><title>t</title></head><body><p>good {}</p></body></html>"
HUGE = "<table><tr>" + "<td colspan=60000>x</td>" * 40 + "</tr></table>"


def pages(**html: str) -> dict[str, object]:
    place = Place("x.md")
    return {n: (lambda h=h, n=n: card_pdf([h], STYLE, n, place)) for n, h in html.items()}


def test_a_render_that_never_ends_is_named_and_the_rest_goes_on(tmp_path: Path) -> None:
    """A table of millions of columns against a limit of six seconds: it alone is left out."""
    typesetter = Typesetter(Cache(tmp_path), 2, limits=(6.0, 1500))
    wanted = pages(one=GOOD.format(1), endless=GOOD.format(HUGE), two=GOOD.format(2))
    start = time.monotonic()
    done = dict(made(wanted, wanted, typesetter))  # type: ignore[arg-type]
    assert set(done) == {"one", "two"}
    assert all(pdf.startswith(b"%PDF") for pdf in done.values())
    (mistake,) = typesetter.stopped
    assert "“endless”" in mistake.message
    assert mistake.kind in {"too-slow", "too-big"}
    assert time.monotonic() - start < 60


def _die(job: Job, seconds: float, megabytes: int) -> Outcome:
    if "deadly" in job.attempts[0]:
        os.kill(os.getpid(), signal.SIGKILL)
    return Outcome(b"%PDF " + job.attempts[0].encode())


def test_a_file_is_made_as_soon_as_its_own_papers_are_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One paper is held back until another's file has come out: nobody waits for all of them."""
    go_on = threading.Event()

    def held(job: Job, seconds: float, megabytes: int) -> Outcome:
        assert "slow" not in job.attempts[0] or go_on.wait(30)
        return Outcome(b"%PDF " + job.attempts[0].encode())

    monkeypatch.setattr(workers, "set_within", held)
    typesetter = Typesetter(Cache(tmp_path), executor=lambda: ThreadPoolExecutor(2))
    wanted = pages(slow="slow", fast="fast")
    coming = made(wanted, wanted, typesetter)  # type: ignore[arg-type]
    assert next(coming)[0] == "fast"
    go_on.set()
    assert [path for path, _ in coming] == ["slow"]


def _with_process(parts: list[bytes]) -> bytes:
    return b" ".join([*parts, b"%d" % os.getpid()])


def _deadly_once(parts: list[bytes]) -> bytes:
    if multiprocessing.parent_process() is not None:
        os.kill(os.getpid(), signal.SIGKILL)
    return _with_process(parts)


def _joined(typesetter: Typesetter, make: Any) -> bytes:
    """Two papers put together by `make`, as a file of a publish."""
    papers = pages(one=GOOD.format(1), two=GOOD.format(2)).values()
    wanted = {"file": lambda: together(make, each(papers))}  # type: ignore[arg-type]
    ((_, content),) = made(wanted, wanted, typesetter)
    return content


def test_papers_are_joined_where_they_are_set(tmp_path: Path) -> None:
    """By a worker while there are any; it is no paper more, and nothing is kept of it."""
    typesetter = Typesetter(Cache(tmp_path), 1)
    found = _joined(typesetter, _with_process)
    assert found.count(b"%PDF") == 2
    assert int(found.rsplit(b" ")[-1]) != os.getpid()
    assert typesetter.set_anew == 2
    assert len([*typesetter.cache]) == 2
    assert typesetter._known == {}


def test_no_process_starts_to_join_papers_that_are_kept(tmp_path: Path) -> None:
    """Both papers are in the cache: what is made of them is made here."""
    first = _joined(Typesetter(Cache(tmp_path), 1), _with_process)
    typesetter = Typesetter(Cache(tmp_path), executor=lambda: pytest.fail("a pool was opened"))
    again = _joined(typesetter, _with_process)
    assert again.rsplit(b" ", 1) == [first.rsplit(b" ", 1)[0], b"%d" % os.getpid()]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are killed by signal")
def test_a_worker_killed_while_joining_costs_nothing(tmp_path: Path) -> None:
    """Then it is done here, and nobody is told of papers that are there."""
    typesetter = Typesetter(Cache(tmp_path), 1)
    found = _joined(typesetter, _deadly_once)
    assert int(found.rsplit(b" ")[-1]) == os.getpid()
    assert typesetter.stopped == []


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere processes start with nothing loaded")
def test_workers_are_copies_of_a_process_that_is_loaded() -> None:
    """The first paper finds WeasyPrint there, and everything that a paper needs."""
    with pool(1) as one:
        asked = "{'weasyprint', 'pikepdf', 'fontTools.subset'} - set(__import__('sys').modules)"
        assert one.submit(eval, asked).result() == set()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are killed by signal")
def test_a_killed_worker_costs_one_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two papers out of twenty take their process with them: those two are named, no other."""
    monkeypatch.setattr(workers, "set_within", _die)
    typesetter = Typesetter(Cache(tmp_path), 2)
    words = {f"n{i}": "deadly" if i in (3, 11) else "fine" for i in range(20)}
    wanted = pages(**{n: f"{word} {n}" for n, word in words.items()})
    done = dict(made(wanted, wanted, typesetter))  # type: ignore[arg-type]
    assert set(done) == {n for n, word in words.items() if word == "fine"}
    assert {m.message.split("”")[0][1:] for m in typesetter.stopped} == {"n3", "n11"}


def _greedy(job: Job) -> Outcome:
    bytearray(800_000_000)
    return Outcome(b"%PDF")


def _guarded(job: Job) -> Outcome:
    workers.set_type = _greedy  # type: ignore[assignment]
    return workers.set_within(job, 30.0, 200)


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="limits are Linux's")
def test_memory_is_bounded() -> None:
    """Asking for 800 MB with 200 allowed is refused and told, in its own process."""
    with pool(1) as one:
        outcome = one.submit(_guarded, Job(("x",), "")).result()
    assert outcome.trouble == "too-big"


def test_all_mistakes_of_cards_are_told_at_once(tmp_path: Path) -> None:
    """Two cards that do not fit and one that does: one error with both, in file order."""
    wanted = {
        n: (lambda n=n, h=h: card_pdf([h], STYLE, n, Place(f"{n}.md")))
        for n, h in {
            "b": GOOD.format("<br>" * 90 + "x"), "good": GOOD.format(""), "a": GOOD.format("<br>" * 80 + "y"),
        }.items()
    }  # fmt: skip
    with pytest.raises(AuthorError) as caught:
        dict(made(wanted, wanted, Typesetter(Cache(tmp_path), 1)))
    assert [m.place.path for m in caught.value.mistakes] == ["a.md", "b.md"]


def test_any_executor_serves_and_bytes_are_the_same(tmp_path: Path) -> None:
    """Threads, one process and two: the same papers, byte for byte, each set once."""
    wanted = {f"{i}": (lambda i=i: paper_pdf(GOOD.format(i), STYLE)) for i in range(4)}

    def here() -> Executor:
        return ThreadPoolExecutor(1)

    found = []
    for number, way in enumerate((here, lambda: pool(1), lambda: pool(2))):
        typesetter = Typesetter(Cache(tmp_path / str(number)), executor=way)
        found.append(dict(made(wanted, wanted, typesetter)))
        assert typesetter.set_anew == 4
    assert found[0] == found[1] == found[2]


class _GivesUp(ThreadPoolExecutor):
    """As a cluster does that has lost worker after worker over one job: in words of its own."""

    def submit(self, work: Any, *words: Any, **more: Any) -> Any:
        if "deadly" not in words[0].attempts[0]:
            return super().submit(work, *words, **more)
        lost: Future[Outcome] = Future()
        lost.set_exception(RuntimeError("four workers were lost"))
        return lost


def test_whatever_an_executor_says_of_a_lost_worker(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A paper that an executor gives up is set alone, here: found deadly it is named, and no other."""
    monkeypatch.setattr(workers, "set_within", _die)
    typesetter = Typesetter(Cache(tmp_path), executor=lambda: _GivesUp(1))
    wanted = pages(one="fine 1", bad="deadly 2", two="fine 3")
    done = dict(made(wanted, wanted, typesetter))  # type: ignore[arg-type]
    assert set(done) == {"one", "two"}
    (mistake,) = typesetter.stopped
    assert "“bad”" in mistake.message


def test_dask_serves_as_an_executor(tmp_path: Path) -> None:
    """A group that outgrows one machine brings its own engine: dask's futures are futures."""
    distributed = pytest.importorskip("distributed")
    wanted = {f"{i}": (lambda i=i: paper_pdf(GOOD.format(i), STYLE)) for i in range(3)}
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=":0"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        typesetter = Typesetter(Cache(tmp_path), executor=client.get_executor)
        done = dict(made(wanted, wanted, typesetter))
    assert done == dict(made(wanted, wanted))


def test_a_cached_paper_is_not_set_again(tmp_path: Path) -> None:
    """The second house that wants the same paper finds it; another word, style or zoom does not."""
    wanted = {"a": lambda: paper_pdf(GOOD.format("a"), STYLE)}
    first, second = (Typesetter(Cache(tmp_path), 1) for _ in range(2))
    assert dict(made(wanted, wanted, first)) == dict(made(wanted, wanted, second))
    assert (first.set_anew, second.set_anew) == (1, 0)
    base = Job((GOOD.format("a"),), STYLE)
    others = [
        Job((GOOD.format("b"),), STYLE), Job((GOOD.format("a"),), STYLE + " "),
        Job(base.attempts, STYLE, zoom=2.0), Job(base.attempts, STYLE, one_sheet=True),
        Job((*base.attempts, "x"), STYLE),
    ]  # fmt: skip
    assert len({key_of(job) for job in (base, *others)}) == 6


def test_a_damaged_cache_is_as_good_as_none(tmp_path: Path) -> None:
    """Cut short, turned over, put under another key, or a folder nobody may write to."""
    cache, key, other = Cache(tmp_path), "ab" + "0" * 38, "ab" + "1" * 38
    assert cache.put(key, b"paper")
    assert cache.get(key) == b"paper"
    path = tmp_path / key[:2] / key[2:]
    whole = path.read_bytes()
    for damaged in (b"", whole[:-1], whole[:20], whole[:-1] + b"X", whole + b"X"):
        path.write_bytes(damaged)
        assert cache.get(key) is None
    path.write_bytes(whole)
    path.rename(path.with_name(other[2:]))
    assert cache.get(other) is None
    (tmp_path / "file").write_bytes(b"")
    nowhere = Cache(tmp_path / "file")
    assert not nowhere.put(key, b"paper")
    assert nowhere.get(key) is None


def test_limits_only_where_they_can_be_kept() -> None:
    """In a thread there is no alarm to set: the paper is set without one, and nothing breaks."""
    out: list[Outcome] = []
    job = Job((GOOD.format("t"),), STYLE)
    thread = threading.Thread(target=lambda: out.append(workers.set_within(job, 30.0, 1500)))
    thread.start()
    thread.join()
    assert out[0].pdf.startswith(b"%PDF")


def test_pending_is_what_a_missing_paper_says(tmp_path: Path) -> None:
    """Asked outside of `made`: under way first, there after `settle`."""
    typesetter = Typesetter(Cache(tmp_path), 1)
    job = Job((GOOD.format("p"),), STYLE)
    with pytest.raises(Pending):
        typesetter(job)
    typesetter.settle()
    assert typesetter(job).pdf.startswith(b"%PDF")
    typesetter.close()
