"""Workers: a paper that never ends, eats memory or is killed is named, and the rest goes on."""

from __future__ import annotations

import gc
import json
import multiprocessing
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from anthocard.diagnostics.diagnostic import Mistake, Place
from anthocard.guard.rubbish import SELDOM
from anthocard.press.build import run as run_module, worker
from anthocard.press.build.plan import make_each
from anthocard.press.build.run import Run
from anthocard.press.build.worker import pool
from anthocard.press.paper.job import FIT, HERE, Job, Outcome, PaperPress, card_pdf, each, paper_pdf
from anthocard.press.store.key import Target
from anthocard.press.store.store import Store

from tests.patience import HUNG_S

STYLE = "@page { size: 60mm 60mm } "
GOOD = "<html lang=en><head><title>t</title></head><body><p>good {}</p></body></html>"
HUGE = "<table><tr>" + "<td colspan=60000>x</td>" * 40 + "</tr></table>"


def pages(**html: str) -> dict[str, Target]:
    """One-sheet papers by name."""
    return {name: Target(name, "", partial(_page, name, page)) for name, page in html.items()}


async def _page(name: str, html: str, press: PaperPress) -> bytes:
    return await card_pdf(lambda: html, ("even",), STYLE, name, Place(f"{name}.md"), press=press)


def papers(*html: str) -> dict[str, Target]:
    """Papers of any length, by number."""
    return {str(n): Target(str(n), "", partial(_paper, page)) for n, page in enumerate(html)}


async def _paper(html: str, press: PaperPress) -> bytes:
    return await paper_pdf(lambda: html, STYLE, press=press)


def made(press: PaperPress, wanted: Mapping[str, Target]) -> tuple[dict[str, bytes], list[Mistake]]:
    """What came of each, in the order in which it came, and what had to be stopped."""
    done: dict[str, bytes] = {}

    async def make(path: str, target: Target) -> None:
        done[path] = await press.get(target)

    stopped = press.now(make_each(wanted, make))
    return done, stopped


def test_a_render_that_never_ends_is_named_and_the_rest_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table of millions of columns against a limit of six seconds: it alone is left out."""
    monkeypatch.setattr(run_module, "SECONDS", 6.0)
    wanted = pages(one=GOOD.format(1), endless=GOOD.format(HUGE), two=GOOD.format(2))
    done, (mistake,) = made(Run(Store(tmp_path), 2), wanted)
    assert set(done) == {"one", "two"}
    assert all(pdf.startswith(b"%PDF") for pdf in done.values())
    assert "“endless”" in mistake.message
    assert mistake.kind in {"too-slow", "too-big"}


def _die(job: Job, seconds: float, megabytes: int) -> Outcome:
    if "deadly" in job.html:
        os.kill(os.getpid(), signal.SIGKILL)
    return Outcome(b"%PDF " + job.html.encode())


def test_a_file_is_made_as_soon_as_its_own_papers_are_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One paper is held back until another's file has come out: nobody waits for all of them."""
    go_on = threading.Event()

    def held(job: Job, seconds: float, megabytes: int) -> Outcome:
        assert "slow" not in job.html or go_on.wait(300)
        return Outcome(b"%PDF " + job.html.encode())

    monkeypatch.setattr(run_module, "set_within", held)
    run, came = Run(Store(tmp_path), executor=lambda: ThreadPoolExecutor(2)), []

    async def make(path: str, target: Target) -> None:
        await run.get(target)
        came.append(path)
        go_on.set()

    run.now(make_each(pages(slow="slow", fast="fast"), make))
    assert came == ["fast", "slow"]


