"""How near to the floor of the libraries underneath; see conftest.py for how to run it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from argparse import Namespace
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from anthocard.commands.publish import words_of
from anthocard.press.build.fingerprint import Record, fingerprint, sources

from tests.benchmarks.conftest import usual
from tests.benchmarks.houses import lay_build, make_house

DEMO = Path(__file__).parents[2] / "recipes"
COMMAND = Path(sys.executable).with_name("anthocard")
Row = Callable[..., None]
Clock = Callable[..., float]


@pytest.mark.parametrize("recipes", [100, 10_000])
def test_nothing_changed(
    recipes: int, tmp_path: Path, clock: Clock, bare: float, row: Row, benchmark: Any
) -> None:
    """Whole process. The build is laid by hand: what is in its files takes no time either way."""
    house, out = make_house(tmp_path / "house", recipes), tmp_path / "build"
    lay_build(out, recipes)
    usual_options = Namespace(theme="base", no_paper=False, press=None, headers=False, pack=False)
    words = words_of(usual_options)
    os.utime(house / "house.yaml")
    time.sleep(2.5)
    files = (path for name in ("guest", "staff") for path in (out / name).rglob("*.*"))
    record = Record(out)
    record.write_down({path.relative_to(out).as_posix(): ("k", "x") for path in files})
    record.take_note(fingerprint(house, words), sources(house, words)[0], (), None)
    command = [COMMAND, "publish", "--house", house, "--out", out]
    clock(command, 1)  # bytecode
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    assert "Nothing has changed" in told
    benchmark.pedantic(subprocess.run, (command,), {"capture_output": True}, rounds=5)
    found = clock(command)
    most = 2 * bare + 40 if recipes == 100 else 150
    reach = "≤ 2 × `python -c pass` + 40 ms" if recipes == 100 else "≤ 150 ms"
    row(f"publish again, nothing changed, {recipes:,} recipes", f"{reach} = {most:.0f} ms",
        f"{found:.0f} ms", found <= most)  # fmt: skip


def test_help(clock: Clock, bare: float, row: Row) -> None:
    """Whole process."""
    clock([COMMAND, "--help"], 1)
    found = clock([COMMAND, "--help"])
    row("`anthocard --help`", "≤ 3 × `python -c pass`", f"{found / bare:.1f} × ({found:.0f} ms)",
        found <= 3 * bare)  # fmt: skip


def test_figures_of_one_drink(tmp_path: Path, row: Row) -> None:
    """Cold processes, by processor time beside that of one which only imports numpy: in a small
    house and in the demo, the first to look through a glass and those after it. Weasyprint and scipy
    are not imported.
    """
    small = make_house(tmp_path / "house", 0) / "drinks" / "first-light.md"
    numpy = min(_processor([sys.executable, "-c", "import numpy"]) for _ in range(7))
    for house, drink in (
        ("a small house", small),
        ("the demo", DEMO / "drinks" / "squall-line.md"),
    ):
        first, *more = (_run(tmp_path / "own", "figures", drink)[0] for _ in range(6))
        row(f"figures of one drink of {house}, cold process, its glass known", "≤ 2.5 × import numpy",
            f"{min(more) / numpy:.1f} × ({min(more):.2f} s); its glass new {first / numpy:.1f} ×",
            min(more) <= 2.5 * numpy)  # fmt: skip
    words = ["figures", str(small)]
    asked = f"import sys; from anthocard.cli import main; main({words!r}); " + (
        "sys.exit(bool({'weasyprint', 'scipy'} & set(sys.modules)))"
    )
    subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True)


@pytest.mark.parametrize("of", ["the demo", "like drinks"])
def test_the_engine(of: str, tmp_path: Path, row: Row) -> None:
    """Warm, every recipe of a house by processor time, all in step and one after the other."""
    from anthocard.diagnostics.diagnostic import MistakeLog
    from anthocard.engine.compute import compute, compute_one
    from anthocard.engine.mix.shelf import Shelf
    from anthocard.house.reader import read_house

    collection = read_house(DEMO if of == "the demo" else make_house(tmp_path / "house", 61))
    shelf = Shelf(collection, MistakeLog())
    shelf.fill()
    recipes = len(compute(collection)[0])

    def alone() -> None:
        for recipe in collection.recipes:
            compute_one(recipe, collection, shelf, MistakeLog())

    bare = min(_processor([sys.executable, "-c", "pass"]) for _ in range(9))
    each, single = (_least(work) / recipes for work in (lambda: compute(collection), alone))
    row(f"a recipe of {of} worked out, warm, in step with its house", "-",
        f"{each / bare:.1f} × `python -c pass` ({1e3 * each:.0f} ms; alone {1e3 * single:.0f})",
        True)  # fmt: skip


def _least(work: Callable[[], object]) -> float:
    """Processor seconds of the best of five."""
    found = []
    for _ in range(5):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def test_tonight(tmp_path: Path, row: Row) -> None:
    """Whole processes, all figures kept: a bottle that every drink needs, and one guest; the
    processor's time beside that of a process which only imports the libraries underneath.
    """
    house, own = make_house(tmp_path / "house", 100), tmp_path / "own"
    bare = min(_processor([sys.executable, "-c", "import numpy, pydantic, yaml"]) for _ in range(5))
    _run(own, "tonight", "--house", house, "--guest", "nuts")  # works all of it out
    for words in (("--guest", "nuts, pregnant"), ("--out-of", "citric acid")):
        found = min(_run(own, "tonight", "--house", house, *words)[0] for _ in range(5))
        row(f"tonight {' '.join(words)}, 102 drinks", "≤ 1 s of processor",
            f"{found:.2f} s, {found / bare:.1f} × the libraries' import", found <= 1.0)  # fmt: skip


def _processor(words: list[str]) -> float:
    """Processor seconds of a whole process."""
    with subprocess.Popen(words, env=usual()) as process:
        _, _, used = os.wait4(process.pid, 0)
        process.returncode = 0
    return used.ru_utime + used.ru_stime


#: Houses of the scaling table; ANTHOCARD_MOST=10000 sh .ci/bench -k "grows or one_recipe" runs all.
#: Houses with all papers; ANTHOCARD_MOST=1000 sh .ci/bench -k all_papers takes 25 minutes more.
PAPERS = [n for n in (100, 1000) if n <= int(os.environ.get("ANTHOCARD_MOST", "100"))]
SIZES = [n for n in (10, 100, 1000, 10_000) if n <= int(os.environ.get("ANTHOCARD_MOST", "1000"))]


def _run(own: Path, *words: str | Path) -> tuple[float, float, dict[str, Any]]:
    """Processor seconds and peak MB of a whole process with caches of its own, and what it told."""
    with subprocess.Popen(
        [COMMAND, *words, "--json"], stdout=subprocess.PIPE, env=usual(own)
    ) as process:
        assert process.stdout is not None
        told = json.loads(process.stdout.read())
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1e3, told


def test_it_grows_with_the_house(tmp_path: Path, row: Row) -> None:
    """Whole processes from nothing kept, but for the last. A recipe's time is the slope from 10.

    MB are at the least those of this process, which its children start as a copy of.
    """
    took: dict[str, list[float]] = {"proofread": [], "publish, pages": []}
    python = min(_processor([sys.executable, "-c", "pass"]) for _ in range(9))
    for size in SIZES:
        house, out = make_house(tmp_path / f"house-{size}", size), tmp_path / f"out-{size}"
        words = ("publish", "--no-paper", "--house", house, "--out", out)
        proof_s, proof_mb, _ = _run(tmp_path / f"{size}-p", "proofread", "--house", house)
        pages_s, pages_mb, _ = _run(tmp_path / f"{size}-o", *words)
        time.sleep(2.5)  # until every file is old enough to be known by its times
        _run(tmp_path / f"{size}-o", *words)
        again = [_run(tmp_path / f"{size}-o", *words) for _ in range(7)]
        assert all(told["unchanged"] for _, _, told in again)
        again_s, again_mb = min(s for s, _, _ in again), max(mb for _, mb, _ in again)
        for name, seconds in zip(took, (proof_s, pages_s), strict=True):
            took[name].append(seconds)
        row(f"{size:,} recipes: proofread, publish of pages, nothing changed", "-",
            f"{proof_s:.1f}, {pages_s:.1f}, {again_s:.2f} s; "
            f"{proof_mb:.0f}, {pages_mb:.0f}, {again_mb:.0f} MB", True)  # fmt: skip
    for name, seconds in took.items():
        more = zip(seconds[1:], SIZES[1:], strict=True)
        each = [(s - seconds[0]) / (size - SIZES[0]) for s, size in more]
        row(f"{name}: a recipe of {SIZES[-1]:,} beside one of 100", "≤ 1.5 ×",
            f"{each[-1] / each[0]:.2f} × ({1e3 * each[-1]:.2f} ms)",
            each[-1] <= 1.5 * each[0])  # fmt: skip
        row(f"{name}: a recipe of {SIZES[-1]:,}", "≤ 1.0 × `python -c pass`",
            f"{each[-1] / python:.1f} ×", each[-1] <= python)  # fmt: skip


def test_one_recipe_of_a_thousand(tmp_path: Path, row: Row) -> None:
    """One amount changed; counted, and the best of five. The book's list tells of it as well."""
    house, own = make_house(tmp_path / "house", 1000), tmp_path / "own"
    words = ("publish", "--no-paper", "--house", house, "--out", tmp_path / "out")
    _run(own, *words)
    drink, best_s, most_mb = house / "drinks" / "light-00500.md", 1e9, 0.0
    for number in range(5):
        text = drink.read_text(encoding="utf-8")
        drink.write_text(text.replace(f"{15 + number} ml plain", f"{16 + number} ml plain"))
        start = time.perf_counter()
        _, mb, told = _run(own, *words)
        best_s, most_mb = min(best_s, time.perf_counter() - start), max(most_mb, mb)
        assert (told["anew"]["recipes"], told["anew"]["papers"]) == (1, 0)
    row("1 recipe of 1,000 changed, publish of pages", "1 recipe, few files anew, ≤ 1.5 s",
        f"{told['anew']['pages']} files, {best_s:.2f} s, {most_mb:.0f} MB", best_s <= 1.5)  # fmt: skip