def test_a_paper_is_set_anew_for_another_safe_area(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How near to the edge words may come decides whether it is refused: it is of a paper's key."""
    monkeypatch.setattr(run_module, "set_within", _die)
    counts = []
    for safe_mm in (3.0, 3.0, 5.0):
        run = Run(Store(tmp_path), executor=lambda: ThreadPoolExecutor(1))
        ask = paper_pdf(lambda: GOOD, STYLE, press=run, safe_mm=safe_mm)
        run.now(ask)
        counts.append(run.set_anew)
    assert counts == [1, 0, 1]


def _with_process(parts: list[bytes]) -> bytes:
    return b" ".join([*parts, b"%d" % os.getpid()])


def _deadly_once(parts: list[bytes]) -> bytes:
    if multiprocessing.parent_process() is not None:
        os.kill(os.getpid(), signal.SIGKILL)
    return _with_process(parts)


def _joined(run: Run, make: Any) -> bytes:
    """Two papers put together by `make`, as a file of a publish."""

    async def file(press: PaperPress) -> bytes:
        both = pages(one=GOOD.format(1), two=GOOD.format(2)).values()
        return await press.join(make, await each(press.get(target) for target in both))

    return made(run, {"file": Target("file", "", file)})[0]["file"]


def test_papers_are_joined_where_they_are_set(tmp_path: Path) -> None:
    """By a worker while there are any; it is no paper more, and nothing is kept of it."""
    run = Run(Store(tmp_path), 1)
    found = _joined(run, _with_process)
    assert found.count(b"%PDF") == 2
    assert int(found.rsplit(b" ")[-1]) != os.getpid()
    assert run.set_anew == 2
    assert len([*Store(tmp_path)]) == 2
    assert run._making == {}


def test_no_process_starts_to_join_papers_that_are_kept(tmp_path: Path) -> None:
    """Both papers are in the store: what is made of them is made here."""
    first = _joined(Run(Store(tmp_path), 1), _with_process)
    run = Run(Store(tmp_path), executor=lambda: pytest.fail("a pool was opened"))
    again = _joined(run, _with_process)
    assert again.rsplit(b" ", 1) == [first.rsplit(b" ", 1)[0], b"%d" % os.getpid()]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are killed by signal")
def test_a_worker_killed_while_joining_costs_nothing(tmp_path: Path) -> None:
    """Then it is done here, and nobody is told of papers that are there."""
    found = _joined(Run(Store(tmp_path), 1), _deadly_once)
    assert int(found.rsplit(b" ")[-1]) == os.getpid()


def test_what_many_ask_for_is_made_once(tmp_path: Path) -> None:
    """Ten files of one target, which is made of one paper: both are made once, kept or not."""
    for store in (Store(tmp_path), Store(Path(os.devnull))):
        asked: list[str] = []

        async def one(press: PaperPress, asked: list[str] = asked) -> bytes:
            asked.append("x")
            return await _paper(GOOD.format("one"), press)

        async def file(press: PaperPress, one: Callable[[PaperPress], Any] = one) -> bytes:
            return await press.get(Target("one", "ab" * 20, one, paper=True))

        run = Run(store, 1)
        done, _ = made(run, {str(n): Target(str(n), "", file) for n in range(10)})
        assert len(done) == 10
        assert len(set(done.values())) == 1
        assert asked == ["x"]
        assert run.set_anew == 1


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere processes start with nothing loaded")
def test_workers_are_copies_of_a_process_that_is_loaded() -> None:
    """The first paper finds WeasyPrint there, and everything that a paper needs."""
    with pool(1) as one:
        asked = "{'weasyprint', 'pikepdf', 'fontTools.subset'} - set(__import__('sys').modules)"
        assert one.submit(eval, asked).result() == set()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are killed by signal")
def test_a_killed_worker_costs_one_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two papers out of twenty take their process with them: those two are named, no other."""
    monkeypatch.setattr(run_module, "set_within", _die)
    words = {f"n{i}": "deadly" if i in (3, 11) else "fine" for i in range(20)}
    wanted = pages(**{n: f"{word} {n}" for n, word in words.items()})
    done, stopped = made(Run(Store(tmp_path), 2), wanted)
    assert set(done) == {n for n, word in words.items() if word == "fine"}
    assert {m.message.split("”")[0][1:] for m in stopped} == {"n3", "n11"}


def _greedy(job: Job) -> Outcome:
    bytearray(800_000_000)
    return Outcome(b"%PDF")


def _guarded(job: Job) -> Outcome:
    worker.set_type = _greedy  # type: ignore[assignment]
    return worker.set_within(job, 30.0, 200)


def test_workers_seldom_look_for_rubbish() -> None:
    """As the process that asks them: at Python's own pace it takes a tenth of what they do."""
    with pool(1) as one:
        assert one.submit(gc.get_threshold).result()[0] == SELDOM


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="limits are Linux's")
def test_memory_is_bounded() -> None:
    """Asking for 800 MB with 200 allowed is refused and told, in its own process."""
    with pool(1) as one:
        outcome = one.submit(_guarded, Job("x", "")).result()
    assert outcome.trouble == "too-big"


def test_all_mistakes_of_cards_are_told(tmp_path: Path) -> None:
    """Two cards that do not fit and one that does: both are told, and the third is made."""
    wanted = pages(
        b=GOOD.format("<br>" * 90 + "x"), good=GOOD.format(""), a=GOOD.format("<br>" * 80 + "y")
    )
    done, told = made(Run(Store(tmp_path), 1), wanted)
    assert sorted(m.place.path for m in told) == ["a.md", "b.md"]
    assert [*done] == ["good"]


def test_any_executor_serves_and_bytes_are_the_same(tmp_path: Path) -> None:
    """Here, threads, one process and two: the same papers, byte for byte, each set once."""
    wanted = papers(*(GOOD.format(i) for i in range(4)))

    def thread() -> Executor:
        return ThreadPoolExecutor(1)

    found = [made(HERE, wanted)]
    for number, way in enumerate((thread, lambda: pool(1), lambda: pool(2))):
        run = Run(Store(tmp_path / str(number)), executor=way)
        found.append(made(run, wanted))
        assert run.set_anew == 4
    assert found[0] == found[1] == found[2] == found[3]


class _GivesUp(ThreadPoolExecutor):
    """As a cluster does that has lost worker after worker over one job: in words of its own."""

    def submit(self, work: Any, *words: Any, **more: Any) -> Any:
        if "deadly" not in words[0].html:
            return super().submit(work, *words, **more)
        lost: Future[Outcome] = Future()
        lost.set_exception(RuntimeError("four workers were lost"))
        return lost


def test_whatever_an_executor_says_of_a_lost_worker(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A paper that an executor gives up is set alone, here: found deadly it is named, and no other."""
    monkeypatch.setattr(run_module, "set_within", _die)
    wanted = pages(one="fine 1", bad="deadly 2", two="fine 3")
    done, (mistake,) = made(Run(Store(tmp_path), executor=lambda: _GivesUp(1)), wanted)
    assert set(done) == {"one", "two"}
    assert "“bad”" in mistake.message


def test_dask_serves_as_an_executor(tmp_path: Path) -> None:
    """A group that outgrows one machine brings its own engine: dask's futures are futures."""
    distributed = pytest.importorskip("distributed")
    wanted = papers(*(GOOD.format(i) for i in range(3)))
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=":0"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = made(Run(Store(tmp_path), executor=client.get_executor), wanted)
    assert found == made(HERE, wanted)


def test_a_kept_paper_is_not_set_again(tmp_path: Path) -> None:
    """The second house that wants the same paper finds it; another word, style or zoom does not."""
    wanted = papers(GOOD.format("a"))
    first, second = (Run(Store(tmp_path), 1) for _ in range(2))
    assert made(first, wanted) == made(second, wanted)
    assert (first.set_anew, second.set_anew) == (1, 0)
    base = Job(GOOD.format("a"), STYLE)
    others = [
        Job(GOOD.format("b"), STYLE), Job(base.html, STYLE + " "), Job(base.html, STYLE, zoom=2.0),
        Job(base.html, STYLE, fits=("even",)), Job(base.html, STYLE, fits=("even", "tight")),
    ]  # fmt: skip

    async def ask(press: PaperPress) -> None:
        await each(press.paper(lambda job=job: job) for job in (base, *others))  # type: ignore[misc]

    run = Run(Store(tmp_path), 1)
    run.now(ask(run))
    assert len(run.papers) == 6


def test_a_page_is_set_as_roomy_as_it_fits(tmp_path: Path) -> None:
    """The first of its fits that takes one sheet, whatever stands where the fit does."""
    html = f"<html lang=en><head><title>t</title></head><body class={FIT}><p>one</p><p>two</p></body></html>"
    styles = ".roomy p { break-after: page } .even p { color: #123456 } .tight p { color: #654321 }"
    way = Job(html, STYLE + styles, fits=("roomy", "even", "tight"))
    alone = Job(html.replace(FIT, "even"), STYLE + styles)
    assert worker.set_type(way) == worker.set_type(alone)


def test_limits_only_where_they_can_be_kept() -> None:
    """In a thread there is no alarm to set: the paper is set without one, and nothing breaks."""
    out: list[Outcome] = []
    job = Job(GOOD.format("t"), STYLE)
    thread = threading.Thread(target=lambda: out.append(worker.set_within(job, 30.0, 1500)))
    thread.start()
    thread.join()
    assert out[0].pdf.startswith(b"%PDF")


HOUSE = """
import os, sys, threading, time
from pathlib import Path
from anthocard.press.build.run import Run
from anthocard.press.build.worker import pool
from anthocard.press.paper.job import paper_pdf
from anthocard.press.store.store import Store

sheet = "<html lang=en><head><title>t</title></head><body>" + "<p>words</p>" * 200_000
with pool(1) as workers:
    workers.submit(os.getpid).result()
    run = Run(Store(Path(sys.argv[1])), executor=lambda: workers)
    threading.Thread(
        target=lambda: (time.sleep(1), print(*workers._processes, flush=True)), daemon=True
    ).start()
    run.now(paper_pdf(lambda: sheet, "", press=run))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="processes are looked for in /proc")
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
def test_no_process_is_left(tmp_path: Path, how: signal.Signals) -> None:
    """Whoever sets papers is ended in the middle of one: its workers end, and what they are copied
    from."""
    words = [sys.executable, "-c", HOUSE, str(tmp_path)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as main:
        assert main.stdout is not None
        workers = {int(word) for word in main.stdout.readline().split()}
        family = {*workers, *(_parent(worker) for worker in workers)} - {main.pid}
        main.send_signal(how)
        main.wait()
        while any(map(_runs, family)):  # as long as it takes: what hangs is stopped from outside
            time.sleep(0.05)
    assert len(workers) == 1
    assert len(family) == 2


@pytest.mark.skipif(sys.platform != "linux", reason="processes are looked for in /proc")
def test_nothing_is_left_of_a_publish_that_is_killed() -> None:
    """Ended by SIGKILL and by SIGTERM in the middle of papers: soon no process is left, no passing
    file and no half of a build. By hand kill_papers.py does it 200 times, and waits 5 s alone."""
    script = Path(__file__).with_name("kill_papers.py")
    with tempfile.TemporaryDirectory() as folder:  # short: sockets' paths have a limit
        words = [sys.executable, script, folder, "2", str(HUNG_S)]
        done = subprocess.run(words, capture_output=True, text=True, check=True)
    told = json.loads(done.stdout)
    assert told["killed"] >= 1
    assert told["left"] == []


def _parent(process: int) -> int:
    return int(Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[1])


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False