def _asked(folder: str) -> list[Any]:
    """Every paper below a folder of the demo's build, as it is asked to be set, each once."""
    from anthocard.engine.compute import compute
    from anthocard.house.reader import read_house
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.plan import contents
    from anthocard.press.paper.job import Job, PaperPress, each

    jobs: dict[Job, None] = {}

    class Noting(PaperPress):
        async def with_pictures(self, job: Job, drawn: Any) -> Job:
            whole = await super().with_pictures(job, drawn)
            jobs[whole] = None
            return whole

    collection, press = read_house(DEMO), Noting()
    computed, _ = compute(collection)
    wanted = contents(collection, computed, find_theme())
    papers = [one for path, one in wanted.items() if re.match(f"{folder}.*[.]pdf", path)]
    press.now(each(press.get(paper) for paper in papers))
    return [*jobs]


def test_papers_are_laid_out_once(row: Row, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every paper of the demo, every attempt counted."""
    from anthocard.press.paper import typeset

    attempts, lay = [0], typeset._render

    def counted(*page: Any) -> Any:
        attempts[0] += 1
        return lay(*page)

    jobs = _asked("staff/")
    monkeypatch.setattr(typeset, "_render", counted)
    assert not any(typeset.set_type(job).trouble for job in jobs)
    found = attempts[0] / len(jobs)
    row("times a paper of the demo is laid out, all papers", "≤ 1.05",
        f"{found:.2f} ({len(jobs)} papers)", found <= 1.05)  # fmt: skip


@pytest.mark.filterwarnings("ignore:unclosed file:ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_sides_of_cards(row: Row, benchmark: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Warm, by processor time, every attempt counted, against the same words in one plain column."""
    from anthocard.press.paper import typeset

    jobs, attempts, lay = _asked("staff/cards/"), [0], typeset._render

    def counted(*page: Any) -> Any:
        attempts[0] += 1
        return lay(*page)

    def plain(job: Any) -> Any:
        words = re.sub(r"<(svg|title)\b.*?</\1>", "", job.html, flags=re.S)
        lines = filter(None, map(str.strip, re.sub(r"<[^>]+>", " ", words).splitlines()))
        html = "<html lang=en><title>t</title>" + "".join(f"<p>{line}</p>" for line in lines)
        return replace(job, html=html, style="@page { size: A6 }", fits=())

    monkeypatch.setattr(typeset, "_render", counted)
    bare, times = [plain(job) for job in jobs], {"ours": 0.0, "plain": 0.0}
    for one in (bare[0], jobs[0]):
        typeset.set_type(one)
    attempts[0] = 0
    for pair in zip(bare, jobs, strict=True):
        for name, job in zip(times, reversed(pair), strict=True):
            start = time.process_time()
            typeset.set_type(job)
            times[name] += time.process_time() - start
    tried = attempts[0] / len(jobs) - 1  # a plain page is set once
    benchmark.pedantic(typeset.set_type, (jobs[0],), rounds=5)
    row("times a side of a card is laid out", "≤ 1.05", f"{tried:.2f}", tried <= 1.05)
    ms, ratio = 1e3 * times["ours"] / len(jobs), times["ours"] / times["plain"]
    row("a side of a card, all attempts, of processor", "a plain column of its words",
        f"{ratio:.1f} × ({ms:.0f} ms)", True)  # fmt: skip


def _cards(count: int) -> tuple[list[str], str]:
    """Real card pages of the starter house, each with a name of its own, and their style."""
    from anthocard.engine.compute import compute
    from anthocard.house.reader import read_house
    from anthocard.press.base.theme import find_theme
    from anthocard.press.build.plan import contents
    from anthocard.press.paper.job import Job, Outcome, PaperPress

    from tests.benchmarks.houses import STARTER

    jobs: list[Job] = []

    class Noting(PaperPress):
        async def paper(self, job: Callable[[], Job], *more: Any, **named: Any) -> Outcome:
            jobs.append(job())
            return await super().paper(job, *more, **named)

    collection, press = read_house(STARTER), Noting()
    computed, _ = compute(collection)
    wanted = contents(collection, computed, find_theme())
    press.now(press.get(wanted["staff/cards/first-light.pdf"]))
    html, style = [*jobs[0].ways][-1], jobs[0].style
    return [html.replace("First Light", f"First Light {n}") for n in range(count)], style


def test_two_processes(tmp_path: Path, row: Row) -> None:
    """200 cards from nothing, the start of the pool included; the same bytes."""
    from anthocard.press.build.run import Run
    from anthocard.press.build.worker import pool
    from anthocard.press.paper.job import each, paper_pdf
    from anthocard.press.store.store import Store

    pages, style = _cards(200)
    times, found = [], []
    with pool(1) as one:  # starts the server that both are copied from, once a run
        one.submit(len, "").result()
    for processes in (1, 2):
        run = Run(Store(tmp_path / str(processes)), processes)
        start = time.perf_counter()
        asked = (paper_pdf(lambda h=h: h, style, press=run) for h in pages)  # type: ignore[misc]
        found.append(run.now(each(asked)))
        times.append(time.perf_counter() - start)
    assert found[0] == found[1]
    ratio = times[0] / times[1]
    row("200 cards on 2 processes", "≥ 1.7 × faster than on 1, identical bytes",
        f"{ratio:.2f} × ({times[1]:.1f} s), identical", ratio >= 1.7)  # fmt: skip


def test_ph_in_batches(row: Row, benchmark: Any) -> None:
    """100,000 liquids of citric, phosphoric and carbonic acid; PHREEQC solves 2,000 of them."""
    from anthocard.facts.chemistry.equilibrium import measure_ph
    from anthocard.facts.chemistry.liquid import Liquid
    from phreeqpython import PhreeqPython

    from tests.facts.test_phreeqc import ELEMENTS, definitions

    count, theirs = 100_000, 2_000
    rng = np.random.default_rng(8)
    totals = {key: rng.uniform(1.0, 60.0, count) for key in ELEMENTS}
    base = rng.uniform(0.05, 0.9, count) * sum(totals.values())
    liquid = Liquid.of(
        water_g=1000.0,
        strong_cation_mmol=base,
        **{f"{key}_mmol": total for key, total in totals.items()},
    )
    benchmark.pedantic(measure_ph, (liquid, 25.0), rounds=3)
    per_s = count / benchmark.stats.stats.min
    lines = ["SELECTED_OUTPUT 1", "    -reset false", "    -pH true"]
    for i in range(theirs):
        lines += [f"SOLUTION {i + 1}", "    temp 25", "    units mmol/kgw", "    pH 6 charge"]
        lines += [f"    {element} {totals[key][i]:.8f}" for key, element in ELEMENTS.items()]
        lines += [f"    Kat {base[i]:.8f}"]
    phreeqc = PhreeqPython(database="phreeqc.dat")
    phreeqc.ip.run_string(definitions())
    start = time.perf_counter()
    phreeqc.ip.run_string("\n".join([*lines, "END"]))
    ratio = per_s / (theirs / (time.perf_counter() - start))
    row("pH of 100,000 three-acid liquids", "≥ 200,000 solves/s", f"{per_s:,.0f}/s", per_s >= 2e5)
    row("the same against PHREEQC", "≥ 8 ×", f"{ratio:.1f} ×", ratio >= 8)


def test_spectra_to_lab(row: Row, benchmark: Any) -> None:
    """100,000 spectra in one call, against colour-science's call a spectrum at a time."""
    from anthocard.facts.colour.colours import to_lab, to_xyz
    from anthocard.facts.colour.light import library

    colour = library()
    rng = np.random.default_rng(8)
    nm = np.arange(380.0, 781.0, 5.0)
    depth, centre = rng.uniform(0, 2, (100_000, 1)), rng.uniform(450, 650, (100_000, 1))
    spectra = 10.0 ** -(depth * np.exp(-(((nm - centre) / 40) ** 2)))
    benchmark.pedantic(to_lab, (spectra,), rounds=5)
    per_s = len(spectra) / benchmark.stats.stats.min
    observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"]
    light, few, apart = colour.SDS_ILLUMINANTS["D65"], 20, 0.0
    shape = colour.SpectralShape(380, 780, 5)
    observer, light = observer.copy().align(shape), light.copy().align(shape)
    distributions = [colour.SpectralDistribution(row, nm) for row in spectra[:few]]
    start = time.perf_counter()
    theirs = [colour.sd_to_XYZ(sd, observer, light, method="Integration") for sd in distributions]
    ratio = per_s / (few / (time.perf_counter() - start))
    apart = float(np.abs(np.array(theirs) - to_xyz(spectra[:few])).max())
    row("spectra to CIELAB", "≥ 1,000,000/s", f"{per_s:,.0f}/s", per_s >= 1e6)
    row("the same against colour-science's call", "≥ 500 ×, equal to 1e-3 XYZ",
        f"{ratio:,.0f} ×, {apart:.1e}", ratio >= 500 and apart <= 1e-3)  # fmt: skip


MEMORY = """
import json, os, sys
from anthocard.press.paper.job import Job
from anthocard.press.paper.typeset import set_type
pages, style = json.load(sys.stdin)
held = []
for number, html in enumerate(pages):
    assert set_type(Job(html, style)).pdf
    with open("/proc/self/statm") as statm:
        held.append(int(statm.read().split()[1]) * os.sysconf("SC_PAGESIZE") / 1e6)
print(json.dumps(held))
"""


def test_memory(row: Row) -> None:
    """Resident memory of one process over 1,000 cards."""
    told = subprocess.run(
        [sys.executable, "-c", MEMORY], input=json.dumps(_cards(1000)), text=True,
        capture_output=True, check=True,
    )  # fmt: skip
    held = np.array(json.loads(told.stdout))
    drift = 100 * np.ptp(held[100:]) / held[100]
    row("memory over 1,000 cards", "± 10 % after the first 100, peak ≤ 350 MB",
        f"{drift:.0f} % from lowest to highest, peak {held.max():.0f} MB",
        bool(drift <= 20 and held.max() <= 350))  # fmt: skip


#: Run as a publish, but for the jobs that it hands out, which it keeps in the file named first.
NOTING = """
import json, sys
from anthocard.cli import main
from anthocard.press.build.run import Run
opened, jobs = Run._opened, []
class Noting:
    def __init__(self, executor):
        self.executor = executor
    def submit(self, work, job, *more):
        if more:
            jobs.append([job.html, job.style, [*map(str, job.fonts)], job.zoom, job.fits])
        return self.executor.submit(work, job, *more)
Run._opened = lambda self: Noting(opened(self))
if __name__ == "__main__":
    main(sys.argv[2:])
    json.dump(jobs, open(sys.argv[1], "w"))
"""
ALONE = """
import json, pathlib, sys
from anthocard.press.paper.job import Job
from anthocard.press.paper.typeset import set_type
for html, style, fonts, zoom, fits in json.load(open(sys.argv[1])):
    set_type(Job(html, style, tuple(map(pathlib.Path, fonts)), zoom, tuple(fits)))
"""


@pytest.mark.parametrize("size", PAPERS)
def test_one_recipe_with_all_papers(tmp_path: Path, size: int, row: Row) -> None:
    """One amount changed in a house with every card, sheet and the book; the best of five.

    Set anew: both sides of the card, both margins of its sheet, and of the book the cover, the
    drinks at a glance, the part of two drinks and what changed; the indexes where its colour got
    another name, which makes nine. Beside it, as a floor: one process that sets the papers of the
    last change one after the other, and does nothing else.
    """
    house, own, jobs = make_house(tmp_path / "house", size - 2), tmp_path / "own", tmp_path / "jobs"
    words = ("publish", "--house", house, "--out", tmp_path / "out")
    _run(own, *words)
    drink, best_s = house / "drinks" / f"light-{size // 2:05}.md", 1e9

    def change(number: int) -> None:
        text = drink.read_text(encoding="utf-8")
        drink.write_text(text.replace(f"{15 + number} ml plain", f"{16 + number} ml plain"))

    for number in range(5):
        change(number)
        start = time.perf_counter()
        _, _, told = _run(own, *words)
        best_s = min(best_s, time.perf_counter() - start)
        assert told["anew"]["recipes"] == 1
        assert told["anew"]["papers"] in (8, 9)
    change(5)
    noting = [sys.executable, "-c", NOTING, jobs, *words]
    subprocess.run(noting, check=True, capture_output=True, env=usual(own))
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", ALONE, jobs], check=True, env=usual())
    alone_s = time.perf_counter() - start
    row(f"1 recipe of {size:,} changed, with all papers", "1 recipe, few files, 8 or 9 papers anew",
        f"{told['anew']['pages']} files, {best_s:.2f} s; the papers alone {alone_s:.2f} s", True)  # fmt: skip
